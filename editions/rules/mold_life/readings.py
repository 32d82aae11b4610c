"""Readings and thresholds as the mold bench writes them: ``0:0 5:0.5 10:1.2mm 15:1/16in``.

Each is a pull, a colon and a length; a length without a unit is in millimetres.

>>> read_readings("0:0 5:0.5mm 10:1/16in")
((0.0, 0.0), (5.0, 0.5), (10.0, 1.5875))
>>> read_threshold("tears=5mm")
('tears', 5.0)
"""

from __future__ import annotations

import re
from typing import get_args

from editions.errors import Unreadable
from editions.rules.mold_life.wear import Point
from editions.trade.molds import CriterionName
from editions.trade.quantities import read_quantity
from editions.trade.text import shown

_CRITERIA: tuple[str, ...] = get_args(CriterionName)
_LIKE = "Write pull:length, a space between: 0:0 5:0.5 10:1.2mm."
_PULL = re.compile(r"[0-9]{1,5}")
_BARE = re.compile(r"[-+0-9./]+")


def read_readings(text: str) -> tuple[Point, ...]:
    """Read the readings of one indicator, lengths in mm.

    Raises:
        Unreadable: A part that is no pull and length, a decimal comma, or no part at all.
    """
    parts = [part.strip(",;") for part in text.split()]
    if not any(parts):
        raise Unreadable("There are no readings.", _LIKE)
    return tuple(_reading(part) for part in parts if part)


def read_threshold(text: str) -> tuple[str, float]:
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
    if done == 0:
        raise Unreadable(f"A threshold of {shown(length)} is none.", "Write it above nothing.")
    return plain, done


def _reading(part: str) -> Point:
    pull, sign, length = part.partition(":")
    if not sign or not _PULL.fullmatch(pull):
        raise Unreadable(f"{shown(part)} is not a reading.", _LIKE)
    return float(pull), _length(length, part)


def _length(text: str, part: str) -> float:
    """A length in mm, as a float since it goes into a regression."""
    plain = text.strip()
    if "," in plain:
        raise Unreadable(
            f"{shown(part)} has a comma in its number.", "Write decimals with a point: 5:0.5."
        )
    if plain.startswith("-"):
        raise Unreadable(f"{shown(part)} is below nothing.", _LIKE)
    quantity = read_quantity(f"{plain} mm" if _BARE.fullmatch(plain) else plain, "length")
    return float(quantity.exact())
