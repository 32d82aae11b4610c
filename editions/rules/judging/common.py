"""What every judge leans on: look-ups that name what they wanted, dates, lengths and masses.

>>> from editions.trade.quantities import Quantity
>>> measures("wall", Quantity("3/16", "in"), "length")
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

import msgspec

from editions.errors import NotKnown, Refused, Unreadable
from editions.rules.judging.desk import Desk, Draft
from editions.trade.book import Book
from editions.trade.certificates import Certificate
from editions.trade.colour import Recipe
from editions.trade.dates import certainly_before, earliest, read_when, say_when
from editions.trade.heats import Heat
from editions.trade.kinds import Facts, State, said, texts_in
from editions.trade.metal import Lot, OwnAlloy
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.quantities import Dimension, Quantity
from editions.trade.runs import Run
from editions.trade.statement import Station
from editions.trade.text import a, clean
from editions.trade.waxes import Wax
from editions.trade.works import Model, Work

StateT = TypeVar("StateT", bound=State)

NAMES: dict[type[State], str] = {
    Book: "book",
    Certificate: "certificate",
    Heat: "heat",
    Lot: "lot",
    Model: "model",
    Mold: "mold",
    OwnAlloy: "alloy",
    Party: "party",
    Piece: "piece",
    Recipe: "recipe",
    Run: "run",
    Wax: "wax",
    Work: "work",
}

# Fields that name a party wherever they stand in the facts of a kind.
_PARTIES = ("hand", "declared_by", "maker", "owner", "seen_by", "witness", "authorised_by", "party")

_LONGEST_TEXT = 20_000


def known(desk: Desk, code: str, wanted: type[StateT]) -> StateT:
    """The state of a code that must be of one kind.

    Raises:
        NotKnown: If the code is not in the book, or is something else.
    """
    state = desk.state(code)
    if state is None:
        raise NotKnown(
            f"{code} is not in the book; a {NAMES[wanted]} is wanted here.",
            f"Check the code, or enter the {NAMES[wanted]} first.",
        )
    if not isinstance(state, wanted):
        raise NotKnown(
            f"{code} is a {NAMES[type(state)]}; a {NAMES[wanted]} is wanted here.",
            "The letter of a code says what it names; check it.",
        )
    return state


def shown(desk: Desk, code: str) -> str:
    """A party as it may be named in a message: its open name, or its code."""
    state = desk.state(code)
    return state.shown if isinstance(state, Party) else code


def by_mistake(desk: Desk, code: str, kind: str) -> str:
    """How to undo the newest entry of a kind of a subject, if it was a slip; to end a remedy."""
    entries = [one for one in desk.told(code) if one.facts.kind == kind]
    return f" If it was a slip: bronzebook strike {entries[-1].leaf[:10]}." if entries else ""


def not_before(draft: Draft, when: str | None, what: str) -> None:
    """Refuse an entry dated certainly before something that must have come first.

    Raises:
        Refused: If the dates run backwards.
    """
    if when and certainly_before(draft.on, when):
        raise Refused(
            f"The dates run backwards: {say_when(draft.on)} is before {say_when(when)}, when"
            f" {what}.",
            "Give the day it happened with --on. If the earlier date is the wrong one, leave this"
            f" one open: --on {_by_then(when)}.",
        )


def _by_then(when: str) -> str:
    """A date that leaves open how long before another: ``../2026-11-25``."""
    return f"../{earliest(when) or when}"


def not_to_come(draft: Draft, when: str, what: str) -> None:
    """Refuse a date in the facts that cannot be read or has not come.

    Raises:
        Unreadable: If it is not a date as dates are kept.
        Refused: If it lies certainly in the future.
    """
    kept_when(when, what)
    if certainly_before(draft.recorded.isoformat(), when):
        raise Refused(f"{say_when(when)} has not come yet, but {what}.", "Check the date.")


def kept_when(when: str, what: str) -> None:
    """Refuse a date that is not in the form in which dates are kept.

    Raises:
        Unreadable: If it cannot be read, or reads as another text.
    """
    if read_when(when) != when:
        raise Unreadable(f"The date on which {what} is kept as {read_when(when)}.", "Enter it so.")


def sound(draft: Draft, desk: Desk) -> None:
    """Refuse what no kind of entry may hold, whatever its trade.

    Raises:
        NotKnown: If a party named is not in the book.
        Refused: If the date lies in the future.
        Unreadable: If the facts or the date cannot be read, or a text hides a character.
    """
    _reread(draft.facts)
    not_to_come(draft, draft.on, "the entry is dated so")
    for field in _PARTIES:
        code = getattr(draft.facts, field, None)
        # An owner of a mold is a party; an owner of an old cast is held words.
        if code is not None and field not in draft.facts.held:
            known(desk, code, Party)


def _reread(facts: Facts) -> None:
    """Raise unless the facts come back the same from plain values, as a replay reads them."""
    plain = msgspec.to_builtins(facts)
    for text in texts_in(plain):
        clean(text, _LONGEST_TEXT, lines=True)
    try:
        again = msgspec.convert(plain, type(facts))
    except msgspec.ValidationError as fault:
        raise Unreadable(
            f"{_an_entry(facts)} cannot be read: {fault}.", "Check what was typed."
        ) from None
    if again != facts:
        raise Unreadable(
            f"{_an_entry(facts)} does not read back as it was given.", "Check what was typed."
        )


def _an_entry(facts: Facts) -> str:
    return f"{a(said(facts.kind)).capitalize()} entry"


def distinct(values: Iterable[str], what: str) -> None:
    """Refuse an empty list, or one that names something twice.

    Raises:
        Refused: Naming what is missing or double.
    """
    seen: set[str] = set()
    for value in values:
        if value in seen:
            raise Refused(f"The {what} {value} is named twice.", "Name each one once.")
        seen.add(value)
    if not seen:
        raise Refused(f"No {what} is named.", f"Name at least one {what}.")


def measures(what: str, quantity: Quantity | None, dimension: Dimension) -> None:
    """Refuse a quantity of another dimension, or one that is nothing.

    Raises:
        Unreadable: If a mass stands where a length should, and so on.
        Refused: If a length or a mass is zero.
    """
    if quantity is None:
        return
    if quantity.dimension != dimension:
        raise Unreadable(
            f"The {what} is {quantity}, which is a {quantity.dimension}.", f"Give a {dimension}."
        )
    if dimension != "temperature" and quantity.exact() <= 0:
        raise Refused(f"The {what} is {quantity}.", "Leave out what was not measured.")


def sound_stations(stations: tuple[Station, ...]) -> None:
    """Refuse stations named twice, lengths of nothing, and lengths that are no lengths.

    Raises:
        Refused: If a station is named twice or measures nothing.
        Unreadable: If a station was not measured in a length.
    """
    if stations:
        distinct((f"{s.name} {s.base}".strip() for s in stations), "station")
    for station in stations:
        measures(f"station {station.name}", station.length, "length")
        if station.uncertainty and station.uncertainty.dimension != "length":
            raise Unreadable(
                f"The uncertainty at {station.name} is not a length.",
                "Write it as height=450mm±1mm.",
            )
