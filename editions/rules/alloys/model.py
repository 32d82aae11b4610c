"""An alloy as its data file states it: limits with their sources, and where each edition differs.

Figures are decimal text, per cent by weight; ``places`` is the last place of a limit, to which a
result is rounded before it is compared.  ``includes`` names elements that are counted with the one
limited (nickel includes cobalt; a European copper limit may include nickel).

>>> Limit(element="Pb", high="0.09", places=2, source="ASTM B584-14", read="seen").text
'at most 0.09'
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

import msgspec


class _Data(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Root of what a data file holds."""


class Limit(_Data, frozen=True, kw_only=True):
    """What one element may be; in the ``editions`` named, or in all where none is."""

    element: str
    low: str | None = None
    high: str | None = None
    places: int
    includes: tuple[str, ...] = ()
    editions: tuple[str, ...] = ()
    source: str
    read: str

    @property
    def text(self) -> str:
        """The limit in words."""
        if self.low and self.high:
            return f"{self.low} to {self.high}"
        return f"at least {self.low}" if self.low else f"at most {self.high}"

    @property
    def floor(self) -> Decimal:
        """The least allowed, in per cent."""
        return Decimal(self.low or 0)

    @property
    def ceiling(self) -> Decimal:
        """The most allowed, in per cent."""
        return Decimal(self.high or 100)


class SumRule(_Data, frozen=True, kw_only=True):
    """The least that copper and every named element make together, in per cent."""

    low: str
    elements: tuple[str, ...]
    source: str
    read: str

    @property
    def places(self) -> int:
        """The last place of the limit."""
        return len(self.low.partition(".")[2])


class Edition(_Data, frozen=True, kw_only=True):
    """One edition of the limits: a short name and the specification it stands in."""

    name: str
    specification: str


class Density(_Data, frozen=True, kw_only=True):
    """Density of the solid alloy, in the unit of its source."""

    value: str
    unit: Literal["g/cm3", "lb/in3"]
    source: str
    read: str


class MeltingRange(_Data, frozen=True, kw_only=True):
    """Where the alloy is all liquid and all solid, as one source has it."""

    liquidus: str
    solidus: str
    unit: Literal["°F"]
    source: str
    read: str


class PourRange(_Data, frozen=True, kw_only=True):
    """Pouring temperatures for light or heavy sections; outside them is a remark only."""

    section: Literal["light", "heavy"]
    low: str
    high: str
    unit: Literal["°F"]
    source: str
    read: str


class Contraction(_Data, frozen=True, kw_only=True):
    """The patternmaker's contraction of the alloy, pattern to casting: a share of the pattern."""

    low: str
    high: str
    unit: Literal["%", "in/ft"]
    source: str
    read: str

    @property
    def percent(self) -> tuple[Fraction, Fraction]:
        """Both ends in per cent; a quarter inch per foot is 2 1/12."""
        scale = Fraction(100, 12) if self.unit == "in/ft" else Fraction(1)
        return Fraction(self.low) * scale, Fraction(self.high) * scale


class Alloy(_Data, frozen=True, kw_only=True):
    """One alloy; ``editions`` run from the oldest to the newest."""

    name: str
    system: str
    title: str
    limits: tuple[Limit, ...]
    sum_rule: SumRule | None = None
    copper_plus_nickel: bool = False
    editions: tuple[Edition, ...]
    density: Density | None = None
    melting: tuple[MeltingRange, ...] = ()
    pour: tuple[PourRange, ...] = ()
    contraction: tuple[Contraction, ...] = ()
    remarks: tuple[str, ...] = ()
    sources: tuple[str, ...]

    def limits_in(self, edition: Edition) -> tuple[Limit, ...]:
        """Return the limits that hold in an edition, one an element."""
        return tuple(x for x in self.limits if not x.editions or edition.name in x.editions)
