"""What was struck: of a subject, for whoever reads its history; and of the book, for the audit.

The audit judges no entry again, but a strike must never take away what a paper was issued on, and
whoever writes past the judges could enter one that does::

    for fault in strike_faults(reading):
        print(fault)   # entry 44: it strikes entry 12, which a certificate was issued on (entry 30)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress

import msgspec

from editions.errors import BronzebookError, NotKnown
from editions.ledger.envelope import decode
from editions.registry.reading import Reading
from editions.store import queries
from editions.store.effective import Changes, Stored, as_corrected, corrections_in
from editions.trade.certificates import CertificateIssued
from editions.trade.kinds import Happened, said, touched_codes
from editions.trade.strikes import STRIKABLE, STRIKE, EntryStruck, relies

History = list[tuple[Stored, Happened]]


class Strike(msgspec.Struct, frozen=True, kw_only=True):
    """One entry struck: ``entry`` is its leaf; ``leaf`` and ``position`` are of the strike."""

    entry: str
    entry_kind: str
    on: str
    recorded: str
    by: str
    position: int
    leaf: str


def strikes_of(stored: Sequence[Stored]) -> tuple[Strike, ...]:
    """Every strike among the entries that touch a subject, in the order of the book."""
    return tuple(_strikes(stored))


def _strikes(stored: Sequence[Stored]) -> Iterator[Strike]:
    for one in stored:
        entry = decode(one.raw)
        if entry.kind == STRIKE:
            yield Strike(
                entry=str(entry.facts["entry"]),
                entry_kind=str(entry.facts["entry_kind"]),
                on=entry.on,
                recorded=entry.at,
                by=entry.by,
                position=one.position,
                leaf=one.leaf.hex(),
            )


def whole_history(stored: Sequence[Stored]) -> History:
    """Every entry that touches a subject, as corrected, those that are struck among them."""
    return list(as_corrected(stored, corrections_in(one.raw for one in stored)))


def strike_faults(reading: Reading) -> Iterator[str]:
    """What no strike may do, a line a fault: see :func:`_wrong`."""
    strikes = queries.entries_of_kind(reading.connection, STRIKE)
    if not strikes:
        return
    issued = list(_seen(queries.entries_of_kind(reading.connection, CertificateIssued.kind)))
    seen = set[str]()
    for stored, strike in _seen(strikes):
        fault = _wrong(reading, stored, strike, issued, seen)
        seen.add(strike.facts.entry)
        if fault:
            yield f"entry {stored.position}: it strikes {fault}"


def _seen(stored: Sequence[Stored]) -> Iterator[tuple[Stored, Happened]]:
    """Entries as they were written; one that cannot be read is named by the audit itself."""
    for one in stored:
        with suppress(BronzebookError):
            yield from as_corrected([one], Changes())


def _wrong(
    reading: Reading, stored: Stored, strike: Happened, issued: History, struck: set[str]
) -> str:
    """Why an entry may not be struck as a strike strikes it; empty where it may."""
    try:
        earlier = reading.by_leaf(strike.facts.entry)
    except NotKnown:
        return "an entry that is not in the book"
    where = f"entry {earlier.position}"
    entry = next((one for _, one in _seen([earlier])), None)
    if entry is None:
        return f"{where}, which cannot be read"
    if fault := _another(strike, entry):
        return f"{where}, {fault}"
    if earlier.position > stored.position or entry.leaf in struck:
        return f"{where}, which {'is struck already' if entry.leaf in struck else 'comes after it'}"
    for paper, one in issued:
        if earlier.position < paper.position < stored.position and relies(one, entry):
            return f"{where}, which a certificate was issued on (entry {paper.position})"
    return ""


def _another(strike: Happened, entry: Happened) -> str:
    """What is wrong of the entry struck, as the strike names it; empty where nothing is."""
    facts: EntryStruck = strike.facts
    if entry.facts.kind not in STRIKABLE:
        return f"{said(entry.facts.kind)}, which is never struck"
    own = (entry.facts.kind, entry.subject, touched_codes(entry.subject, entry.facts))
    same = own == (facts.entry_kind, strike.subject, facts.touches)
    return "" if same else "and says that this is another entry than it is"
