"""``bronzebook waiting``: what waits for someone, and for whom."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import click

from editions.cli import likely, options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.rules.waiting import Wait


@click.command()
@click.option(
    "--for",
    "whose",
    multiple=True,
    metavar="WHOM",
    help="Only what waits for: foundry, laboratory, patineur, or a party by code or name;"
    " several with commas; may repeat.",
)
@options.json_option
@pass_desk
def command(desk: Desk, whose: tuple[str, ...], as_json: bool) -> None:
    """List what waits for someone, by whose turn it is, a line each.

    Of a piece the next step of its route is told, as far as its steps are recorded.
    """
    from editions.registry.waiting import turns_of, waiting

    named = [name for text in whose for name in likely.parts(text)]
    with desk.reading() as reading:
        turns = {turn: None for name in named for turn in turns_of(reading, name)}
        waits = sorted(waiting(reading, turns), key=lambda wait: wait.whose)
        if as_json:
            output.print_json([_value(reading, wait) for wait in waits])
            return
        for place, (turn, theirs) in enumerate(groupby(waits, lambda wait: wait.whose)):
            rows = [(wait.code, _title(reading, wait.code), wait.what) for wait in theirs]
            output.block(
                _name(reading, turn), rows, ("code", "title", "waits for"), first=not place
            )
    if not waits:
        output.say(f"Nothing waits for {', '.join(named)}." if named else "Nothing waits.")


def _value(reading: Reading, wait: Wait) -> dict[str, str]:
    title = _title(reading, wait.code)
    return {"whose": wait.whose, "code": wait.code, "title": title, "what": wait.what}


def _title(reading: Reading, code: str) -> str:
    """What the shop calls it: a piece by its tag, a paper by its number, both with the work."""
    from editions.trade.certificates import Certificate
    from editions.trade.pieces import Piece
    from editions.trade.runs import Run

    state = reading.state(code)
    if isinstance(state, Certificate):
        return ", ".join(filter(None, (state.statement.designation, state.statement.title)))
    if not isinstance(state, Piece) or state.run is None:
        return state.index().title if state else ""
    work = reading.state(reading.get(state.run, Run).declared.work)
    title = work.index().title if work else ""
    return ", ".join(filter(None, (state.tag, state.number, title)))


def _name(reading: Reading, whose: str) -> str:
    from editions.cli.showing import of

    return of(reading, whose) if whose[1:2] == "-" else f"The {whose}"
