"""Erasing one held field of one entry, within a writing.

The entry is named as for a correction, by its leaf or its place: ``P-0003#4``.  What corrections
restated of the field goes with it.  Bytes may linger in the database's files until they are
cleared; :func:`editions.registry.held.erase_held` does both.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from editions.ledger.envelope import decode
from editions.registry.acts.corrections import find_entry
from editions.registry.acts.typed import confided, one_of, word
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules import retention
from editions.store.effective import CORRECTION, Stored
from editions.trade.dates import latest
from editions.trade.held import RESTATED, Answer, Because, Duty, HeldErased
from editions.trade.kinds import Facts, Happened, touched_codes
from editions.trade.parties import Party

BECAUSE: tuple[Because, ...] = ("request", "court order", "error", "duty ended")

# Of the paper, not of the metal: such an entry, however late, is no production.
_PAPERWORK = ("certificate_", "entry_", "held_", "photograph_", "key_", "proof_", "ink_")


def erase_field(
    w: Writing,
    entry: str,
    field: str,
    *,
    authority: str,
    because: str,
    reason: str | None = None,
    no_duty: bool = False,
    on: str | None = None,
) -> Entered:
    """Erase one held field of an earlier entry; salt and value are gone with the commit.

    Args:
        w: The writing.
        entry: The entry's leaf, or its place in a history: ``P-0003#4``.
        field: The held field.
        authority: The code of the party who may ask for it, or an office in a few words; open.
        because: ``request``, ``court order``, ``error`` or ``duty ended``; open.
        reason: The story, held.
        no_duty: A duty to keep it does not apply; the reason says why.
        on: When it was decided, EDTF; today when absent.

    Raises:
        NotKnown: If there is no such entry, or the authority is no party of the book.
        Refused: If the field is not held, is erased already, or must be kept.
    """
    stored, now = find_entry(w, entry)
    facts: Facts = now.facts
    field = field.strip().lower().replace("-", "_").replace(" ", "_")
    why = one_of(because, BECAUSE, "reason to erase")
    said = confided(reason)
    return w.enter(
        HeldErased(
            entry=stored.leaf.hex(),
            entry_kind=facts.kind,
            field=field,
            authority=_authority(w, authority),
            because=why,
            restated=tuple(_restated(w, stored, field)),
            duty=_duty(w, now, field, why, waived=no_duty),
            touches=touched_codes(now.subject, facts),
            reason=said,
        ),
        now.subject,
        on=on,
    )


def restatements(reading: Reading, stored: Stored, field: str) -> Iterator[str]:
    """The leaves of the corrections that restate a held field of an entry, the oldest first."""
    leaf = stored.leaf.hex()
    for later in reading.stored_of(decode(stored.raw).subject):
        entry = decode(later.raw)
        named = (entry.facts.get("entry"), entry.facts.get("held_field"))
        if entry.kind == CORRECTION and named == (leaf, field):
            yield later.leaf.hex()


def _restated(w: Writing, stored: Stored, field: str) -> Iterator[str]:
    return (leaf for leaf in restatements(w, stored, field) if not w.erased(leaf, RESTATED))


def _authority(w: Writing, text: str) -> str:
    said = word(text, "authority")
    party = w.state(said.upper())
    # Otherwise an office; what looks like a party's code is refused by the judge.
    return party.code if isinstance(party, Party) else said


def _duty(w: Writing, now: Happened, field: str, because: Because, *, waived: bool) -> Duty | None:
    party = w.state(now.subject)
    authorities = party.authorities if isinstance(party, Party) else ()
    rule = retention.duty_on(now.facts.kind, field, authorises=bool(authorities))
    if rule is None:
        return None
    answer: Answer = "ended"
    if because == "court order":
        answer = "court order"
    elif waived:
        answer = "does not apply"
    return Duty(rule=rule, counted_from=_produced(w, now).isoformat(), answer=answer)


def _produced(w: Writing, now: Happened) -> datetime.date:
    """The last day that the book tells of the subject's making, which no production can be after.

    Whoever acts for an artist may authorise casts as long as the authority lasts.
    """
    days = [_day(w, now.on)]
    for _, one in w.history(now.subject):
        if not one.facts.kind.startswith(_PAPERWORK):
            days.append(_day(w, one.on))
    party = w.state(now.subject)
    if isinstance(party, Party):
        days += [_day(w, held.until or "") for held in party.authorities]
    return max(days)


def _day(w: Writing, when: str) -> datetime.date:
    today = datetime.date.fromisoformat(w.today)
    last = latest(when) if when else None
    return today if last is None else min(last, today)
