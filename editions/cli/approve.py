"""``bronzebook approve``: who approved the metal, the colour or the release, and how."""

from __future__ import annotations

from typing import Any, get_args

import click

from editions.cli import options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType, pieces_argument
from editions.trade.casting import ApprovalOf


@click.command()
@pieces_argument(nargs=1)
@click.argument("of", type=ChoiceType(get_args(ApprovalOf), "part to approve"))
@click.option("--by", type=options.CodeType("Y"), help="Who approved: the artist, or an authority.")
@click.option("--how", help="in-person, in-writing, by-telephone or by-photograph.")
@click.option("--refused", is_flag=True, help="It was refused, not approved.")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    pieces: list[str],
    of: ApprovalOf,
    by: str | None,
    how: str | None,
    refused: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Record that PIECES were approved in metal, in colour, or for release."""
    from editions.registry.acts.approvals import approve_piece, read_how

    party = ask(desk, by, "Who approved", likely=_entitled(desk, pieces[0]), option="--by")
    way = ask(desk, how, "How was it said", likely="in person", read=read_how, option="--how")
    with desk.writing() as w:
        made = [
            approve_piece(w, piece, of, by=party, how=way, approved=not refused, **said)
            for piece in pieces
        ]
    word = "refused" if refused else "approved"
    told = [f"{piece} {of} {word} by {party} {way}" for piece in pieces]
    output.entered(desk, as_json, *made, detail=told)


def _entitled(desk: Desk, text: str) -> str | None:
    """Whoever authorised the run of a piece, who is the likely one to approve it."""
    if not desk.interactive:
        return None
    from editions.registry.acts.typed import piece_of
    from editions.trade.runs import Run

    with desk.reading() as reading:
        piece = piece_of(reading, text)
        return reading.get(piece.run, Run).declared.authorised_by if piece.run else None
