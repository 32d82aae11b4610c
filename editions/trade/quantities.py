"""Quantities as the shop writes them: the value as typed, and its unit.

A value is one of ``450``, ``1.05``, ``3/16``, ``1 3/16``: no exponent, no leading zero, at most
nine digits before and nine after the point, and a sign only on a temperature.  Temperatures take
no fractions.  Arithmetic is exact; a binary float is never made.

=============  ==================  ==========================================================
dimension      units               read too
=============  ==================  ==========================================================
length         mm cm m in ft       ``"`` and ``'``, inch, inches, foot, feet
mass           g kg oz lb          lbs, pound, pounds, ounces (avoirdupois)
temperature    °C °F               C, F, degC, degF
volume         ml l                mL, L
=============  ==================  ==========================================================

The inch is exactly 25.4 mm and the pound 0.45359237 kg (international yard and pound agreement,
1959); the ounce is a sixteenth of the pound, the foot twelve inches.

>>> str(read_quantity('1 3/16"', "length"))
'1 3/16 in'
>>> read_quantity("3/16 in", "length").to("mm", 2)
'4.76'
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Literal, NoReturn

import msgspec

from editions.errors import Unreadable
from editions.trade.text import shown

Dimension = Literal["length", "mass", "temperature", "volume"]

_POUND = Fraction(45359237, 100_000_000)
_INCH = Fraction(254, 10)

# Scale to mm, kg, °C (after the offset) and l.
_SCALE: dict[str, tuple[Dimension, Fraction]] = {
    "mm": ("length", Fraction(1)),
    "cm": ("length", Fraction(10)),
    "m": ("length", Fraction(1000)),
    "in": ("length", _INCH),
    "ft": ("length", _INCH * 12),
    "g": ("mass", Fraction(1, 1000)),
    "kg": ("mass", Fraction(1)),
    "oz": ("mass", _POUND / 16),
    "lb": ("mass", _POUND),
    "°C": ("temperature", Fraction(1)),
    "°F": ("temperature", Fraction(5, 9)),
    "ml": ("volume", Fraction(1, 1000)),
    "l": ("volume", Fraction(1)),
}
_OFFSET = {"°F": Fraction(32)}
_ABSOLUTE_ZERO = Fraction(-27315, 100)

_ALIASES = {
    '"': "in", "″": "in", "”": "in", "''": "in", "inch": "in", "inches": "in", "in.": "in",
    "'": "ft", "′": "ft", "’": "ft", "foot": "ft", "feet": "ft", "ft.": "ft",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "lb.": "lb",
    "ounce": "oz", "ounces": "oz", "oz.": "oz",
    "c": "°C", "°c": "°C", "degc": "°C", "deg c": "°C", "℃": "°C", "° c": "°C",
    "f": "°F", "°f": "°F", "degf": "°F", "deg f": "°F", "℉": "°F", "° f": "°F",
    "litre": "l", "litres": "l", "liter": "l", "liters": "l",
}  # fmt: skip

_DECIMAL = r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?"
_SIMPLE = re.compile(_DECIMAL)
_SIGNED = re.compile("-?" + _DECIMAL)
_FRACTION = re.compile(
    r"(?:(?P<whole>[1-9][0-9]{0,8}) )?(?P<top>[1-9][0-9]{0,3})/(?P<under>[1-9][0-9]{0,3})"
)
_FACT = 'It reads like {"value": "1.05", "unit": "kg"}.'
_SPLIT = re.compile(r"(?P<value>[-+0-9.,/\s]*)(?P<unit>.*)", re.DOTALL)


class Quantity(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A value as typed and its unit; two are equal when written alike (see ``exact``).

    Raises:
        Unreadable: On making one whose value or unit is outside the grammar.
    """

    value: str
    unit: str

    def __post_init__(self) -> None:
        if self.unit not in _SCALE:
            _refuse_unit(self.unit)
        _number(self.value, self.unit)
        if self.dimension == "temperature" and self.exact() < _ABSOLUTE_ZERO:
            raise Unreadable(f"{self} is below absolute zero.", "Check the sign and the unit.")

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"

    @property
    def dimension(self) -> Dimension:
        """What is measured."""
        return _SCALE[self.unit][0]

    def exact(self) -> Fraction:
        """Return the exact value in mm, kg, °C or l."""
        typed = _number(self.value, self.unit) - _OFFSET.get(self.unit, 0)
        return typed * _SCALE[self.unit][1]

    def to(self, unit: str, places: int) -> str:
        """Return the number alone, in another unit, rounded half to even.

        Raises:
            Unreadable: The unit is unknown or measures something else.
        """
        unit = _unit(unit)
        if _SCALE[unit][0] != self.dimension:
            raise Unreadable(
                f"{self} is a {self.dimension}; it has no value in {unit}.",
                f"Ask for it in {' '.join(units_of(self.dimension))}.",
            )
        return decimal_text(self.exact() / _SCALE[unit][1] + _OFFSET.get(unit, 0), places)


