"""Looking up: a number to its page, or artist, title and marks to a run's public page.

It works without a server: the page carries a script, which reads one file of public facts when it
is first needed.  Without scripts the page is a list of artists, works and runs.  The file and the
list come from :mod:`editions.pages.listing`, so that no certificate, number or mark stands in them.
The list is left out of the page where it would be longer than anybody reads; each artist's page
still has it.
"""

from __future__ import annotations

from typing import Any

import msgspec

from editions.pages import listing, render, spoken, structured
from editions.pages.edition import open_parts, said_of
from editions.pages.tongues import Tongue
from editions.pages.view import Room
from editions.trade.parties import Party
from editions.trade.runs import Run
from editions.trade.works import Work

# Beyond this many works the page lists artists alone.
_MOST_LISTED = 400


def look_page(room: Room, _: str, tongue: Tongue) -> bytes:
    """The page where things are looked up."""
    book, facts = room.desk.book, _index(room)
    works: dict[str, list[dict[str, Any]]] = {}
    for work in facts["works"]:
        works.setdefault(work["artist"], []).append(work)
    return render.page_beside(
        "look_page.html",
        tongue,
        render.look_script(tongue),
        here="/look/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        artists=facts["artists"],
        works=works,
        whole=len(facts["works"]) <= _MOST_LISTED,
        preview=structured.preview(book, book.foundry_name, f"{tongue.path}/look/"),
    )


def index(room: Room, _: str, tongue: Tongue) -> bytes:
    """The public facts of artists, works and runs, for the script of that page."""
    facts = _index(room)
    works = [
        {**work, "runs": [_in_words(run, tongue) for run in work["runs"]]}
        for work in facts["works"]
    ]
    return msgspec.json.encode({**facts, "works": works})


def _in_words(run: dict[str, Any], tongue: Tongue) -> dict[str, Any]:
    title = run["said"]
    return {**run, "said": spoken.said(tongue, title)}


def _index(room: Room) -> dict[str, list[dict[str, Any]]]:
    """Every listed artist, and every listed work with its runs; made once for page and file."""
    codes = tuple(listing.runs(room))
    return room.once("public index", lambda: _made(room, codes))


def _made(room: Room, codes: tuple[str, ...]) -> dict[str, list[dict[str, Any]]]:
    runs: dict[str, list[Run]] = {}
    for run in filter(None, (room.desk.get(code, Run) for code in codes)):
        runs.setdefault(run.declared.work, []).append(run)
    works = list(filter(None, (room.desk.get(code, Work) for code in sorted(runs))))
    artists = {work.artist: room.desk.get(work.artist, Party) for work in works}
    return {
        "artists": [_artist(one) for one in sorted(filter(None, artists.values()), key=_name)],
        "works": [_work(work, runs[work.code]) for work in sorted(works, key=_title)],
    }


def _name(artist: Party) -> str:
    return artist.shown.casefold()


def _title(work: Work) -> str:
    return work.title.casefold()


def _artist(artist: Party) -> dict[str, Any]:
    return _known({"code": artist.code, "name": artist.shown, "life": artist.life})


def _work(work: Work, runs: list[Run]) -> dict[str, Any]:
    plain = {"code": work.code, "artist": work.artist, "title": work.title, "year": work.year}
    return {**_known({**plain, "titles": work.other_titles}), "runs": [_run(run) for run in runs]}


def _run(run: Run) -> dict[str, Any]:
    """A run as far as it is published; a mark such as ``3/8`` is compared with its sizes."""
    declared, published = run.declared, open_parts(run.declared)
    proofs = [(one.series, one.count) for one in declared.proofs] if "proofs" in published else []
    size = declared.size if "size" in published else None
    return _known({"code": run.code, "said": said_of(declared), "size": size, "proofs": proofs})


def _known(facts: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in facts.items() if value}
