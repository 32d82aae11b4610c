"""Effective entries: raw bytes of the book as a fold sees them, corrected, without what is struck.

A correction or a strike names an entry by its leaf.  Every look at the book, one subject's or the
whole, gathers both first and then reads each entry as corrected.  Corrections are folded too, in
their own place, and leave their count.  What is struck is left out, and its corrections with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import msgspec

from editions.errors import Unreadable
from editions.ledger.envelope import Entry, decode
from editions.trade.book import EntryCorrected
from editions.trade.kinds import Facts, Happened, corrected, facts_from
from editions.trade.strikes import STRIKE, EntryStruck

CORRECTION = "entry_corrected"
AMENDING = (CORRECTION, STRIKE)
# Canonical bytes write a kind in one way, so what lacks both amends nothing and is not read twice.
_MAY_AMEND = tuple(b'"' + kind.encode() + b'"' for kind in AMENDING)


class Changes(msgspec.Struct, frozen=True):
    """What later entries make of earlier ones, by leaf: fields stated again, entries struck."""

    restated: Mapping[str, Mapping[str, Any]] = {}
    struck: frozenset[str] = frozenset()

    def leave_out(self, leaf: str, facts: Facts) -> bool:
        """Whether no fold sees an entry: it is struck, or corrects one that is."""
        return leaf in self.struck or (
            isinstance(facts, EntryCorrected) and facts.entry in self.struck
        )


class Stored(msgspec.Struct, frozen=True):
    """An entry as stored: position, leaf and raw bytes."""

    position: int
    leaf: bytes
    raw: bytes


def corrections_in(raws: Iterable[bytes]) -> Changes:
    """What corrections and strikes among these entries change, by the leaf they name.

    Raises:
        Unreadable: If an entry, a correction or a strike cannot be read.
    """
    restated: dict[str, dict[str, Any]] = {}
    struck: set[str] = set()
    for raw in raws:
        if is_correction(raw):
            entry = decode(raw)
            facts = facts_from(entry.kind, entry.facts)
            if isinstance(facts, EntryCorrected):
                restated.setdefault(facts.entry, {}).update(facts.changes)
            elif isinstance(facts, EntryStruck):
                struck.add(facts.entry)
    return Changes(restated, frozenset(struck))


def is_correction(raw: bytes) -> bool:
    """Whether an entry corrects or strikes another.

    Raises:
        Unreadable: If it may do so and cannot be read.
    """
    return any(may in raw for may in _MAY_AMEND) and decode(raw).kind in AMENDING


def happened(entry: Entry, leaf: bytes, changes: Changes) -> Happened:
    """An entry as corrected, whether or not a fold leaves it out.

    Raises:
        Unreadable: If its kind or facts, or a correction of them, cannot be read.
    """
    facts = facts_from(entry.kind, entry.facts)
    if leaf.hex() in changes.restated:
        facts = _as_corrected(facts, changes.restated[leaf.hex()])
    return Happened(
        leaf=leaf.hex(), at=entry.at, on=entry.on, by=entry.by, subject=entry.subject, facts=facts
    )


def _as_corrected(facts: Facts, changes: Mapping[str, Any]) -> Facts:
    try:
        return corrected(facts, changes)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"A correction of a {facts.kind} entry cannot be read: {fault}.") from None


def effective(stored: Iterable[Stored], changes: Changes) -> Iterator[tuple[Stored, Happened]]:
    """Entries in order, each as a fold sees it; without those that are left out."""
    for one, seen in as_corrected(stored, changes):
        if not changes.leave_out(seen.leaf, seen.facts):
            yield one, seen


def as_corrected(stored: Iterable[Stored], changes: Changes) -> Iterator[tuple[Stored, Happened]]:
    """Every entry in order, as corrected, those that are struck among them."""
    for one in stored:
        yield one, happened(decode(one.raw), one.leaf, changes)
