"""``bronzebook certificate``: reserve on paper; withdraw, replace, report or show certificates."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import click

from editions.cli import options, output
from editions.cli.asking import confirm, passphrase
from editions.cli.certify import page_option, passphrase_option, tell, tell_replacement
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType
from editions.errors import Refused

REASONS = {
    "error": "issued in error",
    "surrendered": "surrendered",
    "destroyed": "cast destroyed",
    "disputed": "disputed",
    "refused": "signature refused",
}


SEAL_PASSPHRASE = "BRONZEBOOK_SEAL_PASSPHRASE"  # noqa: S105 - the variable's name
LARGEST_PKCS12 = 256 * 1024
LARGEST_PDF = 32 * 1024 * 1024


@click.group()
def command() -> None:
    """Reserve a number on paper; withdraw, replace, report, seal or show a certificate."""


@command.command()
@click.argument("run")
@click.argument("number")
@page_option
@passphrase_option
@options.json_option
@pass_desk
def reserve(
    desk: Desk, run: str, number: str, page: str, passphrase_file: Path | None, as_json: bool
) -> None:
    """Issue the paper that reserves a promised NUMBER of RUN: a reservation, not a certificate."""
    from certificates.issue import reserve as reserve_number
    from editions.registry.acts.numbers import number_in
    from editions.registry.acts.typed import run_of

    with desk.reading() as reading:
        number = number_in(run_of(reading, run), number)
    secret = passphrase(desk, passphrase_file)
    made = reserve_number(
        desk.registry,
        run,
        number,
        passphrase=secret,
        page=page,  # type: ignore[arg-type]
        by=desk.by,
    )
    tell(made, as_json=as_json)


@command.command()
@click.argument("number")
@click.option(
    "--because",
    type=ChoiceType(tuple(REASONS), "reason"),
    required=True,
    help="The open reason.",
)
@click.option("--reason", help="The story behind it; held.")
@options.on_option
@pass_desk
def withdraw(desk: Desk, number: str, because: str, reason: str | None, on: str | None) -> None:
    """Withdraw certificate NUMBER: from then on it answers "withdrawn"."""
    from certificates.issue import withdraw as withdraw_one
    from editions.trade.certificates import Withdrawal
    from editions.trade.numbers import read_number

    known = read_number(number)
    paper = _paper(desk, known)
    confirm(desk, f"Withdraw {paper}?")
    word = next(each for each in get_args(Withdrawal) if each == REASONS[because])
    withdraw_one(desk.registry, known, word, reason=reason, on=on, by=desk.by)
    output.say(f"{paper[0].upper()}{paper[1:]} is withdrawn.")


@command.command()
@click.argument("number")
@click.option(
    "--because",
    type=ChoiceType(("lost", "stolen", "spoilt"), "word for it"),
    required=True,
    help="What became of the paper; open.",
)
@page_option
@passphrase_option
@options.json_option
@pass_desk
def replace(
    desk: Desk,
    number: str,
    because: str,
    page: str,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Issue a new certificate in place of a paper that is gone or spoilt.

    The old NUMBER then answers "replaced".
    """
    from certificates.issue import replace_lost
    from editions.trade.numbers import read_number

    known = read_number(number)

    confirm(desk, f"Replace {_paper(desk, known)}?")
    secret = passphrase(desk, passphrase_file)
    made = replace_lost(
        desk.registry,
        known,
        because,  # type: ignore[arg-type]
        passphrase=secret,
        page=page,  # type: ignore[arg-type]
        by=desk.by,
    )
    tell(made, as_json=as_json, waits=not made and tell_replacement(desk, known))


@command.command()
@click.argument("number")
@click.option(
    "--because",
    type=ChoiceType(("lost", "stolen"), "word for it"),
    required=True,
    help="What became of the paper.",
)
@click.option("--reported-by", help="Who says so; held.")
@click.option("--reference", help="A police or register reference; open, and published.")
@options.on_option
@pass_desk
def report(
    desk: Desk,
    number: str,
    because: str,
    reported_by: str | None,
    reference: str | None,
    on: str | None,
) -> None:
    """Report the paper of certificate NUMBER lost or stolen; it can still be replaced."""
    from certificates.reporting import report_certificate
    from editions.trade.numbers import read_number

    known = read_number(number)
    paper = _paper(desk, known)
    confirm(desk, f"Report {paper} {because}?")
    report_certificate(
        desk.registry,
        known,
        because,  # type: ignore[arg-type]
        reported_by=reported_by,
        reference=reference,
        on=on,
        by=desk.by,
    )
    output.say(f"{paper[0].upper()}{paper[1:]} is reported {because}.")


