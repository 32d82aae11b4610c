"""Effective entries: raw bytes of the book as a fold sees them, corrections applied.

A correction names an entry by its leaf.  Every look at the book, one subject's or the whole,
gathers the corrections first and then reads each entry as corrected; the corrections themselves
are folded too, in their own place, and leave their count.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import msgspec

from editions.errors import Unreadable
from editions.ledger.envelope import Entry, decode
from editions.trade.book import EntryCorrected
from editions.trade.kinds import Facts, Happened, corrected, facts_from

CORRECTION = "entry_corrected"
# Canonical bytes write a kind in one way, so what lacks it is no correction and is not read twice.
_MAY_CORRECT = b'"' + CORRECTION.encode() + b'"'
Changes = Mapping[str, Mapping[str, Any]]


class Stored(msgspec.Struct, frozen=True):
    """An entry as stored: position, leaf and raw bytes."""

    position: int
    leaf: bytes
    raw: bytes


def corrections_in(raws: Iterable[bytes]) -> dict[str, dict[str, Any]]:
    """The open changes that corrections among these entries make, by the leaf they name.

    Raises:
        Unreadable: If an entry or a correction cannot be read.
    """
    changes: dict[str, dict[str, Any]] = {}
    for raw in raws:
        if is_correction(raw):
            entry = decode(raw)
            facts = facts_from(entry.kind, entry.facts)
            if isinstance(facts, EntryCorrected):
                changes.setdefault(facts.entry, {}).update(facts.changes)
    return changes


def is_correction(raw: bytes) -> bool:
    """Whether an entry is a correction.

    Raises:
        Unreadable: If it may be one and cannot be read.
    """
    return _MAY_CORRECT in raw and decode(raw).kind == CORRECTION


def happened(entry: Entry, leaf: bytes, changes: Changes) -> Happened:
    """An entry as a fold sees it.

    Raises:
        Unreadable: If its kind or facts, or a correction of them, cannot be read.
    """
    facts = facts_from(entry.kind, entry.facts)
    if leaf.hex() in changes:
        facts = _as_corrected(facts, changes[leaf.hex()])
    return Happened(
        leaf=leaf.hex(), at=entry.at, on=entry.on, by=entry.by, subject=entry.subject, facts=facts
    )


def _as_corrected(facts: Facts, changes: Mapping[str, Any]) -> Facts:
    try:
        return corrected(facts, changes)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"A correction of a {facts.kind} entry cannot be read: {fault}.") from None


def effective(stored: Iterable[Stored], changes: Changes) -> Iterator[tuple[Stored, Happened]]:
    """Entries in order, each as a fold sees it."""
    for one in stored:
        yield one, happened(decode(one.raw), one.leaf, changes)
