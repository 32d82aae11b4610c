"""Volume, wall and mass of a hollow bronze checked against each other.

A bronze weighs its metal's volume times its density; the metal of a thin wall is its surface times
its thickness.  Whatever two figures tell the same third one are compared, and how far they are
apart is said with what it may mean.  These are remarks, never refusals::

    mass   = volume of metal * density
    volume = surface * wall              (thin walls: a few per cent too much on a small form)

>>> read = check_metal(
...     Density(value="8.36"), mass=Quantity("10", "kg"), volume=Quantity("1.5", "l")
... )
>>> read.findings[0].says
'the metal weighs less than its volume: cavities, or a volume that includes the core'
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import Area, Density, length_in, mass_in
from editions.trade.quantities import Quantity, decimal_text

MASS_TOLERANCE = Decimal(3)
WALL_TOLERANCE = Decimal(15)

SOURCES = (
    f"Mass and volume agree within {MASS_TOLERANCE} % (common practice, no source).",
    f"Wall and surface agree within {WALL_TOLERANCE} % (common practice, no source).",
)

# Kilograms from cubic centimetres at 1 g/cm3, and cubic centimetres from square ones at 1 mm.
_KILO = 1000
_MM = Fraction(1, 10)


class Finding(Figures, frozen=True, kw_only=True):
    """One comparison: what was given, what the others tell, and how far apart in per cent."""

    of: str
    given: Quantity
    expected: Quantity
    by: str
    differs_percent: Decimal
    agrees: bool
    says: str


class MetalCheck(Explained, frozen=True, kw_only=True):
    """Every comparison that the figures given allow, and what follows from them."""

    density: Density
    findings: tuple[Finding, ...]
    implied_wall: Quantity | None = None
    implied_surface: Area | None = None


def check_metal(
    density: Density,
    *,
    mass: Quantity | None = None,
    volume: Quantity | None = None,
    wall: Quantity | None = None,
    surface: Area | None = None,
) -> MetalCheck:
    """Compare what is known of a hollow bronze.

    Args:
        density: Of the solid alloy.
        mass: Of the bronze.
        volume: Of its metal alone, without the hollow.
        wall: Its thickness, as an average.
        surface: Of its outside, from a scan or a model.

    Raises:
        Unreadable: Nothing can be told from what is given, or a figure is zero.
    """
    _refuse_zero(mass, volume, wall)
    metal = _metal_volume(density, mass, volume)
    findings = [
        *([_by_volume(density, mass, volume)] if mass and volume else []),
        *([_by_wall(metal, wall, surface)] if metal and wall and surface else []),
    ]
    implied_wall, implied_surface = _implied(metal, wall, surface)
    if not findings and not implied_wall and not implied_surface:
        raise _untold(density, wall, surface)
    return MetalCheck(
        density=density,
        findings=tuple(findings),
        implied_wall=implied_wall,
        implied_surface=implied_surface,
        formula=("mass = volume of metal × density", "volume of metal = surface × wall"),
        sources=SOURCES,
    )


def _untold(density: Density, wall: Quantity | None, surface: Area | None) -> Unreadable:
    """Return the refusal of figures that tell nothing of each other."""
    if not (wall and surface):
        return Unreadable(
            "One figure cannot be checked against itself.",
            "Give two or more of --mass, --volume, --wall and --surface.",
        )
    metal = surface.exact() * wall.exact() * _MM
    return Unreadable(
        "Wall and surface are given, and nothing to check them against.",
        f"They make {decimal_text(metal, 0)} cm3 of metal,"
        f" {mass_in(metal * density.exact() / _KILO, 'kg', 3)}; give --mass or --volume.",
    )


def _metal_volume(
    density: Density, mass: Quantity | None, volume: Quantity | None
) -> Fraction | None:
    """Return the metal's volume in cubic centimetres: measured, else from its mass."""
    if volume is not None:
        return volume.exact() * 1000
    return mass.exact() * _KILO / density.exact() if mass is not None else None


def _implied(
    metal: Fraction | None, wall: Quantity | None, surface: Area | None
) -> tuple[Quantity | None, Area | None]:
    """Return the wall that a surface implies, or the surface that a wall implies."""
    if metal is None:
        return None, None
    if surface is not None:
        millimetres = metal / surface.exact() / _MM
        return length_in(millimetres, wall.unit if wall else "mm", 3), None
    if wall is not None:
        square = metal / (wall.exact() * _MM)
        return None, Area(value=decimal_text(square / 10_000, 4), unit="m2")
    return None, None


def _by_volume(density: Density, mass: Quantity, volume: Quantity) -> Finding:
    expected = volume.exact() * density.exact()
    differs = 100 * (mass.exact() / expected - 1)
    less = "the metal weighs less than its volume: cavities, or a volume that includes the core"
    more = "the metal weighs more than its volume: core or armature left in, or another alloy"
    return Finding(
        of="mass",
        given=mass,
        expected=mass_in(expected, mass.unit, 3),
        by=f"{volume} × {density}",
        differs_percent=rounded(differs, 1),
        agrees=abs(differs) <= MASS_TOLERANCE,
        says=_says(differs, MASS_TOLERANCE, less, more),
    )


def _by_wall(metal: Fraction, wall: Quantity, surface: Area) -> Finding:
    expected = metal / surface.exact() / _MM
    differs = 100 * (wall.exact() / expected - 1)
    less = "the wall is thinner than the metal tells: thicker places, a solid base, or core left in"
    more = (
        "the wall is thicker than the metal tells: thinner places, openings, or a smaller surface"
    )
    return Finding(
        of="wall",
        given=wall,
        expected=length_in(expected, wall.unit, 3),
        by=f"metal / {surface}",
        differs_percent=rounded(differs, 1),
        agrees=abs(differs) <= WALL_TOLERANCE,
        says=_says(differs, WALL_TOLERANCE, less, more),
    )


def _says(differs: Fraction, tolerance: Decimal, less: str, more: str) -> str:
    if abs(differs) <= tolerance:
        return "they agree"
    return less if differs < 0 else more


def _refuse_zero(*given: Quantity | None) -> None:
    for quantity in given:
        if quantity is not None and not quantity.exact():
            raise Unreadable(f"{quantity} is nothing to check.", "Leave out what is not known.")
