"""Strengths as the room writes them, spoons, and stock liquids of a stated strength.

=================  ==========================================================================
``5 % w/v``        grams in 100 ml of finished solution; also ``m/v``, ``by weight of volume``
``5 % w/w``        grams in 100 g of finished solution; also ``m/m``, ``by weight``
``5 % v/v``        millilitres of the liquid as bought in 100 ml; also ``by volume``
``40 g/l``         also ``g/100 ml``, ``oz/gal`` (avoirdupois ounces a US gallon)
``0.5 mol/l``      moles in a litre of finished solution; also ``M``
``2 tsp``          a level metric spoon: teaspoon 5 ml, tablespoon 15 ml (common practice)
=================  ==========================================================================

A bare ``5 %`` is refused: per cent of what decides by how much.

>>> str(read_strength("5% W/V")), read_strength("40 g/l").grams_a_litre()
('5 % w/v', Fraction(40, 1))
>>> float(read_stock("68 % w/w at 1.405").molarity(read_formula("HNO3")))  # doctest: +ELLIPSIS
15.16...
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal, NoReturn

import msgspec

from editions.errors import Unreadable
from editions.rules import measures
from editions.rules.measures import Density
from editions.rules.solutions.formulas import Formula, read_formula
from editions.trade.text import shown

__all__ = [
    "Spoons", "Stock", "Strength", "read_density", "read_formula", "read_number", "read_spoons",
    "read_stock", "read_strength",
]  # fmt: skip

Basis = Literal["w/v", "w/w", "v/v", "g/l", "oz/gal", "mol/l"]
PER_CENT: tuple[Basis, ...] = ("w/v", "w/w", "v/v")

_OUNCE = Fraction(45359237, 1_000_000) / 16 * 10  # grams: a sixteenth of the pound of 1959
_GALLON = Fraction(3785411784, 1_000_000_000)  # litres: 231 cubic inches

_WORDS: dict[str, Basis] = {
    "w/v": "w/v", "m/v": "w/v", "by weight of volume": "w/v", "weight by volume": "w/v",
    "w/w": "w/w", "m/m": "w/w", "by weight": "w/w", "by mass": "w/w", "wt": "w/w",
    "v/v": "v/v", "by volume": "v/v", "vol": "v/v",
    "g/l": "g/l", "grams a litre": "g/l", "grams per litre": "g/l",
    "oz/gal": "oz/gal",
    "mol/l": "mol/l", "m": "mol/l", "molar": "mol/l",
}  # fmt: skip

_NUMBER = re.compile(r"(?:0|[1-9][0-9]{0,5})(?:\.[0-9]{1,6})?")
_WRITTEN = re.compile(r"(?P<number>[-+0-9.,]*)\s*(?P<sign>%|per ?cent)?\s*(?P<basis>.*)")
_SPOONED = re.compile(
    r"(?P<number>[-+0-9.,/]+)\s*(?P<spoon>tsp|teaspoons?|tbsp|tablespoons?|spoons?)\.?"
)
_STOCK = re.compile(r"(?P<strength>.+?)\s+at\s+(?P<density>.+)")
_LIKE = "Write it as 5 % w/v, 5 % w/w, 5 % v/v, 40 g/l or 0.5 mol/l."
_SPOON = {"tsp": 5, "tbsp": 15}


class Strength(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A strength: the number as typed, and of what it is said."""

    value: str
    basis: Basis

    def __str__(self) -> str:
        return f"{self.value} {'% ' if self.basis in PER_CENT else ''}{self.basis}"

    def exact(self) -> Fraction:
        """Return the number, per cent as per cent."""
        return Fraction(self.value)

    def grams_a_litre(self) -> Fraction | None:
        """Return grams in a litre of finished solution, where that is what it says."""
        factors = {"w/v": Fraction(10), "g/l": Fraction(1), "oz/gal": _OUNCE / _GALLON}
        return self.exact() * factors[self.basis] if self.basis in factors else None


