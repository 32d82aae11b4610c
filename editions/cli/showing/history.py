"""What happened to a subject, a line an entry; and what was corrected, a line a field.

The place of a line is what ``correct`` takes after the code, ``P-0003#4``; the entry's number, last
in the line, is its position in the whole book, as papers print it.  A line that was corrected or
struck says which entry did so; the corrections stand in a table of their own with both values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from editions.cli.showing.block import Block, Shown
from editions.cli.showing.facts import field, lines_of, said_of, short, stated

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from editions.registry import Reading
    from editions.registry.corrections import Correction, Place
    from editions.registry.strikes import Strike
    from editions.store.effective import Stored
    from editions.trade.kinds import Happened

    History = Sequence[tuple[Stored, Happened]]
    Row = tuple[object, ...]

ARROW = "->"
HELD = "held"
CORRECTED = ("field", "was", "now", "on", "by", "why", "entry")


@dataclass(frozen=True, slots=True)
class Told:
    """What the book tells of a subject: its entries in order, what corrects and strikes them."""

    history: History
    corrections: Sequence[Correction] = ()
    strikes: Sequence[Strike] = ()

    @property
    def places(self) -> dict[str, int]:
        """The place of each entry, by its leaf, counted from 1."""
        return {stored.leaf.hex(): place for place, (stored, _) in enumerate(self.history, 1)}


def told_of(reading: Reading, code: str) -> Told:
    """What the book tells of a subject, be it struck."""
    from editions.registry.corrections import corrections_of
    from editions.registry.strikes import strikes_of, whole_history

    stored = reading.stored_of(code)
    return Told(whole_history(stored), corrections_of(stored), strikes_of(stored))


def history_block(reading: Reading, code: str, told: Told, *, held: bool) -> Block:
    """A line an entry; with ``held`` what is held of each stands below it."""
    rows: list[Row] = []
    for place, (stored, one) in enumerate(told.history, 1):
        what = _what(one, code, told)
        rows.append((place, one.on, _recorded(one), what, one.by, stored.position))
        if held:
            rows += [("", "", "", f"held: {text}", "", "") for text in _held(reading, stored)]
    return Block("history", ("#", "on", "recorded", "what", "by", "entry"), tuple(rows))


def corrections_block(reading: Reading, told: Told, *, held: bool) -> Block:
    """A line a field that was corrected: what it said, what it says, when, by whom and why."""
    places = told.places
    rows = tuple(
        (
            f"#{places.get(each.entry, '?')} {each.entry_kind.replace('_', ' ')}",
            *correction_row(reading, each, held=held),
        )
        for each in told.corrections
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


def _what(one: Happened, code: str, told: Told) -> str:
    places = told.places
    own = [each for each in told.corrections if each.leaf == one.leaf]
    if own:
        changes = "; ".join(map(_change, own))
        return short(f"corrects #{places.get(own[0].entry, '?')}: {changes}")
    for strike in told.strikes:
        if strike.leaf == one.leaf:
            kind = strike.entry_kind.replace("_", " ")
            return f"strikes #{places.get(strike.entry, '?')}: {kind}"
    notes = [*_corrected_at(one, told, places), *_struck_at(one, told, places)]
    words = said_of(one, code)
    return f"{words} ({'; '.join(notes)})" if notes else words


def _corrected_at(one: Happened, told: Told, places: dict[str, int]) -> Iterator[str]:
    later = dict.fromkeys(places[each.leaf] for each in told.corrections if each.entry == one.leaf)
    if later:
        yield f"corrected, see {', '.join(f'#{at}' for at in later)}"


def _struck_at(one: Happened, told: Told, places: dict[str, int]) -> Iterator[str]:
    return (
        f"struck, see #{places[strike.leaf]}" for strike in told.strikes if strike.entry == one.leaf
    )


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
