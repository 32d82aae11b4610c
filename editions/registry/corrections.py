"""The corrections of a subject's entries: which field, from what to what, when and by whom.

A correction leaves the earlier entry as it is and states fields of it again; reading a subject
applies them, so that what was replaced is seen only here::

    corrections_of(reading.stored_of("P-0003"))
    ->  (Correction(field="mass", was={"value": "12.4", …}, now={"value": "12.6", …}, …),)

What a held field said is not told: ``kept`` names where its two values lie, for whoever may ask.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import msgspec

from editions.ledger.envelope import Entry, decode
from editions.store.effective import CORRECTION, Stored
from editions.trade.kinds import facts_from, open_part

_RESTATED = "held_value"


class Place(NamedTuple):
    """Where a held value lies: the entry's position, and the field under which it is kept there."""

    position: int
    field: str


class Correction(msgspec.Struct, frozen=True, kw_only=True):
    """One field of an earlier entry, stated again.

    ``entry`` is the leaf of the entry corrected, ``leaf`` and ``position`` are of the correction.
    ``was`` and ``now`` are plain values, None where nothing was said; of a held field both are
    None, and ``kept`` is where the values lie.
    """

    entry: str
    entry_kind: str
    field: str
    was: Any = None
    now: Any = None
    on: str
    recorded: str
    by: str
    position: int
    leaf: str
    kept: tuple[Place, Place] | None = None

    @property
    def held(self) -> bool:
        """Whether the field is one that is held."""
        return self.kept is not None


def corrections_of(stored: Sequence[Stored]) -> tuple[Correction, ...]:
    """Every correction among the entries that touch a subject, in the order of the book.

    Raises:
        Unreadable: If an entry cannot be read.
    """
    return tuple(_read(stored))


def _read(stored: Sequence[Stored]) -> Iterator[Correction]:
    said: dict[str, dict[str, Any]] = {}
    places: dict[tuple[str, str], Place] = {}
    for one in stored:
        entry = decode(one.raw)
        if entry.kind != CORRECTION:
            leaf = one.leaf.hex()
            said[leaf] = dict(open_part(facts_from(entry.kind, entry.facts)))
            places |= {(leaf, name): Place(one.position, name) for name in entry.held}
            continue
        yield from _open(one, entry, said)
        yield from _held(one, entry, places)


def _open(one: Stored, entry: Entry, said: dict[str, dict[str, Any]]) -> Iterator[Correction]:
    before = said.setdefault(str(entry.facts["entry"]), {})
    for field, now in entry.facts.get("changes", {}).items():
        # A field may be restated beside another that changed, though it says the same.
        if before.get(field) != now:
            yield _correction(one, entry, field=field, was=before.get(field), now=now)
        before[field] = now


def _held(one: Stored, entry: Entry, places: dict[tuple[str, str], Place]) -> Iterator[Correction]:
    field = entry.facts.get("held_field")
    if field is None:
        return
    key, new = (str(entry.facts["entry"]), field), Place(one.position, _RESTATED)
    yield _correction(one, entry, field=field, kept=(places.get(key, new), new))
    places[key] = new


def _correction(one: Stored, entry: Entry, **said: Any) -> Correction:
    return Correction(
        entry=str(entry.facts["entry"]),
        entry_kind=str(entry.facts["entry_kind"]),
        on=entry.on,
        recorded=entry.at,
        by=entry.by,
        position=one.position,
        leaf=one.leaf.hex(),
        **said,
    )
