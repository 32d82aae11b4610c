"""``bronzebook begin``: make a registry, its keys and its first entry."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.asking import ask, passphrase
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Registry

_KEEP = """\
Keep a copy of {keys} in a safe place, away from this machine: without it no more can be
written. Keep the passphrase elsewhere: nobody can restore it.
Tell the fingerprint of the certifying key to your artists; papers are checked against it.
Next: bronzebook --registry {where} party add …, or bronzebook --help."""


@click.command()
@click.argument("where", type=click.Path(), required=False, metavar="[PATH|URL]")
@click.option("--foundry", type=options.TextType(120), help="The foundry's public name.")
@click.option("--place", type=options.TextType(200), help="Its town, as certificates print it.")
@click.option("--address", help="Where the public record will answer: https://HOST.")
@click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path),
    help="A file whose first line is the passphrase.  [or BRONZEBOOK_PASSPHRASE, or a prompt]",
)
@options.json_option
@pass_desk
def command(
    desk: Desk,
    where: str | None,
    foundry: str | None,
    place: str | None,
    address: str | None,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Begin a registry in a folder, or in an empty PostgreSQL database.

    Two keys are made: the log key, which signs the state of the book after each writing, and the
    certifying key, which signs certificates and lies under a passphrase.
    """
    from editions.cli.options import TextType
    from editions.registry import begin
    from editions.registry.opening import read_address

    chosen = where or desk.where or "."
    foundry = ask(desk, foundry, "The foundry's name", read=TextType(120).read, option="--foundry")
    if desk.interactive:
        place = ask(desk, place, "Its town", likely="", read=TextType(200).read)
    address = ask(
        desk,
        address,
        "Public address of the record",
        likely="https://record.example" if desk.interactive else None,
        read=read_address,
        option="--address",
    )
    secret = passphrase(desk, passphrase_file, new=True)
    registry = begin(
        chosen,
        foundry=foundry,
        foundry_place=place or "",
        address=address,
        passphrase=secret,
        home=desk.home,
    )
    try:
        _tell(registry, chosen, as_json=as_json)
    finally:
        registry.close()


def _tell(registry: Registry, where: str, *, as_json: bool) -> None:
    from editions.ledger.keys import fingerprint
    from editions.ledger.notes import VerifierKey

    with registry.reading() as reading:
        book = reading.book
    output.record(
        (
            ("registry", "" if "://" in registry.home.database else registry.home.database),
            ("foundry", f"{book.foundry} {book.foundry_name}"),
            ("address", book.address),
            ("keys", str(registry.home.log_key.parent)),
            ("log key", fingerprint(VerifierKey.parse(book.log_key).public)),
            ("certifying key", fingerprint(VerifierKey.parse(book.certifying_key).public)),
        ),
        as_json=as_json,
    )
    output.say(_KEEP.format(keys=registry.home.log_key.parent, where=where))