def decimal_text(number: Fraction, places: int) -> str:
    """Return a number in decimal digits, half to even at the last place."""
    scaled = round(number * 10**places)
    digits = f"{abs(scaled):0{places + 1}d}"
    text = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return f"-{text}" if scaled < 0 else text


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Return the units of a dimension."""
    return tuple(unit for unit, (kind, _) in _SCALE.items() if kind == dimension)


def read_quantity(text: str, dimension: Dimension) -> Quantity:
    """Read a quantity as typed.

    Raises:
        Unreadable: No number, no unit, a unit of something else, or a decimal comma.
    """
    parts = _SPLIT.fullmatch(text.strip().replace("\u2212", "-"))
    value, unit = (parts["value"], parts["unit"]) if parts else ("", "")
    if "," in value:
        raise Unreadable(
            f"{shown(text)} has a comma in its number.",
            "Write decimals with a point and no thousands mark: 1.05 or 1050.",
        )
    if not value.strip():
        raise Unreadable(f"{shown(text)} does not begin with a number.", _like(dimension))
    if not unit:
        raise Unreadable(f"{shown(text)} has no unit.", _like(dimension))
    return _of_dimension(_tidy(value), _unit(unit), dimension)


def as_fact(quantity: Quantity) -> dict[str, str]:
    """Return the quantity as it stands in an entry's facts."""
    return {"value": quantity.value, "unit": quantity.unit}


def from_fact(fact: object) -> Quantity:
    """Return the quantity that an entry's fact holds.

    Raises:
        Unreadable: Anything but exactly a value and a unit, both text, within the grammar.
    """
    if not isinstance(fact, Mapping) or set(fact) != {"value", "unit"}:
        raise Unreadable("A quantity in an entry is a value and a unit, no more.", _FACT)
    value, unit = fact["value"], fact["unit"]
    if not isinstance(value, str) or not isinstance(unit, str):
        raise Unreadable("A quantity in an entry has its value and its unit as text.", _FACT)
    return Quantity(value, unit)


def _of_dimension(value: str, unit: str, dimension: Dimension) -> Quantity:
    """Return the quantity, refused where its unit measures something else."""
    quantity = Quantity(value, unit)
    if quantity.dimension != dimension:
        raise Unreadable(
            f"{quantity} is a {quantity.dimension}, not a {dimension}.", _like(dimension)
        )
    return quantity


def _tidy(value: str) -> str:
    """Return the number with one space before a fraction; shops write ``1-3/16`` as well."""
    value = " ".join(value.split())
    return re.sub(r"(?<=[0-9])-(?=[0-9]+/)", " ", value)


def _unit(text: str) -> str:
    """Return the unit's own spelling."""
    text = text.strip()
    if text in _SCALE:
        return text
    folded = text.casefold()
    if folded in _SCALE:
        return folded
    return _ALIASES.get(folded) or _refuse_unit(text)


def _refuse_unit(text: str) -> NoReturn:
    """Raise for what is no unit, saying which are."""
    if any(character.isdigit() for character in text):
        raise Unreadable(
            f"More than a number and a unit was given: {shown(text)} is left over.",
            "Write one number and one unit, such as 63 in for five feet three.",
        )
    raise Unreadable(f"{shown(text)} is not a unit known here.", f"Units: {' '.join(_SCALE)}.")


def _number(value: str, unit: str) -> Fraction:
    """Return the number that a value under the grammar means."""
    warm = _SCALE[unit][0] == "temperature"
    if (_SIGNED if warm else _SIMPLE).fullmatch(value):
        return Fraction(value)
    found = None if warm else _FRACTION.fullmatch(value)
    if not found or (found["whole"] and int(found["top"]) >= int(found["under"])):
        raise Unreadable(f"{shown(value)} is not a number of {unit}.", _like(_SCALE[unit][0]))
    return int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["under"]))


def _like(dimension: Dimension) -> str:
    """Return the remedy: a few quantities as they are written."""
    examples = {
        "length": "450 mm, 4.5 cm, 3/16 in or 1 3/16 in",
        "mass": "450 g, 1.05 kg, 12 oz or 31.5 lb",
        "temperature": "1090 °C or 2000 °F",
        "volume": "500 ml or 1.5 l",
    }
    return f"Write it as {examples[dimension]}."
