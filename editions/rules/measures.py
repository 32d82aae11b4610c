"""Measures that calculations need and the book does not keep: percentages, densities, areas.

They are read as the shop writes them and keep their text; arithmetic is exact.

==========  =====================================  ===============================================
measure     written                                read too
==========  =====================================  ===============================================
percentage  ``2.5 %``                              ``2.5``, ``2.5%``
density     ``0.93 g/cm3``, ``0.302 lb/in3``       g/cm³, g/ml, kg/m3, lb/cu in; no unit: g/cm3
area        ``0.35 m2``, ``540 in2``, ``3.8 ft2``  m², sq in, cm2
==========  =====================================  ===============================================

>>> read_percent("2.5%")
Decimal('2.5')
>>> read_density("0.302 lb/in3").exact().limit_denominator(10**6) > 8
True
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.explaining import Figures
from editions.trade.quantities import Quantity, decimal_text
from editions.trade.text import shown

_INCH = Fraction(254, 100)  # cm
_POUND = Fraction(45359237, 100_000)  # g

_DENSITIES = {
    "g/cm3": Fraction(1),
    "kg/m3": Fraction(1, 1000),
    "lb/in3": _POUND / _INCH**3,
}
_AREAS = {
    "mm2": Fraction(1, 100),
    "cm2": Fraction(1),
    "m2": Fraction(10_000),
    "in2": _INCH**2,
    "ft2": (12 * _INCH) ** 2,
}
_SAME = {
    "": "g/cm3", "g/cc": "g/cm3", "g/ml": "g/cm3", "kg/l": "g/cm3", "lb/cuin": "lb/in3",
    "sqmm": "mm2", "sqcm": "cm2", "sqm": "m2", "sqin": "in2", "sqft": "ft2",
}  # fmt: skip
# Six decimals at most: what is smaller a decimal would write with an exponent.
_FIGURE = r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,6})?|\.[0-9]{1,6}"
_MEASURE = re.compile(rf"(?P<value>{_FIGURE})\s*(?P<unit>[^0-9.,\s-].*)?")
_PERCENT = re.compile(rf"(?P<value>{_FIGURE})\s*(?:%|percent|per cent)?")


class Density(Figures, frozen=True, kw_only=True):
    """A density as typed; ``unit`` is ``g/cm3``, ``kg/m3`` or ``lb/in3``."""

    value: str
    unit: str = "g/cm3"

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"

    def exact(self) -> Fraction:
        """Return it in grams a cubic centimetre."""
        return Fraction(self.value) * _DENSITIES[self.unit]


class Area(Figures, frozen=True, kw_only=True):
    """An area as typed; ``unit`` is ``mm2``, ``cm2``, ``m2``, ``in2`` or ``ft2``."""

    value: str
    unit: str

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"

    def exact(self) -> Fraction:
        """Return it in square centimetres."""
        return Fraction(self.value) * _AREAS[self.unit]


def read_percent(text: str, *, most: int = 100) -> Decimal:
    """Read a percentage: 10 means ten in a hundred.

    Raises:
        Unreadable: It is no figure, negative, more than ``most``, or has a decimal comma.
    """
    _refuse_comma(text)
    found = _PERCENT.fullmatch(text.strip())
    if not found:
        raise Unreadable(f"{shown(text)} is not a percentage.", "Write it as 2.5 % or 2.5.")
    percent = Decimal(found["value"])
    if percent > most:
        raise Unreadable(f"{percent} % is more than {most} %.", "Check the figure.")
    return percent


def read_density(text: str) -> Density:
    """Read a density; grams a cubic centimetre where no unit is written.

    Raises:
        Unreadable: It is no figure, zero, or has a unit of something else.
    """
    value, unit = _split(text, "0.93 g/cm3 or 0.302 lb/in3")
    if unit not in _DENSITIES:
        raise Unreadable(
            f"{shown(text)} is not a density.", "Write it as 0.93 g/cm3 or 0.302 lb/in3."
        )
    return Density(value=value, unit=unit)


def read_area(text: str) -> Area:
    """Read an area.

    Raises:
        Unreadable: It is no figure, zero, or has no unit of area.
    """
    value, unit = _split(text, "0.35 m2 or 540 in2")
    if unit not in _AREAS:
        raise Unreadable(f"{shown(text)} is not an area.", "Write it as 0.35 m2 or 540 in2.")
    return Area(value=value, unit=unit)


def mass_in(kilograms: Fraction, unit: str, places: int = 4) -> Quantity:
    """Return a mass in the shop's larger unit: pounds where it weighs in ounces or pounds."""
    own = mass_unit(unit)
    scale = Quantity("1", own).exact()
    return Quantity(decimal_text(kilograms / scale, places), own)


def mass_unit(unit: str) -> str:
    """Return the unit that a shop which weighs in ``unit`` weighs metal in."""
    return "lb" if unit in ("oz", "lb") else "kg"


def length_in(millimetres: Fraction, unit: str, places: int = 3) -> Quantity:
    """Return a length in a unit."""
    return Quantity(decimal_text(millimetres / Quantity("1", unit).exact(), places), unit)


def _split(text: str, like: str) -> tuple[str, str]:
    """Return the figure and the unit's own spelling; a figure that is not zero."""
    _refuse_comma(text)
    found = _MEASURE.fullmatch(text.strip())
    if not found:
        raise Unreadable(f"{shown(text)} is not a figure and a unit.", f"Write it as {like}.")
    unit = "".join((found["unit"] or "").casefold().split())
    unit = unit.replace("³", "3").replace("²", "2").replace("^", "")
    value = str(Decimal(found["value"]))
    if not Decimal(value):
        raise Unreadable(f"{shown(text)} is zero.", f"Write it as {like}.")
    return value, _SAME.get(unit, unit)


def _refuse_comma(text: str) -> None:
    if "," in text:
        raise Unreadable(
            f"{shown(text)} has a comma in its number.",
            "Write decimals with a point and no thousands mark: 2.5.",
        )
