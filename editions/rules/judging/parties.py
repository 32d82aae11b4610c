"""Judges of parties: open and held names, life dates, authorities."""

from __future__ import annotations

from collections.abc import Iterator

from editions.errors import Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, kept_when, known, not_before, not_to_come
from editions.rules.judging.desk import Desk, Draft
from editions.trade.dates import certainly_before, say_when
from editions.trade.parties import (
    PUBLIC_ROLES,
    ArtistDied,
    AuthorityGiven,
    Party,
    PartyEntered,
)

_OF_THE_DEAD = ("executor", "heirs", "estate")
# A mold maker or a patineur may sign the work; a hand, a collector or a witness stays unnamed.
_MAY_BE_NAMED = PUBLIC_ROLES | {"mold maker", "patineur"}


def an_artist(desk: Desk, code: str) -> Party:
    """The party of that code, who must be an artist.

    Raises:
        NotKnown: If the book holds no such party.
        Refused: If the party is not an artist.
    """
    party = known(desk, code, Party)
    if "artist" not in party.roles:
        raise Refused(
            f"{code} is not an artist but {' and '.join(party.roles)}.",
            "Check the code, or enter the artist.",
        )
    return party


@judges(PartyEntered)
def _entered(draft: Draft, facts: PartyEntered, _: Desk) -> tuple[str, ...]:
    distinct(facts.roles, "role")
    public = sorted(PUBLIC_ROLES.intersection(facts.roles))
    if public and not facts.name:
        raise Refused(
            f"A party whose role is {public[0]} is public and has an open name.", "Give the name."
        )
    if facts.name and not _MAY_BE_NAMED.intersection(facts.roles):
        raise Refused(
            f"The name of a party whose role is {facts.roles[0]} is not shown to anyone.",
            "Give it as the held name.",
        )
    _life(draft, facts)
    return ()


def _life(draft: Draft, facts: PartyEntered) -> None:
    for when, what in ((facts.born, "the party was born"), (facts.died, "the party died")):
        if when:
            not_to_come(draft, when, what)
    if facts.born and facts.died and certainly_before(facts.died, facts.born):
        raise Refused(
            f"A life cannot end in {say_when(facts.died)} and begin in {say_when(facts.born)}.",
            "Check both dates.",
        )


@judges(ArtistDied)
def _died(draft: Draft, _: ArtistDied, desk: Desk) -> tuple[str, ...]:
    artist = an_artist(desk, draft.subject)
    if artist.died:
        raise Refused(
            f"{artist.shown} is entered as having died {say_when(artist.died)}.",
            "Correct that entry where it is wrong.",
        )
    not_before(draft, artist.born, f"{artist.shown} was born")
    return ()


@judges(AuthorityGiven)
def _authority(draft: Draft, facts: AuthorityGiven, desk: Desk) -> tuple[str, ...]:
    artist = an_artist(desk, facts.artist)
    if draft.subject == facts.artist:
        raise Refused(
            f"{artist.shown} needs no authority for their own work.",
            "Name who acts for the artist.",
        )
    kept_when(facts.begins, "the authority begins")
    if facts.until:
        kept_when(facts.until, "the authority ends")
        if certainly_before(facts.until, facts.begins):
            raise Refused(
                f"The authority would end {say_when(facts.until)}, before it begins"
                f" {say_when(facts.begins)}.",
                "Check both dates.",
            )
    return tuple(_of_the_living(facts, artist)) if facts.capacity in _OF_THE_DEAD else ()


def _of_the_living(facts: AuthorityGiven, artist: Party) -> Iterator[str]:
    """What is odd about an estate whose artist lives, or lived when its authority began."""
    if not artist.died:
        yield (
            f"The capacity is {facts.capacity}, but {artist.shown} is not recorded as dead; enter"
            " the death (bronzebook party died), or another capacity."
        )
    elif certainly_before(facts.begins, artist.died):
        yield (
            f"The capacity is {facts.capacity} from {say_when(facts.begins)}, but {artist.shown}"
            f" died {say_when(artist.died)}."
        )
