"""``bronzebook request``: ask a holder to sign certificates; read, sign, take back.

``read`` and ``sign`` are for the holder, on a machine of their own: no registry is opened.
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.asking import confirm, passphrase
from editions.cli.certify import page_option, passphrase_option
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import read_bytes
from editions.errors import KeyUnusable, Refused, Unreadable

if TYPE_CHECKING:
    from certificates.asking import Taken
    from certificates.keyfile import PublicKeyEntry
    from certificates.requests import Request

_LARGEST = 32 * 1024 * 1024
_path = click.Path(path_type=Path)


foundry_option = click.option(
    "--foundry", type=_path, metavar="FILE", help="The foundry's public keys, brought by you."
)


@click.group()
def command() -> None:
    """Ask a holder to sign certificates; read and sign a request; take a reply."""


@command.command()
@click.argument("numbers", nargs=-1)
@click.option("--run", help="Every certificate of this run that waits.")
@click.option("--for", "party", type=options.CodeType("Y"), required=True, help="Who is asked.")
@click.option("--to", type=_path, required=True, help="The file to write.")
@pass_desk
def make(desk: Desk, numbers: tuple[str, ...], run: str | None, party: str, to: Path) -> None:
    """Write the request that asks a party to sign the certificates NUMBERS, or all of a run."""
    from certificates.asking import ask_for
    from editions.store.files import write_once

    if bool(numbers) == bool(run):
        raise Unreadable("Name the certificates, or --run.", "See: bronzebook waiting.")
    wanted = numbers or _waiting(desk, run or "", party)
    write_once(to, ask_for(desk.registry, wanted, party))
    output.line(str(to))
    output.say(f"It asks for {len(wanted)}. The holder: bronzebook request read {to.name}")


@command.command()
@click.argument("file", type=_path)
@foundry_option
def read(file: Path, foundry: Path | None) -> None:
    """Read request FILE in plain words: what signing it asserts, and what not.

    The words are made from the entries in FILE, which have to lie in the signed book.
    """
    _print(_request(file), _keys(foundry))


@command.command()
@click.argument("number")
@pass_desk
def words(desk: Desk, number: str) -> None:
    """Print what a signer of certificate NUMBER asserts: the sheet to be signed in ink."""
    from certificates.asking import words_to_sign

    for line in words_to_sign(desk.registry, number):
        click.echo(line)


@command.command()
@click.argument("file", type=_path)
@click.option("--key", "key_file", type=_path, required=True, help="Your key file.")
@click.option("--to", type=_path, required=True, help="The reply to write.")
@click.option("--only", multiple=True, metavar="NUMBER", help="Sign only this; may repeat.")
@foundry_option
@passphrase_option
@pass_desk
def sign(
    desk: Desk,
    file: Path,
    key_file: Path,
    to: Path,
    only: tuple[str, ...],
    foundry: Path | None,
    passphrase_file: Path | None,
) -> None:
    """Sign what request FILE asks for with your key, and write the reply; no registry is needed."""
    from certificates.requests import proof_words, sign_request
    from editions.cli.key import read_key
    from editions.store.files import write_once

    request, key = _request(file), read_key(key_file)
    proved = proof_words(request, _keys(foundry))
    if desk.interactive:
        _print(request, _keys(foundry))
    else:
        output.say(" ".join(proved))
    count = len(only) or len(request.documents)
    confirm(desk, f"Sign these {count}" if count > 1 else "Sign this one")
    private = key.unlock(passphrase(desk, passphrase_file, of="your key"))
    now = datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    write_once(to, sign_request(request, private, now, only or None))
    output.line(str(to))
    output.say(f"Signed {count}. Send {to.name} to the foundry.")


@command.command()
@click.argument("file", type=_path)
@click.option("--key", "key_file", type=_path, required=True, help="Your key file.")
@click.option("--to", type=_path, required=True, help="The reply to write.")
@click.option("--only", multiple=True, metavar="NUMBER", help="Refuse only this; may repeat.")
@click.option("--reason", help="Why; for the foundry alone, its book does not keep it.")
@foundry_option
@passphrase_option
@pass_desk
def refuse(
    desk: Desk,
    file: Path,
    key_file: Path,
    to: Path,
    only: tuple[str, ...],
    reason: str | None,
    foundry: Path | None,
    passphrase_file: Path | None,
) -> None:
    """Refuse to sign what request FILE asks for, and write the reply that says so, signed."""
    from certificates.requests import proof_words, refuse_request
    from editions.cli.key import read_key
    from editions.store.files import write_once

    request, key = _request(file), read_key(key_file)
    output.say(" ".join(proof_words(request, _keys(foundry))))
    count = len(only) or len(request.documents)
    confirm(desk, f"Refuse to sign these {count}" if count > 1 else "Refuse to sign this one")
    private = key.unlock(passphrase(desk, passphrase_file, of="your key"))
    now = datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    write_once(to, refuse_request(request, private, now, only or None, reason))
    output.line(str(to))
    output.say(f"Refused {count}. Send {to.name} to the foundry.")


@command.command()
@click.argument("reply", type=_path)
@page_option
@passphrase_option
@options.json_option
@pass_desk
@click.pass_context
def take(
    ctx: click.Context,
    desk: Desk,
    reply: Path,
    page: str,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Take REPLY: each proof in it is checked; what holds is entered, the rest refused and why.

    Certificates that have their last signature are drawn, where the passphrase is at hand.
    Exit status: 6 if any was refused.
    """
    from certificates.asking import take_reply

    taken = take_reply(desk.registry, read_bytes(reply, _LARGEST), by=desk.by)
    rows = [(one.number, "accepted" if one.accepted else "refused", one.says) for one in taken]
    output.table(rows, ("certificate", "result", "reason"), as_json=as_json)
    draw_complete(desk, taken, page, passphrase_file)
    if not all(one.accepted for one in taken):
        ctx.exit(Refused.exit_status)


def draw_complete(
    desk: Desk, taken: tuple[Taken, ...], page: str, passphrase_file: Path | None
) -> None:
    """Draw the certificates that wait for nobody any more, or say how."""
    complete = [one for one in taken if one.complete]
    if not complete:
        return
    from certificates.issue import issue

    try:
        secret = passphrase(desk, passphrase_file)
    except KeyUnusable:
        output.say(f"{len(complete)} may be drawn now: bronzebook certify")
        return
    made = issue(
        desk.registry,
        (),
        passphrase=secret,
        page=page,  # type: ignore[arg-type]
        by=desk.by,
    )
    for one in made:
        output.say(f"Drawn: {one.path}")


def _waiting(desk: Desk, run: str, party: str) -> tuple[str, ...]:
    from certificates.asking import pending_of

    found = [
        one.code
        for one in pending_of(desk.registry, run)
        if one.signer(party) and all(proof.party != party for proof in one.proofs)
    ]
    if not found:
        raise Refused(f"No certificate of {run} waits for {party}.", "See: bronzebook waiting.")
    return tuple(found)


def _request(file: Path) -> Request:
    from certificates.requests import read_request

    return read_request(read_bytes(file, _LARGEST))


def _keys(foundry: Path | None) -> tuple[PublicKeyEntry, ...]:
    from certificates.keyfile import read_keys
    from certificates.mirror import text_of

    return read_keys(text_of(read_bytes(foundry, _LARGEST))) if foundry else ()


def _print(request: Request, given: tuple[PublicKeyEntry, ...]) -> None:
    from certificates.requests import plain_words, summary_words

    for line in summary_words(request, given):
        click.echo(line)
    for document in request.documents:
        click.echo()
        for line in plain_words(document):
            click.echo(line)
