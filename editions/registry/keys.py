"""Keys through time: which keys the book holds, and what each may prove at a place in the log.

A claim is judged by its place, never by a date that somebody wrote: an entry before the position
from which a key was revoked stands, though the key was revoked later; one from there on does not.
The keys of entry 0 count as admitted at 0.

=================  ======================================================================
``valid``          the book held the key at that place, and it had not ended there
``unknown``        the book never held the key, or had not admitted it there
``revoked from N`` it was compromised: from position N on nothing counts that it signed
``ended``          it had ended there for another reason: rotated, expired, lost, succession
=================  ======================================================================
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from certificates.countersign import Countersigned, countersign_text
from editions.ledger.encodings import from_base64
from editions.ledger.envelope import decode
from editions.ledger.keys import SIGNATURE, key_id
from editions.ledger.notes import VerifierKey
from editions.registry.reading import Reading
from editions.rules.judging.keys import keys_of
from editions.trade.parties import KeyHeld, KeyUse, Party

VALID, UNKNOWN, ENDED = "valid", "unknown", "ended"


class KeyInBook(msgspec.Struct, frozen=True, kw_only=True):
    """A key as the book holds it, whose it is, and the position that admitted it."""

    party: str
    name: str
    held: KeyHeld
    admitted: int

    @property
    def verifier(self) -> VerifierKey:
        """The key itself."""
        return VerifierKey.parse(self.held.key)

    def judged(self, position: int) -> str:
        """What the key may prove at a place in the log; see the table above."""
        if position < self.admitted:
            return UNKNOWN
        if self.held.ended is None or position < self.held.from_position:
            return VALID
        if self.held.ended == "compromised":
            return f"revoked from {self.held.from_position}"
        return ENDED


def all_keys(reading: Reading) -> tuple[KeyInBook, ...]:
    """Every key that the book holds or held: the foundry's first, then by party."""
    return tuple(_every(reading))


def keys_of_party(reading: Reading, code: str) -> tuple[KeyInBook, ...]:
    """Every key of one party; of the foundry, the two of entry 0 too."""
    return tuple(_of(reading, reading.get(code, Party)))


def foundry_keys_at(reading: Reading, position: int) -> tuple[VerifierKey, ...]:
    """The foundry's certifying keys that were valid at a place in the log."""
    foundry = reading.get(reading.book.foundry, Party)
    keys = (one for one in _of(reading, foundry) if one.held.use == "foundry")
    return tuple(one.verifier for one in keys if one.judged(position) == VALID)


def certifying_keys(reading: Reading) -> tuple[VerifierKey, ...]:
    """Every certifying key the foundry ever had, the newest first: what checkers are handed."""
    foundry = reading.get(reading.book.foundry, Party)
    keys = [one.verifier for one in _of(reading, foundry) if one.held.use == "foundry"]
    return tuple(reversed(keys))


def handovers(reading: Reading) -> tuple[Countersigned, ...]:
    """Each key that the foundry let follow another, with the signature of the one that vouched.

    Nothing of it is verified here: whoever is handed it does that.
    """
    foundry = reading.get(reading.book.foundry, Party)
    return tuple(_handover(reading, held) for held in foundry.keys if held.countersigned_by)


def _handover(reading: Reading, held: KeyHeld) -> Countersigned:
    book, facts = reading.book, decode(reading.entry(held.leaf)).facts
    return Countersigned(
        text=countersign_text(book.origin, book.foundry, held.use, held.key),
        book=book.origin,
        party=book.foundry,
        use=held.use,
        key=held.key,
        by=VerifierKey.parse(held.countersigned_by or "").public,
        signature=from_base64(str(facts.get("countersignature")), SIGNATURE),
    )


def key_judgement(reading: Reading, wanted: bytes, position: int, use: KeyUse | None = None) -> str:
    """What a key may prove at a place in the log.

    Args:
        reading: One moment of the book.
        wanted: The first 8 bytes of the key's fingerprint, as a claim names it.
        position: The place.
        use: Count it only for this use, where one is named.
    """
    for one in _every(reading):
        if key_id(one.verifier.public) == wanted and use in (None, one.held.use):
            return one.judged(position)
    return UNKNOWN


def _every(reading: Reading) -> Iterator[KeyInBook]:
    book = reading.book
    yield from _of(reading, reading.get(book.foundry, Party))
    for party in reading.all_of(Party):
        if party.code != book.foundry and party.keys:
            yield from _of(reading, party)


def _of(reading: Reading, party: Party) -> Iterator[KeyInBook]:
    for held in keys_of(reading, party):
        yield KeyInBook(
            party=party.code,
            name=party.shown,
            held=held,
            admitted=reading.position_of(held.leaf) if held.leaf else 0,
        )
