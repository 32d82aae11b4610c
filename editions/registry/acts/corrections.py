"""Corrections: an earlier entry's fields stated again; the earlier entry stays as it is.

Only fields that the kind of entry lists may be corrected, never a number, a tag or a key.  An open
field is corrected openly and a held one in confidence::

    correct_entry(w, "P-0003#4", {"mass": "31.5 kg", "note": "scale was off"}, reason="read wrong")

An entry is named by its number in the book, by its leaf, of which the first eight digits are
enough, or by its place in the history of a subject: ``P-0003#4`` is the fourth entry that touches
P-0003.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from editions.errors import Refused, Unreadable
from editions.ledger.canonical import parse
from editions.ledger.envelope import Entry, decode
from editions.registry.acts.fields import read_field
from editions.registry.acts.typed import confided, listed
from editions.registry.entries import entry_named
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.defects import read_defect
from editions.store import queries
from editions.store.effective import CORRECTION, Stored, as_corrected, corrections_in
from editions.trade.book import EntryCorrected
from editions.trade.casting import DefectFound
from editions.trade.kinds import KINDS, Facts, Happened, corrected, open_part, said, touched_codes
from editions.trade.text import a, meant, shown


def correct_entry(
    w: Writing,
    entry: str,
    changes: Mapping[str, Any],
    *,
    reason: str | None = None,
    on: str | None = None,
) -> tuple[Entered, ...]:
    """Correct fields of an earlier entry.

    Args:
        w: The writing.
        entry: The entry's leaf, or its place in a history: ``P-0003#4``.
        changes: Field to value; a text is read as people write it in that field.
        reason: Why, held.
        on: When it was found to be wrong, EDTF; today when absent.

    Returns:
        The correction; where several held fields are corrected, one for each.

    Raises:
        NotKnown: If there is no such entry.
        Refused: If a field may not be corrected, nothing would change, or the entry was struck.
        Unreadable: If a value is not what the field holds.
    """
    stored, now = find_entry(w, entry)
    if now.leaf not in {one.leaf for one in w.told(now.subject)}:
        raise Refused("That entry was struck; it says nothing any more.", "Enter what is true.")
    facts: Facts = now.facts
    changes = _in_full(facts, changes)
    values = {field: _value(w, facts, field, value) for field, value in changes.items()}
    opened = _together(facts, _changed(facts, _open_of(facts, values)))
    confidential = {f: v for f, v in values.items() if f in facts.held}
    if not opened and not confidential:
        raise Refused("That is what the entry says already.", "Nothing needs correcting.")
    return tuple(
        w.enter(correction, now.subject, on=on)
        for correction in _corrections(stored, now, opened, confidential, confided(reason))
    )


def _corrections(
    stored: Stored,
    now: Happened,
    opened: dict[str, Any],
    confidential: dict[str, Any],
    reason: str | None,
) -> Iterator[EntryCorrected]:
    """The facts of each correction: one held field in each, the open ones in the first."""
    pairs: list[tuple[str | None, Any]] = [*confidential.items()] or [(None, None)]
    for place, (field, value) in enumerate(pairs):
        yield EntryCorrected(
            entry=stored.leaf.hex(),
            entry_kind=now.facts.kind,
            changes={} if place else opened,
            held_field=field,
            held_value=value,
            touches=touched_codes(now.subject, now.facts),
            reason=reason,
        )


def find_entry(reading: Reading, text: str) -> tuple[Stored, Happened]:
    """The entry that a text names (:mod:`editions.registry.entries`), corrections so far applied.

    One that was struck is found too: it lies where it did.

    Raises:
        NotKnown: If there is none.
        Unreadable: If the text names no entry, or more than one.
    """
    stored = entry_named(reading, text)
    every = reading.stored_of(decode(stored.raw).subject)
    changes = corrections_in(one.raw for one in every)
    return next(as_corrected([stored], changes))


def held_now(reading: Reading, stored: Stored) -> dict[str, Any]:
    """The held values of an entry that are still kept, with corrections applied."""
    subject, leaf = decode(stored.raw).subject, stored.leaf.hex()
    values = _kept(reading, stored)
    for later in reading.stored_of(subject):
        correction = decode(later.raw)
        if correction.kind == CORRECTION and correction.facts["entry"] == leaf:
            values |= _restated(reading, later, correction)
    return values


def _restated(reading: Reading, later: Stored, correction: Entry) -> dict[str, Any]:
    field = correction.facts.get("held_field")
    kept = _kept(reading, later)
    return {field: kept["held_value"]} if field and "held_value" in kept else {}


def _kept(reading: Reading, stored: Stored) -> dict[str, Any]:
    kept = queries.held_values(reading.connection, stored.position)
    return {field: parse(value) for field, (_, value) in kept.items()}


def _value(w: Writing, facts: Facts, field: str, value: Any) -> Any:
    """The value as an entry holds it, once it is sure that the field may be corrected."""
    kind = KINDS[facts.kind]
    if field not in kind.correctable:
        raise Refused(_not_correctable(kind, field), _instead(kind, field))
    read = read_field(w, kind, field, value) if isinstance(value, str) else value
    return msgspec.to_builtins(read)


def _in_full(facts: Facts, changes: Mapping[str, Any]) -> dict[str, Any]:
    """The changes by the fields' own names; a defect may be stated as it is when it is noted."""
    named = dict(changes)
    if not isinstance(facts, DefectFound):
        return named
    if "class" in named:
        named["defect_class"] = named.pop("class")
    if "defect" in named:
        read = read_defect(str(named.pop("defect")))
        named |= {"defect_class": read.letter, "name": read.name}
    if isinstance(named.get("defect_class"), str):
        named["defect_class"] = named["defect_class"].strip().upper()
    return named


def _open_of(facts: Facts, values: Mapping[str, Any]) -> dict[str, Any]:
    return {field: value for field, value in values.items() if field not in facts.held}


def _together(facts: Facts, opened: dict[str, Any]) -> dict[str, Any]:
    """A defect's class and name are stated together, so that its judge sees whether they agree."""
    pair = ("defect_class", "name")
    if not isinstance(facts, DefectFound) or not opened.keys() & set(pair):
        return opened
    return {field: getattr(facts, field) for field in pair} | opened


def _changed(facts: Facts, opened: Mapping[str, Any]) -> dict[str, Any]:
    """Those open values that differ from what the entry says now."""
    try:
        now, then = open_part(facts), open_part(corrected(facts, opened))
    except msgspec.ValidationError as fault:
        raise Unreadable(
            f"The {said(facts.kind)} entry cannot say that: {fault}.", "Check the value."
        ) from None
    return {field: value for field, value in opened.items() if now.get(field) != then.get(field)}


def _not_correctable(kind: type[Facts], field: str) -> str:
    if field not in kind.__struct_fields__:
        return f"{a(said(kind.kind)).capitalize()} entry has no field {shown(field)}."
    return f"The {said(field)} of {a(said(kind.kind))} entry cannot be corrected."


def _instead(kind: type[Facts], field: str) -> str:
    if kind.correctable:
        likely = "" if field in kind.__struct_fields__ else meant(field, kind.correctable)
        return f"{likely} What can be: {listed(sorted(kind.correctable))}.".strip()
    return "Nothing of such an entry can be; enter what happened since."