class Spoons(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """So many level spoons."""

    value: str
    spoon: Literal["tsp", "tbsp"]

    def __str__(self) -> str:
        return f"{self.value} {self.spoon}"

    def millilitres(self) -> Fraction:
        """Return the volume heaped in them, level, in ml."""
        return Fraction(self.value) * _SPOON[self.spoon]


class Stock(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A liquid as bought: per cent by weight, and its density."""

    strength: Strength
    density: Density

    def __str__(self) -> str:
        return f"{self.strength} at {self.density}"

    def grams_a_millilitre(self) -> Fraction:
        """Return grams of the pure substance in a millilitre of the stock."""
        return self.strength.exact() / 100 * self.density.exact()

    def molarity(self, formula: Formula) -> Fraction:
        """Return moles in a litre of the stock."""
        return self.grams_a_millilitre() * 1000 / Fraction(formula.exact_mass())


def read_strength(text: str) -> Strength:
    """Read a strength.

    Raises:
        Unreadable: No number, no basis, a basis not known here, or more than 100 per cent.
    """
    found = _WRITTEN.fullmatch(" ".join(text.casefold().split()))
    if found is None or not found["number"]:
        raise Unreadable(f"{shown(text)} is not a strength.", _LIKE)
    value = read_number(found["number"], text)
    sign, words = found["sign"], found["basis"]
    if not sign and words.replace(" ", "") in ("g/100ml", "g/dl"):
        sign, words = "%", "w/v"
    basis = _WORDS.get(words) or _WORDS.get(words.replace(" ", ""))
    if basis is None or bool(sign) != (basis in PER_CENT):
        _refuse_basis(text, sign, words)
    if basis in PER_CENT and Fraction(value) > 100:
        raise Unreadable(f"{shown(text)} is more than 100 per cent.", _LIKE)
    return Strength(value, basis)


def read_spoons(text: str) -> Spoons | None:
    """Read a number of spoons; None where the text speaks of none.

    Raises:
        Unreadable: A number that cannot be read, or a spoon without its size.
    """
    found = _SPOONED.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        return None
    spoon = found["spoon"]
    if spoon.startswith("spoon"):
        raise Unreadable(
            f"{shown(text)} does not say which spoon.", "Write tsp (5 ml) or tbsp (15 ml)."
        )
    halves = {"1/2": "0.5", "1/4": "0.25", "3/4": "0.75"}
    number = halves.get(found["number"]) or read_number(found["number"], text)
    return Spoons(number, "tsp" if spoon.startswith(("tsp", "tea")) else "tbsp")


def read_stock(text: str) -> Stock:
    """Read a liquid as bought: ``68 % w/w at 1.405``.

    Raises:
        Unreadable: No strength by weight, or no density.
    """
    found = _STOCK.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        raise Unreadable(f"{shown(text)} is not a stock liquid.", "Write it as 68 % w/w at 1.405.")
    strength = read_strength(found["strength"])
    if strength.basis != "w/w":
        raise Unreadable(
            f"{shown(text)}: a stock is said by weight.", "Write it as 68 % w/w at 1.405."
        )
    return Stock(strength, read_density(found["density"]))


def read_density(text: str) -> Density:
    """Read a density of a solution or a powder, g/ml where no unit is written.

    Raises:
        Unreadable: Not a density, or outside 0.1 to 4 g/ml.
    """
    density = measures.read_density(text)
    if not Fraction(1, 10) <= density.exact() <= 4:
        raise Unreadable(
            f"{density} is no density of a powder or a solution.", "Write it in g/ml: 1.405."
        )
    return density


def read_number(number: str, typed: str) -> str:
    """Read a decimal above nothing, as typed.

    Raises:
        Unreadable: A comma, a sign, no number, or zero.
    """
    if "," in number:
        raise Unreadable(
            f"{shown(typed)} has a comma in its number.",
            "Write decimals with a point and no thousands mark: 1.05 or 1050.",
        )
    if number.startswith("-"):
        raise Unreadable(f"{shown(typed)} is below nothing.", "Leave out what is not used.")
    if not _NUMBER.fullmatch(number):
        raise Unreadable(f"{shown(typed)} does not begin with a number.", _LIKE)
    if Fraction(number) == 0:
        raise Unreadable(f"{shown(typed)} is nothing.", "Leave out what is not used.")
    return number


def _refuse_basis(text: str, sign: str | None, basis: str) -> NoReturn:
    if sign and not basis:
        raise Unreadable(
            f"{shown(text)} does not say of what.",
            "Write w/v (grams in 100 ml), w/w (grams in 100 g) or v/v (ml in 100 ml).",
        )
    raise Unreadable(f"{shown(text)} is not a strength.", _LIKE)
