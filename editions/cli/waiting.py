"""``bronzebook waiting``: what waits for someone, and for whom."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.rules.waiting import Wait


@click.command()
@click.option("--for", "whose", help="Only what waits for this party, or: foundry, patineur.")
@options.json_option
@pass_desk
def command(desk: Desk, whose: str | None, as_json: bool) -> None:
    """List what waits for someone, by whose turn it is."""
    from editions.registry.waiting import waiting

    with desk.reading() as reading:
        waits = [wait for wait in waiting(reading) if whose in (None, wait.whose)]
        waits.sort(key=lambda wait: wait.whose)
        if as_json:
            output.print_json([_value(reading, wait) for wait in waits])
            return
        for place, (turn, theirs) in enumerate(groupby(waits, lambda wait: wait.whose)):
            rows = [(wait.code, _title(reading, wait.code), wait.what) for wait in theirs]
            output.block(
                _name(reading, turn), rows, ("code", "title", "waits for"), first=not place
            )
    if not waits:
        output.say("Nothing waits.")


def _value(reading: Reading, wait: Wait) -> dict[str, str]:
    title = _title(reading, wait.code)
    return {"whose": wait.whose, "code": wait.code, "title": title, "what": wait.what}


def _title(reading: Reading, code: str) -> str:
    state = reading.state(code)
    return state.index().title if state else ""


def _name(reading: Reading, whose: str) -> str:
    from editions.cli.showing import of

    return of(reading, whose) if whose[1:2] == "-" else f"The {whose}"
