"""Figures that say how they were come by: the shape that every worked-out answer shares.

An answer is an immutable value.  ``formula`` states, a line each, how its figures follow from what
was given, with the numbers put in where that helps; ``sources`` names, a line each, the publication
a constant was taken from, or says "common practice, no source" or "from memory".  ``--explain``
prints both; ``--json`` always carries them.

>>> class Factor(Explained, frozen=True, kw_only=True):
...     factor: Decimal
>>> Factor(factor=Decimal("8.9"), formula=("factor = bronze / wax",), sources=()).factor
Decimal('8.9')
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import msgspec


class Figures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Root of the smaller values that an answer is made of."""


class Explained(Figures, frozen=True, kw_only=True):
    """Root of every answer: the formula and the sources of what it says."""

    formula: tuple[str, ...]
    sources: tuple[str, ...]


def rounded(number: Fraction | Decimal, places: int) -> Decimal:
    """Return a number to a last place, half to even, as a decimal that keeps its zeros."""
    scaled = round(Fraction(number) * 10**places)
    return Decimal(scaled).scaleb(-places)
