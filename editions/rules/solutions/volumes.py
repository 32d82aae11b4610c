"""Volumes as a patina room measures them: litres as everywhere, and US kitchen measures.

The book keeps millilitres and litres; a solution is mixed and forgotten, so the room's own jug will
do here.  The US gallon is 231 cubic inches, 3.785411784 l exactly (NIST Handbook 44); a quart is a
quarter of it, a pint an eighth, a cup a sixteenth, a fluid ounce a hundred and twenty-eighth.

>>> str(read_volume("1/2 gal")), float(read_volume("1 qt").exact())
('1/2 gal', 0.946352946)
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

import msgspec

from editions.errors import Unreadable
from editions.trade.quantities import Quantity, read_quantity
from editions.trade.text import shown

UsUnit = Literal["gal", "qt", "pt", "cup", "fl oz"]

_GALLON = Fraction(3785411784, 1_000_000_000)
_PARTS: dict[UsUnit, int] = {"gal": 1, "qt": 4, "pt": 8, "cup": 16, "fl oz": 128}
_NAMES: dict[str, UsUnit] = {
    "gal": "gal", "gallon": "gal", "gallons": "gal", "qt": "qt", "quart": "qt", "quarts": "qt",
    "pt": "pt", "pint": "pt", "pints": "pt", "cup": "cup", "cups": "cup",
    "fl oz": "fl oz", "floz": "fl oz", "fluid ounce": "fl oz", "fluid ounces": "fl oz",
}  # fmt: skip
_VALUE = r"(?:0|[1-9][0-9]{0,4})(?:\.[0-9]{1,4})?|[1-9][0-9]{0,2}/[1-9][0-9]{0,2}"
_WRITTEN = re.compile(rf"(?P<value>{_VALUE}) ?(?P<unit>{'|'.join(_NAMES)})\.?")


class UsVolume(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A volume as typed, in US measure."""

    value: str
    unit: UsUnit
    dimension: Literal["volume"] = "volume"

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"

    def exact(self) -> Fraction:
        """Return litres."""
        return Fraction(self.value) * _GALLON / _PARTS[self.unit]


Volume = Quantity | UsVolume


def read_volume(text: str) -> Volume:
    """Read a volume: ``500 ml``, ``1.5 l``, ``1/2 gal``, ``8 fl oz``.

    Raises:
        Unreadable: It is none, is nothing, or has a decimal comma.
    """
    found = _WRITTEN.fullmatch(" ".join(text.casefold().split()))
    volume: Volume = (
        UsVolume(found["value"], _NAMES[found["unit"]]) if found else read_quantity(text, "volume")
    )
    if volume.exact() == 0:
        raise Unreadable(f"{shown(text)} is nothing.", "Write it as 500 ml, 1.5 l or 1 qt.")
    return volume


def litres_as(volume: Volume, litres: Fraction) -> tuple[Fraction, str]:
    """Return litres in the unit that a volume is said in: millilitres, or its US measure."""
    if isinstance(volume, UsVolume):
        return litres / (volume.exact() / Fraction(volume.value)), volume.unit
    return litres * 1000, "ml"
