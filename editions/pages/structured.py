"""Structured data for machines that read pages: schema.org as JSON-LD, and what a preview shows.

Names of types and properties are those of schema.org's vocabulary, release 28.1; codes of units are
those of UN/CEFACT Recommendation 20, which it asks for.  Nothing is told here that the page itself
does not show.  Of a paper that no longer stands, that only reserves a number, or whose record
contradicts itself, machines are told nothing: they would repeat it without its standing.

>>> dated("1984"), dated("197X"), dated("2026-04")
('1984', None, '2026-04')
"""

from __future__ import annotations

import re
from typing import Any

import msgspec

from editions.pages.values import Picture, RecordView, RunView
from editions.trade.book import Book
from editions.trade.parties import Party
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.works import Work

Node = dict[str, Any]

_CONTEXT = "https://schema.org"
_DAY = re.compile(r"\d{4}(-\d{2}(-\d{2})?)?", re.ASCII)
_UNITS = {
    "mm": "MMT", "cm": "CMT", "m": "MTR", "in": "INH", "ft": "FOT",
    "g": "GRM", "kg": "KGM", "oz": "ONZ", "lb": "LBR",
}  # fmt: skip
_SIDES = ("height", "width", "depth")


class Preview(msgspec.Struct, frozen=True, kw_only=True):
    """What is shown where somebody sends on a link: a title, a picture; its address if it has one.

    ``address`` is empty for a record: the link itself is the holder's to give away.
    """

    title: str
    site: str
    address: str = ""
    picture: str = ""


def preview(book: Book, title: str, path: str, picture: Picture | None = None) -> Preview:
    """The preview of a page that may be found and linked by anybody."""
    return Preview(
        title=title,
        site=book.foundry_name,
        address=f"{book.address}{path}",
        picture=_photograph(book.address, picture),
    )


def of_record(view: RecordView) -> tuple[Node | None, Preview]:
    """What a record tells machines, if anything, and its preview."""
    said, site = view.statement, view.address.partition("/C/")[0]
    title = ", ".join(filter(None, (said.artist, said.title, said.designation)))
    shown = Preview(title=title, site=view.foundry, picture=_photograph(site, view.picture))
    stands = view.standing.word == "stands" and not view.proof.contradictions
    if not stands or said.paper == "reservation":
        return None, shown
    node = {
        **_artwork(said.title, said.artist),
        "artEdition": view.run.size if view.run else None,
        "size": view.run.scale if view.run else None,
        "dateCreated": dated(said.cast),
        "producer": _foundry(said.foundry, said.foundry_place),
        "image": shown.picture,
        "exampleOfWork": f"{site}/work/{view.run.work}/"
        if view.run and view.run.published
        else None,
        "weight": _quantity(said.mass),
        **_sides(said.stations),
    }
    return _told(node), shown


def of_run(book: Book, run: RunView, work: Work, artist: Party, picture: Picture | None) -> Node:
    """A run: as many copies of the work as were declared, where the artist publishes it."""
    node = {
        **_artwork(work.title, artist),
        "url": f"{book.address}/run/{run.code}/",
        "identifier": run.code,
        "artEdition": run.size,
        "size": run.scale,
        "producer": _foundry(book.foundry_name, book.foundry_place),
        "image": _photograph(book.address, picture),
        "exampleOfWork": f"{book.address}/work/{work.code}/",
    }
    return _told(node)


def of_work(
    book: Book, work: Work, artist: Party, runs: tuple[str, ...], picture: Picture | None
) -> Node:
    """A work, with its runs as examples of it."""
    node = {
        **_artwork(work.title, artist),
        "url": f"{book.address}/work/{work.code}/",
        "identifier": work.code,
        "alternateName": list(work.other_titles),
        "dateCreated": dated(work.year),
        "image": _photograph(book.address, picture),
        "workExample": [f"{book.address}/run/{code}/" for code in runs],
    }
    return _told(node)


def of_artist(book: Book, artist: Party) -> Node:
    """An artist."""
    return _told({**_person(artist), "url": f"{book.address}/artist/{artist.code}/"})


def of_foundry(book: Book) -> Node:
    """The foundry whose book it is."""
    return _told({**_foundry(book.foundry_name, book.foundry_place), "url": f"{book.address}/"})


def on_page(node: Node, language: str) -> Node:
    """A node as the subject of a page in a language, which the page itself is in, not the work."""
    return {**node, "mainEntityOfPage": {"@type": "WebPage", "inLanguage": language}}


def dated(date: str | None) -> str | None:
    """A date that is one in ISO 8601 too; an uncertain one is left out, never made certain."""
    return date if date and _DAY.fullmatch(date) else None


def _artwork(title: str, artist: Party | str) -> Node:
    return {
        "@type": "VisualArtwork",
        "name": title,
        "creator": {"@type": "Person", "name": artist}
        if isinstance(artist, str)
        else _kept(_person(artist)),
        "artform": "Sculpture",
        "artMedium": "Bronze",
        "material": "Bronze",
    }


def _person(artist: Party) -> Node:
    return {
        "@type": "Person",
        "name": artist.shown,
        "birthDate": dated(artist.born),
        "deathDate": dated(artist.died),
    }


def _foundry(name: str, place: str) -> Node:
    return _kept({"@type": "Organization", "name": name, "location": place})


def _photograph(site: str, picture: Picture | None) -> str:
    return f"{site}/photo/{picture.digest}.jpg" if picture and picture.kept else ""


def _sides(stations: tuple[Station, ...]) -> Node:
    """Height, width and depth, the first measured of each; other stations have no name there."""
    found: Node = {}
    for one in stations:
        if one.name in _SIDES:
            found.setdefault(one.name, _quantity(one.length))
    return found


def _quantity(quantity: Quantity | None) -> Node | None:
    if quantity is None:
        return None
    value = float(quantity.to(quantity.unit, 6))
    return {"@type": "QuantitativeValue", "value": value, "unitCode": _UNITS[quantity.unit]}


def _told(node: Node) -> Node:
    return {"@context": _CONTEXT, **_kept(node)}


def _kept(node: Node) -> Node:
    """A node without what is not known."""
    return {name: value for name, value in node.items() if value not in (None, "", [])}
