"""What the pages beside the records may name: artists, works and runs, never a certificate.

A run is listed where its artist publishes anything of it.  A work is listed by its runs and an
artist by the works: what nobody chose to publish, such as a work entered before its edition is
announced, has no page and stands in no index.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from editions.pages import keeping
from editions.pages.desk import Desk
from editions.pages.edition import open_parts
from editions.pages.values import Picture
from editions.pages.view import Room
from editions.store import queries
from editions.trade.codes import read_code
from editions.trade.kinds import State
from editions.trade.parties import Party
from editions.trade.runs import Run
from editions.trade.works import Work

StateT = TypeVar("StateT", bound=State)


def runs(room: Room) -> Iterator[str]:
    """The codes of the runs that have a page, in order."""
    # A list of everything changes with any entry; asking for the codes says so to who watches.
    codes = room.desk.reading.known("R")
    yield from room.once("listed runs", lambda: tuple(_listed(room.desk, codes)))


def works(room: Room) -> Iterator[str]:
    """The codes of the works that have a page, in order."""
    found = (room.desk.get(code, Run) for code in runs(room))
    yield from sorted({run.declared.work for run in found if run})


def artists(room: Room) -> Iterator[str]:
    """The codes of the artists that have a page, in order."""
    found = (room.desk.get(code, Work) for code in works(room))
    yield from sorted({work.artist for work in found if work})


def _listed(desk: Desk, codes: Iterable[str]) -> Iterator[str]:
    own = [code for code in codes if code.startswith("R-")]
    runs = _states(desk, own, Run)
    works = _states(desk, [run.declared.work for run in runs], Work)
    _states(desk, [work.artist for work in works], Party)
    yield from (run.code for run in runs if is_listed(desk, run))


def _states(desk: Desk, codes: Iterable[str], kind: type[StateT]) -> list[StateT]:
    """The states of many subjects, read together; without those that cannot be read."""
    wanted = list(dict.fromkeys(codes))
    desk.reading.fetch_states(wanted)
    return [state for code in wanted if (state := desk.get(code, kind))]


def photographs(room: Room) -> Iterator[str]:
    """The digests of the photographs filed with listed works and runs themselves."""
    desk = room.desk
    states = [*(desk.get(code, Run) for code in runs(room))]
    filed: list[State | None] = [*states, *(desk.get(code, Work) for code in works(room))]
    for state in filed:
        yield from (one.digest for one in (state.photographs if state else ()))


def is_listed(desk: Desk, run: Run) -> bool:
    """Whether a run has a page: its artist publishes something of it, and its work can be read.

    One that was declared in error never was a run of its work, and has none.
    """
    if run.in_error:
        return False
    work = desk.get(run.declared.work, Work)
    return bool(open_parts(run.declared) and work and desk.get(work.artist, Party))


def runs_of(desk: Desk, work: str) -> tuple[Run, ...]:
    """The listed runs of a work, by code."""
    found = linked(desk, "work", work)
    return tuple(one for one in found if isinstance(one, Run) and is_listed(desk, one))


def works_of(desk: Desk, artist: str) -> tuple[Work, ...]:
    """The listed works of an artist, by code."""
    found = linked(desk, "artist", artist)
    return tuple(one for one in found if isinstance(one, Work) and runs_of(desk, one.code))


def linked(desk: Desk, role: str, target: str) -> tuple[State, ...]:
    """What is linked to a subject in a role, by code; where a row is damaged, from the entries."""
    found = desk.attempt(target, lambda: desk.reading.linked(role, target))
    if found is None:
        codes = [code for code, _ in queries.linked(desk.reading.connection, role, target)]
        found = tuple(filter(None, (desk.get(code, State) for code in codes)))
    return found


def picture_of(room: Room, *states: State) -> Picture | None:
    """The newest photograph of the first of these that has one whose file is here."""
    for state in states:
        for filed in reversed(state.photographs):
            if keeping.photograph(filed.digest, room.home)[0] is not None:
                return Picture(digest=filed.digest, kept=True)
    return None


def read_member(letter: str, typed: str) -> str:
    """A code as it stands in an address, in its kept form.

    Raises:
        Unreadable: If it is no code of this letter.
    """
    return read_code(typed, letter)
