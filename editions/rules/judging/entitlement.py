"""Who may speak for a work: the living artist, or who holds an authority valid on the day."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.common import known
from editions.rules.judging.desk import Desk, Draft
from editions.trade.dates import certainly_before, say_when
from editions.trade.parties import Authority, Party


def entitled(draft: Draft, desk: Desk, party: str, artist: str, doing: str) -> None:
    """Refuse a party that could not speak for the artist on the day of the entry.

    Args:
        draft: The entry; its date counts.
        desk: The book.
        party: Who spoke.
        artist: The artist of the work.
        doing: What was done, after "cannot": ``authorise a run``.

    Raises:
        Refused: If the artist was dead, or the party held no authority on that day.
    """
    for_whom = known(desk, artist, Party)
    if party == artist:
        _alive(draft, for_whom, doing)
        return
    speaker = known(desk, party, Party)
    held = [a for a in speaker.authorities if (a.holder, a.artist) == (party, artist)]
    if not held:
        raise Refused(
            f"{speaker.shown} holds no authority for {for_whom.shown} and cannot {doing}.",
            "Enter the authority and its document first.",
        )
    if not any(covers(authority, draft.on) for authority in held):
        raise Refused(
            f"{speaker.shown} cannot {doing} on {say_when(draft.on)}: the authority for"
            f" {for_whom.shown} {_term(held[-1])}.",
            "Check the date, or enter the authority that holds then.",
        )


def _alive(draft: Draft, artist: Party, doing: str) -> None:
    if artist.died and certainly_before(artist.died, draft.on):
        raise Refused(
            f"{artist.shown} died {say_when(artist.died)} and cannot {doing} on"
            f" {say_when(draft.on)}.",
            "An estate or another authority must; enter its authority first.",
        )


def covers(authority: Authority, on: str) -> bool:
    """Whether an authority holds on that day."""
    ended = authority.until is not None and certainly_before(authority.until, on)
    return not ended and not certainly_before(on, authority.begins)


def _term(authority: Authority) -> str:
    term = f"began {say_when(authority.begins)}"
    return f"{term} and ended {say_when(authority.until)}" if authority.until else term
