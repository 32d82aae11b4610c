"""Pages of a run, a work and an artist: as much as the artist publishes, and no certificate.

Anybody may find and link them.  What is told of a run is decided by :mod:`editions.pages.edition`,
and which of them have a page by :mod:`editions.pages.listing`.
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.errors import NotKnown
from editions.pages import listing, render, structured
from editions.pages.edition import edition, open_parts, said_of
from editions.pages.tongues import Tongue
from editions.pages.values import RunView
from editions.pages.view import Room
from editions.rules.counts import tally
from editions.trade.parties import Party
from editions.trade.runs import Run
from editions.trade.works import Work


def run_page(room: Room, code: str, tongue: Tongue) -> bytes:
    """The page of a run.

    Raises:
        NotKnown: If there is no such run, or its artist publishes nothing of it.
    """
    desk, book = room.desk, room.desk.book
    run = desk.get(code, Run)
    if run is None or not listing.is_listed(desk, run):
        raise _unknown()
    work, artist = _of(room, run.declared.work)
    view = edition(desk, run, None, cast=False)
    picture = listing.picture_of(room, run, work)
    return render.page_beside(
        "run_page.html",
        tongue,
        here=f"/run/{code}/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        run=view,
        said=said_of(run.declared),
        alloy=run.declared.alloy,
        work=work,
        artist=artist,
        picture=picture,
        published=room.published,
        structured=structured.of_run(book, view, work, artist, picture),
        preview=structured.preview(
            book, f"{work.title}, {artist.shown}", f"{tongue.path}/run/{code}/", picture
        ),
    )


def work_page(room: Room, code: str, tongue: Tongue) -> bytes:
    """The page of a work: its runs and scales, and who declared each.

    Raises:
        NotKnown: If there is no such work, or no run of it is published.
    """
    book, runs = room.desk.book, tuple(_runs(room, code))
    if not runs:
        raise _unknown()
    work, artist = _of(room, code)
    picture = listing.picture_of(room, work)
    codes = tuple(run.code for run, _ in runs)
    return render.page_beside(
        "work_page.html",
        tongue,
        here=f"/work/{code}/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        work=work,
        artist=artist,
        runs=runs,
        together=_together(room, code),
        picture=picture,
        structured=structured.of_work(book, work, artist, codes, picture),
        preview=structured.preview(
            book, f"{work.title}, {artist.shown}", f"{tongue.path}/work/{code}/", picture
        ),
    )


def artist_page(room: Room, code: str, tongue: Tongue) -> bytes:
    """The page of an artist: the works of which something is published.

    Raises:
        NotKnown: If there is no such artist, or nothing of theirs is published.
    """
    desk, book = room.desk, room.desk.book
    artist, works = desk.get(code, Party), listing.works_of(desk, code)
    if artist is None or not works:
        raise _unknown()
    return render.page_beside(
        "artist_page.html",
        tongue,
        here=f"/artist/{code}/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        artist=artist,
        works=tuple((work, _said(room, work.code)) for work in works),
        structured=structured.of_artist(book, artist),
        preview=structured.preview(book, artist.shown, f"{tongue.path}/artist/{code}/"),
    )


def _runs(room: Room, work: str) -> Iterator[tuple[RunView, str]]:
    for run in listing.runs_of(room.desk, work):
        yield edition(room.desk, run, None, cast=False), said_of(run.declared)


def _said(room: Room, work: str) -> list[tuple[str, str]]:
    return [(run.code, said_of(run.declared)) for run in listing.runs_of(room.desk, work)]


def _together(room: Room, work: str) -> int | None:
    """What all runs of a work declare together; None where one of them does not tell."""
    linked = listing.linked(room.desk, "work", work)
    runs = [one for one in linked if isinstance(one, Run) and not one.in_error]
    declared = [tally(run, ()).declared for run in runs if _tells_all(run)]
    known = [one for one in declared if one is not None]
    return sum(known) if len(runs) == len(known) > 1 else None


def _tells_all(run: Run) -> bool:
    return {"size", "proofs"} <= open_parts(run.declared)


def _of(room: Room, code: str) -> tuple[Work, Party]:
    work = room.desk.get(code, Work)
    artist = room.desk.get(work.artist, Party) if work else None
    if work is None or artist is None:
        raise _unknown()
    return work, artist


def _unknown() -> NotKnown:
    return NotKnown("Nothing is published under this code.")
