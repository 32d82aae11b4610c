"""Certificates, and the book itself, described."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from certificates.standings import pending_word, refused_words
from editions.cli.showing.block import Block, Shown, of
from editions.trade.book import Book
from editions.trade.certificates import Certificate
from editions.trade.numbers import show_number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from editions.registry import Reading
    from editions.registry.corrected_since import CorrectedFact
    from editions.trade.kinds import State

CORRECTED_SINCE = "corrected since it was issued"
_COLUMNS = ("fact", "on the paper", "now", "on", "by", "entry")

NAMES = {
    "finished": "certificate",
    "raw_metal": "certificate, raw metal",
    "reservation": "reservation",
    "from_object": "certificate, from the object",
}
_PAPERS = {
    "finished": "certificate of a finished cast",
    "raw_metal": "certificate of a cast released in raw metal",
    "reservation": "reservation of a number; not a certificate",
    "from_object": "certificate of an earlier cast, registered from the object",
}


def certificate(state: Certificate, reading: Reading) -> Shown:
    """A certificate: how it stands today, and what it says."""
    from editions.registry.corrected_since import corrected_since

    statement = state.statement
    corrected = corrected_since(reading, state)
    drawn = f"{state.page}, SHA-256 {state.pdf}" if state.pdf else "not yet"
    return Shown(
        show_number(state.code),
        _PAPERS[statement.paper],
        (
            ("standing", "; ".join(filter(None, (_standing(state), _since(corrected))))),
            ("replaces", _number(state.replaces)),
            ("artist", " ".join(filter(None, (statement.artist, statement.artist_life)))),
            ("title", statement.title),
            ("designation", statement.designation),
            ("piece", of(reading, state.piece)),
            ("run", of(reading, state.run)),
            ("foundry", ", ".join(filter(None, (statement.foundry, statement.foundry_place)))),
            ("cast", statement.cast),
            ("posthumous", "cast after the artist's death" if statement.posthumous else ""),
            ("issued", state.issued),
            ("drawn", drawn),
            ("issued by", f"entry {reading.position_of(state.leaf)}, digest (leaf) {state.leaf}"),
        ),
        (Block(CORRECTED_SINCE, _COLUMNS, tuple(map(_row, corrected))),),
    )


def corrected_facts(reading: Reading, state: State | None) -> dict[str, Any]:
    """For JSON: what of a certificate was corrected since; nothing for another subject."""
    import msgspec

    from editions.registry.corrected_since import corrected_since

    if not isinstance(state, Certificate):
        return {}
    return {"corrected_since": [msgspec.to_builtins(f) for f in corrected_since(reading, state)]}


def _row(one: CorrectedFact) -> tuple[object, ...]:
    return f"{one.fact} of {one.of}", one.was, one.now, one.on, one.by, one.position


def _since(corrected: Sequence[CorrectedFact]) -> str:
    """What of the paper the book states otherwise now: named here, told below."""
    facts = ", ".join(dict.fromkeys(one.fact for one in corrected))
    return f"corrected since it was issued: {facts}" if facts else ""


def _standing(state: Certificate) -> str:
    if state.standing == "replaced":
        return f"replaced by {_number(state.replaced_by)}, {state.ended}"
    if state.standing == "withdrawn":
        return f"withdrawn {state.ended}: {state.because}"
    if state.standing in ("lost", "stolen"):
        reference = f", reference {state.because}" if state.because else ""
        return f"reported {state.standing} {state.ended}{reference}"
    if state.standing == "lapsed":
        return f"lapsed: the number was released on {state.ended}"
    if state.given_out:
        return "stands"
    return "; ".join((f"pending: {pending_word(state)}", *refused_words(state)))


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
