"""Parties: artists, estates, foundries, mold makers, patineurs, and hands known by a code.

A party is public by its part in the work (an artist, a foundry) or private (a hand, a collector);
only a public party has an open name.  The name of any other is held.
"""

from __future__ import annotations

from typing import Literal

import msgspec
from msgspec.structs import replace

from editions.trade.dates import say_year
from editions.trade.kinds import (
    Code,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    KeyText,
    Line,
    State,
    Text,
    When,
    Word,
    folds,
    kind,
    subject,
)

Role = Literal[
    "artist",
    "estate",
    "foundation",
    "foundry",
    "mold maker",
    "patineur",
    "hand",
    "laboratory",
    "collector",
    "witness",
]
KeyUse = Literal["foundry", "log", "artist"]
Ended = Literal["rotated", "expired", "compromised", "lost", "succession"]
Capacity = Literal["executor", "heirs", "estate", "foundation", "representative"]
PUBLIC_ROLES = frozenset({"artist", "estate", "foundation", "foundry", "laboratory"})


@kind(
    "party_entered",
    starts=True,
    correctable=("name", "born", "died", "place", "private_name", "contact"),
)
class PartyEntered(Facts, frozen=True, kw_only=True):
    """A person or body enters the book; ``private_name`` and ``contact`` are held."""

    roles: tuple[Role, ...]
    name: Word | None = None
    born: When | None = None
    died: When | None = None
    place: Text = ""
    private_name: HeldText = None
    contact: HeldText = None


@kind("artist_died")
class ArtistDied(Facts, frozen=True, kw_only=True):
    """The artist died; the entry's ``on`` is the date."""

    source: Text = ""


@kind("authority_given", correctable=("document", "until"))
class AuthorityGiven(Facts, frozen=True, kw_only=True):
    """The subject may act for an artist, by a document, for a term."""

    artist: Code
    capacity: Capacity
    document: Word
    document_digest: Digest | None = None
    begins: When
    until: When | None = None

    def touched(self) -> tuple[str | None, ...]:
        """The artist for whom the authority is held."""
        return (self.artist,)


class Authority(Line, frozen=True, kw_only=True):
    """Who may act for whom, in which capacity, by which document, from when to when."""

    holder: str
    artist: str
    capacity: Capacity
    document: str
    begins: str
    until: str | None = None


class KeyHeld(Line, frozen=True, kw_only=True):
    """A key of a party: since which entry, until when, and from which position it signs no more.

    ``leaf`` is of the entry that admitted it, empty for a key of entry 0.
    """

    key: KeyText
    use: KeyUse
    leaf: str = ""
    begins: str = ""
    until: str | None = None
    document: str = ""
    countersigned_by: str | None = None
    ended: Ended | None = None
    ended_on: str = ""
    from_position: int = 0

    def admits(self, use: KeyUse) -> bool:
        """Whether an entry after the first admitted it for a use."""
        return self.use == use and bool(self.leaf)

    @property
    def raw(self) -> str:
        """The key itself, whatever name it goes by: the last part of its text."""
        return self.key.split("+", 2)[2]


@subject("Y")
class Party(State, frozen=True, kw_only=True):
    """What the book holds openly of a party."""

    roles: tuple[Role, ...] = ()
    name: str | None = None
    born: str | None = None
    died: str | None = None
    place: str = ""
    authorities: tuple[Authority, ...] = ()
    keys: tuple[KeyHeld, ...] = ()

    def index(self) -> Index:
        """Found by an open name; a private party only by its code; linked to its keys."""
        words = (self.name,) if self.name else ()
        links = tuple(("key", held.raw) for held in self.keys)
        return Index(title=self.shown, words=words, links=links)

    @property
    def shown(self) -> str:
        """The open name, or the code."""
        return self.name or self.code

    @property
    def life(self) -> str:
        """Life dates as printed, by their years: ``1931–2009``, ``born 1961``, or nothing."""
        if self.born and self.died:
            return f"{say_year(self.born)}–{say_year(self.died)}"
        if self.died:
            return f"died {say_year(self.died)}"
        return f"born {say_year(self.born)}" if self.born else ""


@folds(PartyEntered, Party)
def _entered(_: Party | None, entry: Happened) -> Party:
    facts: PartyEntered = entry.facts
    return Party(
        code=entry.subject,
        since=entry.on,
        roles=facts.roles,
        name=facts.name,
        born=facts.born,
        died=facts.died,
        place=facts.place,
    )


@folds(ArtistDied, Party)
def _died(party: Party, entry: Happened) -> Party:
    return replace(party, died=entry.on)


@folds(AuthorityGiven, Party)
def _authorised(party: Party, entry: Happened) -> Party:
    facts: AuthorityGiven = entry.facts
    plain = msgspec.structs.asdict(facts)
    del plain["document_digest"]
    authority = Authority(holder=entry.subject, **plain)
    return replace(party, authorities=(*party.authorities, authority))
