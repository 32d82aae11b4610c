"""``bronzebook show``: anything by its code, tag or number, and what happened to it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.store.effective import Stored
    from editions.trade.kinds import Happened

Row = tuple[object, ...]

# What a line of history has room for; the whole is in --json.
_LONGEST = 160
_DIGEST = re.compile("[0-9a-f]{64}")


@click.command()
@click.argument("code", type=options.CodeType())
@click.option("--held", is_flag=True, help="Show what is held too: names, notes, reasons.")
@options.json_option
@pass_desk
def command(desk: Desk, code: str, held: bool, as_json: bool) -> None:
    """Show anything by its code, shop tag, heat number or certificate number.

    After it stands its history: when each thing happened, when it was recorded if that was another
    day, and who recorded it; `correct` names an entry by its place there, P-0001#2. BOOK shows the
    book itself.
    """
    with desk.reading() as reading:
        found = _resolve(reading, code)
        history = reading.history(found)
        if as_json:
            output.print_json(_value(reading, found, history, held=held))
            return
        _print(reading, found, history, held=held)


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


def _print(
    reading: Reading, code: str, history: list[tuple[Stored, Happened]], *, held: bool
) -> None:
    from editions.cli.showing import describe, printed

    state = reading.state(code)
    assert state is not None  # noqa: S101 - it was resolved in this reading
    printed(describe(state, reading))
    rows: list[Row] = []
    for place, (stored, one) in enumerate(history, 1):
        rows.append(_row(place, one, code))
        rows += [("", "", "", f"held: {text}", "") for text in _held(reading, stored, held=held)]
    output.block("history", rows, ("#", "on", "recorded", "what", "by"))


def _row(place: int, one: Happened, code: str) -> Row:
    recorded = one.at[:10] if one.at[:10] != one.on else ""
    return place, one.on, recorded, _what(one, code), one.by


def _what(one: Happened, code: str) -> str:
    """The kind in words and its plain facts: "number given: piece P-0003, designation 3/8"."""
    from editions.trade.kinds import open_part, said

    plain = open_part(one.facts).items()
    facts = ", ".join(_fact(name, value) for name, value in plain if not _large(value))
    where = f"{one.subject} " if one.subject != code else ""
    words = f"{where}{said(one.facts.kind)}" + (f": {facts}" if facts else "")
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"


def _fact(name: str, value: Any) -> str:
    return f"{name.replace('_', ' ')} {_plain(value)}"


def _large(value: Any) -> bool:
    """Whether a fact is a record of its own, such as a declaration, which a line cannot hold."""
    return isinstance(value, dict) and value.keys() != {"value", "unit"}


def _plain(value: Any) -> str:
    """A fact as words; a quantity as it was written, a shell as its piece and section."""
    if isinstance(value, dict):
        return " ".join(_plain(part) for part in value.values() if part not in (None, "", [], ()))
    if isinstance(value, (list, tuple)):
        return ", ".join(map(_plain, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    if _DIGEST.fullmatch(text):
        return f"{text[:8]}…"
    return text.replace("_", " ") if text.islower() else text


def _held(reading: Reading, stored: Stored, *, held: bool) -> list[str]:
    if not held:
        return []
    values = reading.held_values_of(stored.position)
    return [_fact(name, value) for name, value in values.items() if value is not None]


def _value(
    reading: Reading, code: str, history: list[tuple[Stored, Happened]], *, held: bool
) -> dict[str, Any]:
    """State and history as plain values."""
    import msgspec

    return {
        "code": code,
        "state": msgspec.to_builtins(reading.state(code)),
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
