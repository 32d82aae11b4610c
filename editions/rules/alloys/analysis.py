"""An analysis as a laboratory reports it: element symbols and per cent by weight, as decimal text.

Three things are kept apart:

* a reported figure is exact as reported;
* ``<0.005``, below what the laboratory can find, is anything from nothing to that figure;
* an element that is not reported is **never** zero, and has no figure here.

>>> read_percentages({"cu": "94.60", "Pb": "<0.005"})["Pb"].high
Decimal('0.005')
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from functools import lru_cache
from typing import NamedTuple

from editions.errors import Unreadable
from editions.trade.text import shown

# An analysis adds to 100 within its own rounding; beyond this a figure was mistyped.
MOST_PERCENT = Decimal("100.5")

_ZERO, _HUNDRED = Decimal(0), Decimal(100)

_PERCENTAGE = re.compile(r"(?P<below><? ?)(?P<figure>(?:0|[1-9][0-9]{0,2})?(?:\.[0-9]{1,6})?)")
ELEMENTS = frozenset(
    re.findall(
        "[A-Z][a-z]?",
        "AgAlAsAuBBeBiCCaCdCeCoCrCuFeHHgInLaLiMgMnMoNNbNiOPPbPdPtSSbSeSiSnSrTaTeTiTlVWYZnZr",
    )
)


class Meaning(NamedTuple):
    """The least and the most that a figure may mean, in per cent, and the figure as reported."""

    low: Decimal
    high: Decimal
    written: str

    def plus(self, other: Meaning) -> Meaning:
        """Return the meaning of both together, under this one's name."""
        return Meaning(self.low + other.low, self.high + other.high, self.written)

    def rounded(self, places: int) -> Meaning:
        """Return both ends rounded to a limit's last place."""
        return Meaning(round_to(self.low, places), round_to(self.high, places), self.written)

    @property
    def middle(self) -> Decimal:
        """The figure itself; of a figure below detection, half of it."""
        return self.high if self.low == self.high else (self.low + self.high) / 2


NOTHING = Meaning(Decimal(0), Decimal(0), "")


def round_to(number: Decimal, places: int) -> Decimal:
    """Return a number rounded to a last place, half to even (ASTM E29, rounding method)."""
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)


def read_element(symbol: str) -> str:
    """Return an element's symbol in its own spelling.

    Raises:
        Unreadable: Not the symbol of an element found in copper alloys.
    """
    element = symbol.strip().capitalize()
    if element not in ELEMENTS:
        raise Unreadable(f"{shown(symbol)} is not an element.", "Write symbols: Cu, Sn, Si.")
    return element


def read_percentages(percentages: Mapping[str, str]) -> dict[str, Meaning]:
    """Read an analysis; symbols may come in any case.

    Raises:
        Unreadable: A symbol or figure that cannot be read, one given twice, a sum beyond 100.5.
    """
    return dict(_read(tuple(percentages.items())))


# A plan looks at the certificate of a lot several times.
@lru_cache(maxsize=256)
def _read(percentages: tuple[tuple[str, str], ...]) -> Mapping[str, Meaning]:
    """Read an analysis, kept for the next time it is looked at."""
    reported: dict[str, Meaning] = {}
    for symbol, figure in percentages:
        element = read_element(symbol)
        if element in reported:
            raise Unreadable(f"{element} is given twice.", "Give each element once.")
        reported[element] = _read_figure(element, figure)
    total = sum(meaning.low for meaning in reported.values())
    if total > MOST_PERCENT:
        raise Unreadable(
            f"The analysis adds to {total} %.", "A figure was probably mistyped; see the report."
        )
    return reported


def _read_figure(element: str, figure: str) -> Meaning:
    """Read one percentage."""
    typed = figure.strip()
    found = _PERCENTAGE.fullmatch(typed)
    number = Decimal(found["figure"]) if found and found["figure"] else None
    if found is None or number is None or number > _HUNDRED:
        raise Unreadable(
            f"{element} has {shown(figure)}, which is not a percentage.",
            "Write 4.05, or <0.005 where the laboratory found less than it can measure.",
        )
    return Meaning(_ZERO if found["below"] else number, number, typed)
