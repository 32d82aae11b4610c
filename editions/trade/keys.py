"""Keys through time: admitted to the book, ended in it, and for whom they sign meanwhile.

A key is named by its text as a verifier key of a signed note (C2SP signed-note)::

    KeyAdmitted(key="record.example/Y-0002+6a1b…+AaQ…", use="artist", document="met on 2 May 2026")
    KeyEnded(key="record.example/Y-0002+6a1b…+AaQ…", because="lost", from_position=412)

The two keys of entry 0 count as admitted there.  What a key may still prove is told by its place in
the log: from ``from_position`` on it signs nothing, and what it signed before stands.  A key of the
foundry for the use ``log`` signs each checkpoint that covers the entry which admitted it.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from editions.trade.kinds import Facts, Happened, KeyText, Text, When, folds, kind
from editions.trade.parties import Ended, KeyHeld, KeyUse, Party

Signature = Annotated[str, msgspec.Meta(pattern=r"^[A-Za-z0-9+/]{86}==$")]
Position = Annotated[int, msgspec.Meta(ge=0, le=2**53 - 1)]


@kind("key_admitted", correctable=("document",))
class KeyAdmitted(Facts, frozen=True, kw_only=True):
    """A key of the subject is taken into the book; the open document says on what ground.

    ``countersigned_by`` names a key that the book held already, which signed that this one follows;
    ``countersignature`` is that signature, over the text of :mod:`editions.ledger.countersign`.
    """

    key: KeyText
    use: KeyUse
    document: Text = ""
    begins: When
    until: When | None = None
    countersigned_by: KeyText | None = None
    countersignature: Signature | None = None


@kind("key_ended")
class KeyEnded(Facts, frozen=True, kw_only=True):
    """A key of the subject signs no more, from a position in the log on; 0 is wholly.

    ``use`` is told of the two keys of entry 0, which no entry of the party admitted.
    """

    key: KeyText
    because: Ended
    from_position: Position
    use: Literal["foundry", "log"] = "foundry"


@folds(KeyAdmitted, Party)
def _admitted(party: Party, entry: Happened) -> Party:
    facts: KeyAdmitted = entry.facts
    held = KeyHeld(
        key=facts.key,
        use=facts.use,
        leaf=entry.leaf,
        begins=facts.begins,
        until=facts.until,
        document=facts.document,
        countersigned_by=facts.countersigned_by,
    )
    return replace(party, keys=(*party.keys, held))


@folds(KeyEnded, Party)
def _ended(party: Party, entry: Happened) -> Party:
    facts: KeyEnded = entry.facts
    # What the party's entries never admitted is a key of entry 0.
    known = any(held.key == facts.key for held in party.keys)
    first = () if known else (KeyHeld(key=facts.key, use=facts.use),)

    def ended(held: KeyHeld) -> KeyHeld:
        if held.key != facts.key:
            return held
        return replace(
            held, ended=facts.because, ended_on=entry.on, from_position=facts.from_position
        )

    return replace(party, keys=tuple(ended(held) for held in (*first, *party.keys)))
