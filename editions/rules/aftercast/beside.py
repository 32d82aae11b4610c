"""What stands beside the measurements, apart and weaker: weight and marks.

A recast at equal wall loses surface, not thickness, so it weighs about (1 - s)**2 of its source;
only a wall that shrank too makes it (1 - s)**3.  Walls vary by more than that from cast to cast.
A mold of a bronze takes its marks along.

>>> str(rounded(Fraction("0.975") ** 2, 3)), str(rounded(Fraction("0.9682") ** 3, 3))
('0.951', '0.908')
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.explaining import Figures, rounded
from editions.trade.quantities import Quantity

WALL_VARIES = Decimal(15)

SOURCES = (
    "Weight: (1 - s)² at equal wall, (1 - s)³ where the wall shrank too (computed).",
    f"Walls of one run vary by {WALL_VARIES} % and more (common practice, no source).",
)


class Weight(Figures, frozen=True, kw_only=True):
    """The mass against the reference's, and what the wall would have to be; a weak line.

    ``equal_wall`` and ``wall_shrunk`` are the ratios to expect at the measured scale,
    ``wall_ratio`` the wall that the two masses imply against the reference's.
    """

    mass: Quantity
    reference: Quantity
    ratio: Decimal
    equal_wall: Decimal
    wall_shrunk: Decimal
    wall_ratio: Decimal
    says: str


class Marks(Figures, frozen=True, kw_only=True):
    """The marks found on both, and on one alone; a weak line."""

    both: tuple[str, ...]
    bronze_alone: tuple[str, ...]
    reference_alone: tuple[str, ...]
    says: str


def weigh(mass: Quantity, reference: Quantity, scale: float) -> Weight:
    """Return what the masses tell at a measured scale.

    Raises:
        Unreadable: A mass of zero.
    """
    if not (mass.exact() and reference.exact()):
        raise Unreadable("A mass of zero tells nothing.", "Weigh it, or leave it out.")
    ratio, measured = mass.exact() / reference.exact(), Fraction(scale)
    wall = ratio / measured**2
    apart = abs(wall - 1) * 100 > WALL_VARIES
    says = (
        f"the wall would be {rounded(wall, 2)} times the reference's: more than walls usually vary."
        " Look for a solid base, core left in, another alloy"
        if apart
        else f"the wall would be {rounded(wall, 2)} times the reference's, as walls vary: it"
        " neither supports nor opposes what the stations tell"
    )
    return Weight(
        mass=mass,
        reference=reference,
        ratio=rounded(ratio, 3),
        equal_wall=rounded(measured**2, 3),
        wall_shrunk=rounded(measured**3, 3),
        wall_ratio=rounded(wall, 3),
        says=says,
    )


def compare_marks(bronze: Iterable[str], reference: Iterable[str]) -> Marks:
    """Return which marks are on both and which on one alone, read alike in any case."""
    mine, theirs = (_by_reading(marks) for marks in (bronze, reference))
    both = tuple(mine[name] for name in mine if name in theirs)
    says = (
        "a mold of a bronze takes its marks along: a mark that should be one bronze's alone, on"
        " both, must be explained; look whether it is as crisp"
        if both
        else "different marks tell little: marks are filled, cut and added"
    )
    return Marks(
        both=both,
        bronze_alone=tuple(mine[name] for name in mine if name not in theirs),
        reference_alone=tuple(theirs[name] for name in theirs if name not in mine),
        says=says,
    )


def _by_reading(marks: Iterable[str]) -> dict[str, str]:
    return {" ".join(mark.casefold().split()): mark for mark in marks}
