"""Certificates, and the book itself, described."""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.cli.showing.block import Shown, of
from editions.trade.book import Book
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number

if TYPE_CHECKING:
    from editions.registry import Reading

_PAPERS = {
    "finished": "certificate of a finished cast",
    "raw_metal": "certificate of a cast released in raw metal",
    "reservation": "reservation of a number; not a certificate",
    "from_object": "certificate of an earlier cast, registered from the object",
}


def certificate(state: Certificate, reading: Reading) -> Shown:
    """A certificate: how it stands today, and what it says."""
    statement = state.statement
    drawn = f"{state.page}, SHA-256 {state.pdf}" if state.pdf else "not yet"
    return Shown(
        show_number(state.code),
        _PAPERS[statement.paper],
        (
            ("standing", _standing(state)),
            ("replaces", _number(state.replaces)),
            ("artist", " ".join(filter(None, (statement.artist, statement.artist_life)))),
            ("title", statement.title),
            ("designation", statement.designation),
            ("piece", of(reading, state.piece)),
            ("run", of(reading, state.run)),
            ("foundry", ", ".join(filter(None, (statement.foundry, statement.foundry_place)))),
            ("cast", statement.cast),
            ("issued", state.issued),
            ("drawn", drawn),
            ("entry", state.leaf),
        ),
    )


def _standing(state: Certificate) -> str:
    if state.standing == "replaced":
        return f"replaced by {_number(state.replaced_by)}, {state.ended}"
    if state.standing == "withdrawn":
        return f"withdrawn {state.ended}: {state.because}"
    if state.standing in ("lost", "stolen"):
        reference = f", reference {state.because}" if state.because else ""
        return f"reported {state.standing} {state.ended}{reference}"
    return "stands"


def _number(number: str | None) -> str:
    return show_number(number) if number else ""


def book(state: Book, reading: Reading) -> Shown:
    """The book: its foundry, its address, its keys, its size."""
    return Shown(
        state.code,
        state.origin,
        (
            ("foundry", of(reading, state.foundry)),
            ("place", state.foundry_place),
            ("address", state.address),
            ("begun", state.since),
            ("entries", reading.size),
            ("log key", state.log_key),
            ("certifying key", state.certifying_key),
        ),
    )
