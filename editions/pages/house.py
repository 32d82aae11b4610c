"""Pages of the foundry: who it is, which keys it has had, and what no longer stands, as counts."""

from __future__ import annotations

from collections import Counter

import msgspec

from editions.pages import listing, render, structured
from editions.pages.numbering import counted
from editions.pages.tongues import Tongue
from editions.pages.view import Room, fingerprint_of
from editions.registry.keys import KeyInBook, all_keys
from editions.registry.status import word_of
from editions.trade.parties import Party


class KeyLine(msgspec.Struct, frozen=True, kw_only=True):
    """A key as its page shows it; ``vouched`` is the fingerprint of the key that countersigned."""

    of: str
    use: str
    fingerprint: str
    begins: str
    admitted: int
    document: str
    vouched: str
    ended: str | None
    ended_on: str
    from_position: int


def foundry_page(room: Room, _: str, tongue: Tongue) -> bytes:
    """Who the foundry is, what it vouches for, and whose works it has cast."""
    book = room.desk.book
    artists = [room.desk.get(code, Party) for code in listing.artists(room)]
    return render.page_beside(
        "foundry_page.html",
        tongue,
        here="/foundry/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        artists=sorted(filter(None, artists), key=lambda one: one.shown.casefold()),
        structured=structured.of_foundry(book),
        preview=structured.preview(book, book.foundry_name, f"{tongue.path}/foundry/"),
    )


def keys_page(room: Room, _: str, tongue: Tongue) -> bytes:
    """Every key that the book holds or held, since when, and how it ended."""
    book = room.desk.book
    found = room.desk.attempt(book.foundry, lambda: all_keys(room.desk.reading))
    return render.page_beside(
        "keys_page.html",
        tongue,
        here="/keys/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        keys=tuple(map(_line, sorted(found or (), key=_rank))),
        first=fingerprint_of(book.certifying_key),
        preview=structured.preview(book, book.foundry_name, f"{tongue.path}/keys/"),
    )


def standing_page(room: Room, _: str, tongue: Tongue) -> bytes:
    """What the status note says, as counts: it names no certificate, and neither does the page."""
    book, (newest, _check) = room.desk.book, room.prover.newest()
    return render.page_beside(
        "standing_page.html",
        tongue,
        here="/standing/",
        site=book.address,
        foundry=book.foundry_name,
        book=book,
        published=room.published,
        size=newest.size if newest else None,
        tree=newest.root.hex() if newest else "",
        ended=Counter(map(word_of, counted(room).ended)),
        preview=structured.preview(book, book.foundry_name, f"{tongue.path}/standing/"),
    )


def _rank(key: KeyInBook) -> int:
    """Certifying keys come first: it is those that certificates are compared with."""
    return ("foundry", "log", "artist").index(key.held.use)


def _line(key: KeyInBook) -> KeyLine:
    held = key.held
    return KeyLine(
        of=key.name,
        use=held.use,
        fingerprint=fingerprint_of(held.key),
        begins=held.begins,
        admitted=key.admitted,
        document=held.document,
        vouched=_vouched(held.countersigned_by),
        ended=held.ended,
        ended_on=held.ended_on,
        from_position=held.from_position,
    )


def _vouched(key: str | None) -> str:
    return fingerprint_of(key) if key else ""
