"""What happened to a subject, a line an entry; and what was corrected, a line a field.

The place of a line is what ``correct`` takes after the code, ``P-0003#4``; the entry's number, last
in the line, is its position in the whole book, as papers print it.  A line that was corrected says
which entry corrects it; the corrections stand in a table of their own with both values.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.cli.showing.block import Block, Shown
from editions.cli.showing.facts import field, lines_of, said_of, short, stated

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from editions.registry import Reading
    from editions.registry.corrections import Correction, Place
    from editions.store.effective import Stored
    from editions.trade.kinds import Happened

    History = Sequence[tuple[Stored, Happened]]
    Row = tuple[object, ...]

ARROW = "->"
HELD = "held"
CORRECTED = ("field", "was", "now", "on", "by", "why", "entry")


def history_block(
    reading: Reading, code: str, history: History, corrections: Sequence[Correction], *, held: bool
) -> Block:
    """A line an entry; with ``held`` what is held of each stands below it."""
    places = {stored.leaf.hex(): place for place, (stored, _) in enumerate(history, 1)}
    rows: list[Row] = []
    for place, (stored, one) in enumerate(history, 1):
        what = _what(one, code, places, corrections)
        rows.append((place, one.on, _recorded(one), what, one.by, stored.position))
        if held:
            rows += [("", "", "", f"held: {text}", "", "") for text in _held(reading, stored)]
    return Block("history", ("#", "on", "recorded", "what", "by", "entry"), tuple(rows))


def corrections_block(
    reading: Reading, history: History, corrections: Sequence[Correction], *, held: bool
) -> Block:
    """A line a field that was corrected: what it said, what it says, when, by whom and why."""
    places = {stored.leaf.hex(): place for place, (stored, _) in enumerate(history, 1)}
    rows = tuple(
        (
            f"#{places.get(each.entry, '?')} {each.entry_kind.replace('_', ' ')}",
            *correction_row(reading, each, held=held),
        )
        for each in corrections
    )
    return Block("corrections", ("of", *CORRECTED), rows)


def correction_row(reading: Reading, correction: Correction, *, held: bool) -> Row:
    """A correction under the columns of ``CORRECTED``."""
    return (
        field(correction.field),
        *_both(reading, correction, held=held),
        correction.on,
        correction.by,
        _reason(reading, correction, held=held),
        correction.position,
    )


def _reason(reading: Reading, correction: Correction, *, held: bool) -> str:
    """Why it was corrected, which is held: shown when asked for, else only that it is there."""
    value = reading.held_values_of(correction.position).get("reason")
    if reading.erased(correction.leaf, "reason"):
        return "erased"
    if value is None:
        return ""
    return str(value) if held else HELD


def marked(shown: Shown, first: Shown) -> Shown:
    """The description with a word at everything that corrections changed.

    Args:
        shown: The subject as it is.
        first: The subject as it would be had nothing been corrected.
    """
    before = dict(first.pairs)
    pairs = tuple((name, _mark(value, before.get(name))) for name, value in shown.pairs)
    blocks = tuple(_marked_block(block, first) for block in shown.blocks)
    title = str(_mark(shown.title, first.title))
    return Shown(shown.code, title, pairs, blocks)


def _marked_block(block: Block, first: Shown) -> Block:
    before = next((other for other in first.blocks if other.name == block.name), None)
    if before is None or len(before.rows) != len(block.rows):
        return block
    rows = tuple(
        tuple(map(_mark, row, old)) for row, old in zip(block.rows, before.rows, strict=True)
    )
    return Block(block.name, block.columns, rows)


def _mark(value: object, before: object) -> object:
    if value == before or value in (None, "", ()):
        return value
    text = ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
    return f"{text} (corrected)"


def _recorded(one: Happened) -> str:
    return one.at[:10] if one.at[:10] != one.on else ""


def _what(
    one: Happened, code: str, places: dict[str, int], corrections: Sequence[Correction]
) -> str:
    own = [each for each in corrections if each.leaf == one.leaf]
    if own:
        changes = "; ".join(map(_change, own))
        return short(f"corrects #{places.get(own[0].entry, '?')}: {changes}")
    later = dict.fromkeys(places[each.leaf] for each in corrections if each.entry == one.leaf)
    words = said_of(one, code)
    return f"{words} (corrected, see {', '.join(f'#{at}' for at in later)})" if later else words


def _change(correction: Correction) -> str:
    if correction.held:
        return f"{field(correction.field)} (held)"
    return f"{field(correction.field)} {stated(correction.was)} {ARROW} {stated(correction.now)}"


def _both(reading: Reading, correction: Correction, *, held: bool) -> tuple[str, str]:
    if correction.kept is None:
        return stated(correction.was), stated(correction.now)
    if not held:
        return HELD, HELD
    was, now = (_value_at(reading, place) for place in correction.kept)
    return was, now


def _value_at(reading: Reading, place: Place) -> str:
    kept = reading.held_values_of(place.position)
    return stated(kept[place.field]) if place.field in kept else "erased"


def _held(reading: Reading, stored: Stored) -> Iterator[str]:
    values = reading.held_values_of(stored.position)
    for name, value in values.items():
        if value is not None:
            yield from lines_of(name, value)
