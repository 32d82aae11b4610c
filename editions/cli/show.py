"""``bronzebook show``: anything by its code, tag or number, and what happened to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.cli.showing.history import Told
    from editions.registry import Reading
    from editions.store.effective import Stored
    from editions.trade.kinds import Happened


@click.command()
@click.argument("code", nargs=-1, required=True, type=options.CodeType())
@click.option("--held", is_flag=True, help="Show what is held too: names, notes, reasons.")
@options.json_option
@pass_desk
def command(desk: Desk, code: tuple[str, ...], held: bool, as_json: bool) -> None:
    """Show anything by its code, shop tag, heat number or certificate number.

    After it stands its history: when each thing happened, when it was recorded if that was another
    day, and who recorded it; then what was corrected, with both values. What was struck stays to be
    read there. `correct` and `strike` name an entry by its place in it, P-0001#2. An entry alone is
    shown by that place, by its number in the book (`show entry 41`) or by its digest. BOOK shows
    the book itself.
    """
    from editions.errors import NotKnown
    from editions.registry.entries import entry_named, names_entry

    text = " ".join(code)
    with desk.reading() as reading:
        try:
            found = text.upper() if reading.spent(text.upper()) else _resolve(reading, text)
        except NotKnown:
            if not names_entry(text):
                raise
            _show_entry(reading, entry_named(reading, text), held=held, as_json=as_json)
            return
        _show_subject(reading, found, held=held, as_json=as_json)


def _resolve(reading: Reading, text: str) -> str:
    """The code that is meant; a certificate's number may be typed as it is printed, in groups."""
    from editions.errors import NotKnown, Unreadable
    from editions.trade.numbers import read_number

    try:
        return reading.resolve(text)
    except NotKnown:
        try:
            return reading.resolve(read_number(text))
        except Unreadable:
            pass
        raise


def _show_entry(reading: Reading, stored: Stored, *, held: bool, as_json: bool) -> None:
    from editions.cli.showing import entry, printed

    if as_json:
        output.print_json(entry.entry_value(reading, stored, held=held))
    else:
        printed(entry.entry(reading, stored, held=held))


def _show_subject(reading: Reading, code: str, *, held: bool, as_json: bool) -> None:
    from editions.cli.showing.history import told_of

    told = told_of(reading, code)
    if as_json:
        output.print_json(_value(reading, code, told, held=held))
    else:
        _print(reading, code, told, held=held)


def _print(reading: Reading, code: str, told: Told, *, held: bool) -> None:
    from editions.cli.showing import describe, described_at_first, printed
    from editions.cli.showing.history import corrections_block, history_block, marked

    state = reading.state(code)
    if state is None:
        output.heading(code, "struck: nothing in this book bears this code")
    else:
        shown = describe(state, reading)
        if told.corrections:
            shown = marked(shown, described_at_first(reading, code))
        printed(shown)
    blocks = (
        corrections_block(reading, told, held=held),
        history_block(reading, code, told, held=held),
    )
    for block in blocks:
        if block.rows:
            output.block(block.name, block.rows, block.columns)


def _value(reading: Reading, code: str, told: Told, *, held: bool) -> dict[str, Any]:
    """State, history and corrections as plain values."""
    import msgspec

    from editions.cli.showing.certificates import corrected_facts

    state = reading.state(code)
    struck = {strike.entry: strike.position for strike in told.strikes}
    return {
        "code": code,
        "state": msgspec.to_builtins(state),
        **corrected_facts(reading, state),
        "corrections": [msgspec.to_builtins(each) for each in told.corrections],
        "history": [
            {**_entry(reading, stored, one, held=held), "struck_by": struck.get(one.leaf)}
            for stored, one in told.history
        ],
    }


def _entry(reading: Reading, stored: Stored, one: Happened, *, held: bool) -> dict[str, Any]:
    from editions.trade.kinds import open_part

    value = {
        "position": stored.position,
        "leaf": one.leaf,
        "kind": one.facts.kind,
        "subject": one.subject,
        "on": one.on,
        "recorded": one.at,
        "by": one.by,
        "facts": open_part(one.facts),
    }
    return {**value, "held": reading.held_values_of(stored.position)} if held else value
