"""Fields of entries as people write them in a correction, read by the name of the field.

====================================  ======================================================
``mass wall metal shell``             a quantity: ``2.1 kg``, ``3/16 in``, ``1090 °C``
``year born died until cast``         a date, EDTF
``coat``                              the number of a coat of shell
``hand``                              the code of a party
``stations``                          ``height=450mm/with; width=20mm``
``charge``                            ``ingot LOT 881=60kg; returns 24-101=40kg``
``criteria``                          ``tears=sound; detail=worn/2mm``
``other_titles``                      titles, with semicolons between
``sections``                          names, with semicolons or commas between
every other                           text
====================================  ======================================================

A list is stated again as a whole.  An empty text takes the value away, where there need not be one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, get_args

from msgspec.structs import fields as struct_fields

from editions.errors import Unreadable
from editions.registry.acts.heats import Source, charge_line, charged
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.typed import confided, one_of, party, word
from editions.registry.reading import Reading
from editions.trade.dates import read_when
from editions.trade.heats import ChargeLine
from editions.trade.kinds import Facts, said
from editions.trade.quantities import Dimension, read_quantity
from editions.trade.stations import read_station
from editions.trade.text import clean, shown

SOURCES: tuple[Source, ...] = get_args(Source)

_QUANTITIES: Mapping[str, Dimension] = {
    "mass": "mass",
    "wall": "length",
    "metal": "temperature",
    "shell": "temperature",
}
# A section's name holds no comma, since the options that name sections part them so.
_MARKS = (re.compile(";"), re.compile("[;,]"))
_DATES = ("year", "born", "died", "until", "cast")


def read_field(reading: Reading, kind: type[Facts], field: str, text: str) -> Any:
    """Read the value of a field of one kind of entry from what was typed.

    Raises:
        NotKnown: If it names a party or a heat that is not in the book.
        Unreadable: If it cannot be read as what the field holds.
    """
    if field in kind.held:
        return confided(text)
    if field in _LISTS:
        parts = (part for part in _MARKS[field == "sections"].split(text) if part.strip())
        return tuple(_LISTS[field](reading, part) for part in parts)
    if field in _QUANTITIES:
        return read_quantity(text, _QUANTITIES[field]) if text.strip() else None
    if field in _SINGLE:
        return _SINGLE[field](reading, text) if text.strip() else None
    return clean(text) or _nothing(kind, field)


def _nothing(kind: type[Facts], field: str) -> Any:
    """What an entry says where the field is left out.

    Raises:
        Unreadable: If the kind asks for something there.
    """
    declared = next(one for one in struct_fields(kind) if one.name == field)
    if declared.required:
        raise Unreadable(f"The {said(field)} cannot be left empty.", "Say what it is.")
    return declared.default


def _count(text: str) -> int:
    plain = text.strip()
    if not plain.isascii() or not plain.isdecimal() or len(plain) > 2:
        raise Unreadable(f"{shown(text)} is not the number of a coat.", "Write it in digits: 3.")
    return int(plain)


def _charge(reading: Reading, text: str) -> ChargeLine:
    source, _, rest = text.strip().partition(" ")
    return charged(reading, charge_line(one_of(source, SOURCES, "part of a charge"), rest))


_SINGLE: Mapping[str, Callable[[Reading, str], Any]] = {
    **dict.fromkeys(_DATES, lambda _, text: read_when(text)),
    "coat": lambda _, text: _count(text),
    "hand": party,
}

_LISTS: Mapping[str, Callable[[Reading, str], Any]] = {
    "stations": lambda _, text: read_station(text),
    "charge": _charge,
    "criteria": lambda _, text: read_criterion(text),
    "other_titles": lambda _, text: word(text, "title"),
    "sections": lambda _, text: word(text, "section"),
}
