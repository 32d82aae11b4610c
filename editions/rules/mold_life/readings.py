"""Readings and thresholds as the mold bench writes them: ``0:0 5:0.5 10:1.2mm 15:1/16in``.

Each is a pull, a colon and a length; a length without a unit is in millimetres.  They stay in
inches where all that have a unit are in inches.

>>> read_readings("0:0 5:0.5mm 10:1.2")
Readings(unit='mm', points=((0.0, 0.0), (5.0, 0.5), (10.0, 1.2)))
>>> read_readings("0:0in 8:1/16in").points
((0.0, 0.0), (8.0, 0.0625))
>>> str(read_threshold("tears=1/4in")[1])
'1/4 in'
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, NamedTuple, get_args

from editions.errors import Unreadable
from editions.rules.mold_life.wear import Point
from editions.trade.molds import CriterionName
from editions.trade.quantities import Quantity, read_quantity
from editions.trade.text import shown

Unit = Literal["mm", "in"]

_CRITERIA: tuple[str, ...] = get_args(CriterionName)
_LIKE = "Write pull:length, a space between: 0:0 5:0.5 10:1.2mm."
_PULL = re.compile(r"[0-9]{1,5}")
_BARE = re.compile(r"[-+0-9./]+")


class Readings(NamedTuple):
    """Readings of one indicator, and the unit of their lengths."""

    unit: Unit
    points: tuple[Point, ...]


def read_readings(text: str) -> Readings:
    """Read the readings of one indicator.

    Raises:
        Unreadable: A part that is no pull and length, a decimal comma, or no part at all.
    """
    parts = [part.strip(",;") for part in text.split()]
    if not any(parts):
        raise Unreadable("There are no readings.", _LIKE)
    read = [_reading(part) for part in parts if part]
    unit = unit_of([length for _, length in read])
    return Readings(unit, tuple((pull, in_unit(length, unit)) for pull, length in read))


def unit_of(lengths: Sequence[Quantity]) -> Unit:
    """Return the unit to show lengths in: inches where all were measured in inches or feet."""
    return "in" if lengths and all(one.unit in ("in", "ft") for one in lengths) else "mm"


def in_unit(length: Quantity, unit: Unit) -> float:
    """Return a length in that unit, as a float since it goes into a regression."""
    return float(length.exact() / Quantity("1", unit).exact())


def read_threshold(text: str) -> tuple[str, Quantity]:
    """Read the value of an indicator at which a section is done.

    Raises:
        Unreadable: No such indicator, or no length.
    """
    name, sign, length = text.partition("=")
    plain = name.strip().casefold()
    if not sign or plain not in _CRITERIA:
        raise Unreadable(
            f"{shown(text)} is no threshold.", f"Write tears=5mm; of {', '.join(_CRITERIA)}."
        )
    done = _length(length, text)
    if done.exact() == 0:
        raise Unreadable(f"A threshold of {shown(length)} is none.", "Write it above nothing.")
    return plain, done


def _reading(part: str) -> tuple[float, Quantity]:
    pull, sign, length = part.partition(":")
    if not sign or not _PULL.fullmatch(pull):
        raise Unreadable(f"{shown(part)} is not a reading.", _LIKE)
    return float(pull), _length(length, part)


def _length(text: str, part: str) -> Quantity:
    plain = text.strip()
    if "," in plain:
        raise Unreadable(
            f"{shown(part)} has a comma in its number.", "Write decimals with a point: 5:0.5."
        )
    if plain.startswith("-"):
        raise Unreadable(f"{shown(part)} is below nothing.", _LIKE)
    return read_quantity(f"{plain} mm" if _BARE.fullmatch(plain) else plain, "length")
