"""Measured stations as people write them: ``height=450mm/with``.

A station is a name, a length, and where it matters how sure the length is and whether the base was
on: ``height = 450 mm ± 2 mm / with``.  The written form is read back to the same station.

>>> station_text(read_station("height=17 3/4in+-1/8in/with base"))
'height=17 3/4 in ± 1/8 in/with'
>>> read_station("span=450mm").base
''
"""

from __future__ import annotations

from typing import Literal

from editions.errors import Unreadable
from editions.trade.quantities import read_quantity
from editions.trade.statement import Station
from editions.trade.text import clean, shown

_LONGEST_NAME = 60
_BASES: dict[str, Literal["with", "without"]] = {
    "with": "with",
    "with base": "with",
    "without": "without",
    "without base": "without",
}
_REMEDY = "Write it as height=450mm, height=450mm/with or height=450mm±2mm/without."


def read_station(text: str) -> Station:
    """Read one measured station.

    Raises:
        Unreadable: No name, no length, or a base that is neither ``with`` nor ``without``.
    """
    name, equals, rest = text.partition("=")
    name = clean(name, _LONGEST_NAME)
    if not equals or not name:
        raise Unreadable(f"{shown(text)} is not a measured station.", _REMEDY)
    length, base = _base(rest)
    size, sign, spread = length.replace("+/-", "±").replace("+-", "±").partition("±")
    return Station(
        name=name,
        length=read_quantity(size, "length"),
        base=base,
        uncertainty=read_quantity(spread, "length") if sign else None,
    )


def station_text(station: Station) -> str:
    """Return the station as it is written; the inverse of :func:`read_station`."""
    spread = f" ± {station.uncertainty}" if station.uncertainty else ""
    base = f"/{station.base}" if station.base else ""
    return f"{station.name}={station.length}{spread}{base}"


def _base(rest: str) -> tuple[str, Literal["with", "without", ""]]:
    """Part the length from the base; a fraction's own slash stays with the length."""
    length, slash, last = rest.rpartition("/")
    word = " ".join(last.casefold().split())
    if slash and word in _BASES:
        return length, _BASES[word]
    if slash and word.isalpha():
        raise Unreadable(f"{shown(last)} does not say whether the base was on.", _REMEDY)
    return rest, ""
