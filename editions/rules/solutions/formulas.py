"""Chemical formulas as labels print them, hydrates included, and their molar masses.

Parts are joined by a middle dot, a plus, an asterisk or a full stop; each may begin with how often
it counts.  A number after an element or a bracket is always whole, so the stop in
``Fe(NO3)3.9H2O`` joins, and means nine waters; only a leading count may be a fraction.

>>> str(read_formula("Fe(NO3)3.9H2O")), read_formula("Fe(NO3)3.9H2O").molar_mass()
('Fe(NO3)3·9H2O', Decimal('403.992'))
>>> str(read_formula("Cu(NO3)2+2.5H2O").without_water())
'Cu(NO3)2'
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections import Counter
from decimal import Decimal
from functools import lru_cache
from importlib import resources

import msgspec

from editions.errors import Unreadable
from editions.rules.explaining import rounded
from editions.trade.text import shown

WEIGHTS = (
    "standard atomic weights: Prohaska et al., Standard atomic weights of the elements 2021"
    " (IUPAC Technical Report), Pure Appl. Chem. 94 (2022); conventional values"
)
_LONGEST, _DEEPEST = 80, 4
_JOINS = "·+*.•∙"
_COUNT = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{1,3})?|0\.[0-9]{1,3}")
_SYMBOL = re.compile(r"[A-Z][a-z]?")
_CLOSING = {"(": ")", "[": "]"}
_WHOLE = re.compile(r"[1-9][0-9]{0,2}")
_LIKE = "Write it as the label does: Fe(NO3)3·9H2O, or Fe(NO3)3+9H2O."
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")

Atoms = Counter[str]


class Part(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One part of a formula, and how often it counts, as text: ``9`` of ``H2O``."""

    count: str
    text: str

    def atoms(self) -> dict[str, Decimal]:
        """How many atoms of each element, the count taken in."""
        return {
            element: Decimal(self.count) * number
            for element, number in _group(self.text, 0, 0)[0].items()
        }


class Formula(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A formula as read; ``str`` gives it with middle dots."""

    parts: tuple[Part, ...]

    def __str__(self) -> str:
        return "·".join(
            (part.count if part.count != "1" else "") + part.text for part in self.parts
        )

    def atoms(self) -> dict[str, Decimal]:
        """How many atoms of each element one unit of the formula holds."""
        total: dict[str, Decimal] = {}
        for part in self.parts:
            for element, number in part.atoms().items():
                total[element] = total.get(element, Decimal(0)) + number
        return total

    def molar_mass(self, places: int = 3) -> Decimal:
        """Return the molar mass in g/mol, half to even at its last place."""
        return rounded(self.exact_mass(), places)

    def exact_mass(self) -> Decimal:
        """Return the molar mass in g/mol, with all the places that the weights have."""
        weights = atomic_weights()
        return sum((n * weights[element] for element, n in self.atoms().items()), Decimal(0))

    def without_water(self) -> Formula:
        """Return the formula without its water of crystallisation."""
        dry = tuple(part for part in self.parts if part.text not in _WATER)
        return Formula(dry or self.parts)


_WATER = ("H2O", "OH2")


def read_formula(text: str) -> Formula:
    """Read a formula.

    Raises:
        Unreadable: It is not one, names no known element, or its brackets do not close.
    """
    plain = "".join(text.split()).translate(_SUBSCRIPTS)
    if not plain or len(plain) > _LONGEST:
        raise Unreadable(f"{shown(text)} is not a chemical formula.", _LIKE)
    parts: list[Part] = []
    place = 0
    while True:
        part, place = _part(plain, place, text)
        parts.append(part)
        if place == len(plain):
            return Formula(tuple(parts))
        place += 1


@lru_cache(maxsize=1)
def atomic_weights() -> dict[str, Decimal]:
    """Return the standard atomic weight of each element that has one, by its symbol."""
    text = (resources.files(__package__) / "atomic_weights.toml").read_text(encoding="utf-8")
    return {symbol: Decimal(weight) for symbol, weight in tomllib.loads(text).items()}


def _part(plain: str, start: int, typed: str) -> tuple[Part, int]:
    """Return the part that begins here, and the place of the join after it."""
    leading = _COUNT.match(plain, start)
    place = leading.end() if leading else start
    atoms, end = _group(plain, place, 0)
    if not atoms or end + 1 == len(plain):
        raise Unreadable(f"{shown(typed)} ends where another part should stand.", _LIKE)
    if end < len(plain) and plain[end] not in _JOINS:
        raise Unreadable(f"The brackets of {shown(typed)} do not close.", _LIKE)
    return Part(leading.group() if leading else "1", plain[place:end]), end


def _group(text: str, place: int, depth: int) -> tuple[Atoms, int]:
    """Return the atoms up to the next join, closing bracket or end, and the place of that."""
    atoms: Atoms = Counter()
    while place < len(text) and text[place] not in _JOINS + ")]":
        inside, place = _unit(text, place, depth)
        number = _WHOLE.match(text, place)
        times = int(number.group()) if number else 1
        place = number.end() if number else place
        atoms.update({element: count * times for element, count in inside.items()})
    return atoms, place


def _unit(text: str, place: int, depth: int) -> tuple[Atoms, int]:
    """Return the atoms of the element or the bracket that stands here, and the place after it."""
    closing = _CLOSING.get(text[place])
    if closing:
        inside, end = _group(text, place + 1, depth + 1)
        if not inside or text[end : end + 1] != closing or depth == _DEEPEST:
            raise Unreadable(f"The brackets of {shown(text)} do not close.", _LIKE)
        return inside, end + 1
    found = _SYMBOL.match(text, place)
    if not found:
        rest = shown(text[place : place + 8])
        raise Unreadable(f"{shown(text)} is not a formula: {rest} begins with no element.", _LIKE)
    return Counter({_element(found.group(), text): 1}), found.end()


def _element(symbol: str, text: str) -> str:
    if symbol not in atomic_weights():
        near = difflib.get_close_matches(symbol, atomic_weights(), n=1, cutoff=0.5)
        raise Unreadable(
            f"{shown(symbol)} in {shown(text)} is no element with a standard atomic weight.",
            f"Did you mean {near[0]}?" if near else _LIKE,
        )
    return symbol