@command.command()
@click.argument("number")
@click.option("--by", "party", type=options.CodeType("Y"), required=True, help="Who refuses.")
@click.option("--how", required=True, help="in-person, in-writing, by-telephone or by-photograph.")
@options.on_option
@options.note_option
@pass_desk
def refused(
    desk: Desk, number: str, party: str, how: str, on: str | None, note: str | None
) -> None:
    """Enter that a signer said, unsigned, that they will not sign certificate NUMBER."""
    from certificates.asking import tell_refusal

    told = tell_refusal(desk.registry, number, party, how=how, note=note, on=on, by=desk.by)
    output.say(f"{told.says} Withdraw it: certificate withdraw --because refused.")


@command.command()
@click.argument("number")
@click.option("--by", "party", type=options.CodeType("Y"), required=True, help="Who signed.")
@click.option(
    "--scan", type=click.Path(path_type=Path), required=True, help="PDF, PNG or JPEG; it is kept."
)
@page_option
@passphrase_option
@options.on_option
@pass_desk
def ink(
    desk: Desk,
    number: str,
    party: str,
    scan: Path,
    page: str,
    passphrase_file: Path | None,
    on: str | None,
) -> None:
    """Enter that the words of certificate NUMBER were signed in ink: see "request words"."""
    from certificates.asking import LARGEST_SCAN, sign_in_ink
    from editions.cli.request import draw_complete
    from editions.cli.words import read_bytes

    data = read_bytes(scan, LARGEST_SCAN)
    taken = sign_in_ink(desk.registry, number, party, data, on=on, by=desk.by)
    output.say(taken.says)
    draw_complete(desk, (taken,), page, passphrase_file)


@command.command()
@click.argument("number")
@click.option(
    "--with",
    "pkcs12",
    type=click.Path(path_type=Path),
    required=True,
    help="The seal certificate and its key, PKCS #12 (.p12, .pfx).",
)
@click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path),
    help="A file whose first line opens it.  [or BRONZEBOOK_SEAL_PASSPHRASE, or a prompt]",
)
@pass_desk
def seal(desk: Desk, number: str, pkcs12: Path, passphrase_file: Path | None) -> None:
    """Copy the PDF of certificate NUMBER with a seal that PDF readers show (PAdES)."""
    from certificates.pades import seal_pdf
    from editions.cli.words import read_bytes
    from editions.store.files import write_once
    from editions.trade.numbers import read_number

    known = read_number(number)
    folder = desk.registry.home.certificates
    sealed = folder / f"{known}-sealed.pdf"
    if sealed.exists():
        raise Refused(f"{sealed} bears a seal already.", "A paper is sealed once.")
    drawn = read_bytes(folder / f"{known}.pdf", LARGEST_PDF)
    secret = passphrase(desk, passphrase_file, of="the seal certificate", variable=SEAL_PASSPHRASE)
    write_once(sealed, seal_pdf(drawn, read_bytes(pkcs12, LARGEST_PKCS12), secret))
    output.say(f"{sealed} bears the seal; the drawn PDF is as it was.")


@command.command()
@click.argument("number")
@options.json_option
@click.pass_context
def show(ctx: click.Context, number: str, as_json: bool) -> None:
    """Show certificate NUMBER, what it says and how it stands."""
    from editions.cli.show import command as show_any
    from editions.trade.numbers import read_number

    ctx.invoke(show_any, code=(read_number(number),), held=False, as_json=as_json)


def _paper(desk: Desk, number: str) -> str:
    """A paper of the book as it is spoken of; one that reserves a number is no certificate."""
    from editions.trade.certificates import Certificate
    from editions.trade.numbers import show_number

    with desk.reading() as reading:
        paper = reading.get(number, Certificate)
    return f"{'reservation' if paper.reserves else 'certificate'} {show_number(number)}"
