"""What people do with parties: enter them, record a death, enter an authority."""

from __future__ import annotations

from collections.abc import Iterable
from typing import get_args

import msgspec

from editions.registry.acts.typed import confided, found, fresh, one_of, word
from editions.registry.writing import Entered, Writing
from editions.trade.dates import read_when
from editions.trade.parties import (
    ArtistDied,
    AuthorityGiven,
    Capacity,
    Party,
    PartyEntered,
    Role,
)
from editions.trade.text import clean

ROLES: tuple[Role, ...] = get_args(Role)
CAPACITIES: tuple[Capacity, ...] = get_args(Capacity)

# Their names are held whatever else is said; a mold maker or a patineur may sign the work.
_UNNAMED = frozenset({"hand", "collector", "witness"})


def enter_party(
    w: Writing,
    roles: str | Iterable[str],
    *,
    name: str | None = None,
    born: str | None = None,
    died: str | None = None,
    place: str = "",
    private_name: str | None = None,
    contact: str | None = None,
    code: str | None = None,
    on: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter a person or a body by its part in the work.

    A name given for someone who is only a hand, a collector or a witness is held: nobody is shown
    it, and everyone sees the code.

    Args:
        w: The writing.
        roles: One role or several: ``artist``, ``estate``, ``hand``, ``mold maker`` …
        name: The name; open for a public party.
        born: Date of birth, EDTF.
        died: Date of death, EDTF.
        place: Where it is, in open words.
        private_name: A name that is held.
        contact: How to reach it; held.
        code: The registry's code; the next free one when absent.
        on: When, EDTF; today when absent.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        Unreadable: A role that is none, or a date that cannot be read.
        Refused: If a public party has no name.
    """
    named = (roles,) if isinstance(roles, str) else roles
    read = tuple(one_of(role, ROLES, "role") for role in named)
    kept = word(name, "name") if name else None
    if kept and read and _UNNAMED.issuperset(read):
        kept, private_name = None, private_name or kept
    facts = PartyEntered(
        roles=read,
        name=kept,
        born=read_when(born) if born else None,
        died=read_when(died) if died else None,
        place=clean(place),
        private_name=confided(private_name),
        contact=confided(contact),
    )
    known = _known_already(w, facts)
    made = w.enter(facts, fresh(w, "Y", code), on=on, row=row)
    return msgspec.structs.replace(made, remarks=(*made.remarks, *known))


def _known_already(w: Writing, facts: PartyEntered) -> tuple[str, ...]:
    """Remark on an artist of this name, born when this one was or at a time not known."""
    if facts.name is None or "artist" not in facts.roles:
        return ()
    found = (w.state(code) for code, letter, _ in w.search(facts.name) if letter == "Y")
    artists = [one for one in found if isinstance(one, Party) and "artist" in one.roles]
    return tuple(
        f"{one.code} is an artist {one.name} already; if this is the same person, use {one.code}."
        for one in artists
        if (one.name or "").casefold() == facts.name.casefold()
        and (one.born == facts.born or not (one.born and facts.born))
    )


def record_death(w: Writing, artist: str, *, source: str = "", on: str | None = None) -> Entered:
    """Record that an artist died; ``on`` is the date, and ``source`` says how it is known."""
    return w.enter(ArtistDied(source=clean(source)), found(w, artist, Party).code, on=on)


def give_authority(
    w: Writing,
    holder: str,
    artist: str,
    *,
    capacity: str,
    document: str,
    begins: str | None = None,
    until: str | None = None,
    document_digest: str | None = None,
    on: str | None = None,
) -> Entered:
    """Enter that a party may act for an artist.

    Args:
        w: The writing.
        holder: Code of the estate, foundation or person who may act.
        artist: Code of the artist.
        capacity: ``executor``, ``heirs``, ``estate``, ``foundation`` or ``representative``.
        document: The paper that says so, in a few words.
        begins: From when, EDTF; the date of the entry when absent.
        until: Until when, EDTF; without end when absent.
        document_digest: SHA-256 of the document's file, in hex.
        on: When this was entered as happened, EDTF; today when absent.

    Raises:
        Unreadable: A capacity or a date that cannot be read.
        Refused: If the holder or the artist cannot be that.
    """
    facts = AuthorityGiven(
        artist=found(w, artist, Party).code,
        capacity=one_of(capacity, CAPACITIES, "capacity"),
        document=word(document, "document"),
        document_digest=document_digest,
        begins=read_when(begins or on or w.today),
        until=read_when(until) if until else None,
    )
    return w.enter(facts, found(w, holder, Party).code, on=on)
