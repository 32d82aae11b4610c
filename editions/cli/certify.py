"""``bronzebook certify``: issue certificates, for pieces named or all of a run that are ready."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.asking import passphrase
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType, pieces_argument
from editions.errors import Refused, Unreadable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from certificates.issue import Issued

page_option = click.option(
    "--page",
    type=ChoiceType(("A4", "letter"), "paper size"),
    default="A4",
    show_default=True,
    help="Paper size.",
)
passphrase_option = click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path),
    help="A file whose first line is the passphrase.  [or BRONZEBOOK_PASSPHRASE, or a prompt]",
)


@click.command()
@pieces_argument(required=False)
@click.option("--run", help="Every piece of this run that is ready and has no certificate.")
@click.option("--raw-metal", is_flag=True, help="For pieces released in raw metal.")
@page_option
@passphrase_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    pieces: list[str],
    run: str | None,
    raw_metal: bool,
    page: str,
    passphrase_file: Path | None,
    as_json: bool,
) -> None:
    """Issue certificates for PIECES (tags or codes), or for all of a run that are ready.

    With neither, certificates that an interrupted run left undrawn are drawn. The passphrase of
    the certifying key is asked for once.
    """
    from certificates.issue import issue

    wanted = _wanted(desk, pieces, run)
    secret = passphrase(desk, passphrase_file)
    with output.counting("Drawing certificates") as progress:
        made = issue(
            desk.registry,
            wanted,
            passphrase=secret,
            paper="raw_metal" if raw_metal else None,
            page=page,  # type: ignore[arg-type]
            by=desk.by,
            progress=progress,
        )
    waits = _tell_pending(desk)
    tell(made, as_json=as_json, waits=waits)


def _tell_pending(desk: Desk) -> bool:
    """Say which certificates wait for a signature, and how each holder is asked."""
    from certificates.asking import pending_of
    from editions.trade.numbers import show_number

    asked: dict[tuple[str, str], list[str]] = {}
    for one in pending_of(desk.registry):
        signed = {proof.party for proof in one.proofs}
        for signer in one.signers:
            if signer.party not in signed:
                asked.setdefault((signer.party, signer.name), []).append(one.code)
    for (party, name), codes in asked.items():
        shown = ", ".join(map(show_number, codes))
        output.say(
            f"{'Waits' if len(codes) == 1 else 'Wait'} for the signature of {name}: {shown}."
        )
        numbers = " ".join(codes)
        output.say(f"  bronzebook request make {numbers} --for {party} --to {party}.json")
    return bool(asked)


def tell_replacement(desk: Desk, replaced: str) -> bool:
    """Say by which number a certificate is replaced whose replacement waits for signatures."""
    from editions.trade.certificates import Certificate
    from editions.trade.numbers import show_number

    with desk.reading() as reading:
        new = reading.get(replaced, Certificate).replaced_by
    if new is not None:
        output.say(f"{show_number(replaced)} is replaced by {show_number(new)}.")
    return _tell_pending(desk)


def _wanted(desk: Desk, pieces: Sequence[str], run: str | None) -> Sequence[str]:
    if run is None:
        return pieces
    if pieces:
        raise Unreadable("Both pieces and a run are named.", "Name the pieces, or --run.")
    from certificates.issue import eligible

    ready = eligible(desk.registry, run)
    if not ready:
        raise Refused(f"No piece of {run} is ready for a certificate.", "See: bronzebook waiting.")
    return ready


def tell(made: Sequence[Issued], *, as_json: bool, waits: bool = False) -> None:
    """Print the papers that were drawn, one a line; none may be, where signatures are wanting."""
    from editions.trade.numbers import show_number

    rows = [
        (show_number(one.number), one.designation or "", one.code, str(one.path)) for one in made
    ]
    output.table(rows, ("certificate", "number", "for", "paper"), as_json=as_json)
    if not made and not waits:
        output.say("Nothing was waiting to be drawn.")
