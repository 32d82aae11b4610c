"""``bronzebook show``: anything by its code, tag or number, and what happened to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from collections.abc import Sequence

    from editions.registry import Reading
    from editions.registry.corrections import Correction
    from editions.store.effective import Stored
    from editions.trade.kinds import Happened

    History = list[tuple[Stored, Happened]]


@click.command()
@click.argument("code", nargs=-1, required=True, type=options.CodeType())
@click.option("--held", is_flag=True, help="Show what is held too: names, notes, reasons.")
@options.json_option
@pass_desk
def command(desk: Desk, code: tuple[str, ...], held: bool, as_json: bool) -> None:
    """Show anything by its code, shop tag, heat number or certificate number.

    After it stands its history: when each thing happened, when it was recorded if that was another
    day, and who recorded it; then what was corrected, with both values. `correct` names an entry by
    its place there, P-0001#2. An entry alone is shown by that place, by its number in the book
    (`show entry 41`) or by its digest. BOOK shows the book itself.
    """
    from editions.errors import NotKnown
    from editions.registry.entries import entry_named, names_entry

    text = " ".join(code)
    with desk.reading() as reading:
        try:
            found = _resolve(reading, text)
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
    from editions.registry.corrections import corrections_of

    history, corrections = reading.history(code), corrections_of(reading.stored_of(code))
    if as_json:
        output.print_json(_value(reading, code, history, corrections, held=held))
    else:
        _print(reading, code, history, corrections, held=held)


def _print(
    reading: Reading,
    code: str,
    history: History,
    corrections: Sequence[Correction],
    *,
    held: bool,
) -> None:
    from editions.cli.showing import describe, described_at_first, printed
    from editions.cli.showing import history as told

    state = reading.state(code)
    assert state is not None  # noqa: S101 - it was resolved in this reading
    shown = describe(state, reading)
    if corrections:
        shown = told.marked(shown, described_at_first(reading, code))
    printed(shown)
    blocks = (
        told.corrections_block(reading, history, corrections, held=held),
        told.history_block(reading, code, history, corrections, held=held),
    )
    for block in blocks:
        if block.rows:
            output.block(block.name, block.rows, block.columns)


def _value(
    reading: Reading,
    code: str,
    history: History,
    corrections: Sequence[Correction],
    *,
    held: bool,
) -> dict[str, Any]:
    """State, history and corrections as plain values."""
    import msgspec

    from editions.cli.showing.certificates import corrected_facts

    state = reading.state(code)
    return {
        "code": code,
        "state": msgspec.to_builtins(state),
        **corrected_facts(reading, state),
        "corrections": [msgspec.to_builtins(each) for each in corrections],
        "history": [_entry(reading, stored, one, held=held) for stored, one in history],
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
