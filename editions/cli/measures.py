"""Values and options that calculations share: percentages, densities, areas, contractions, alloys.

========================  ===================================================================
``PercentType()``         a percentage as a :class:`~decimal.Decimal`: ``10``, ``2.5 %``
``DensityType()``         a density: ``0.93``, ``0.302 lb/in3``
``AreaType()``            an area: ``0.35 m2``
``RateType()``            a contraction: ``2.5 %``, ``3/16 in/ft``
``metal_options``         ``alloy``, ``density``, ``wax_density``, ``reserve`` and ``loss``
``bronze_density(...)``   the density meant, and where it was read; of own alloys too
========================  ===================================================================
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from editions.cli import options
from editions.cli.asking import ask

if TYPE_CHECKING:
    from decimal import Decimal

    from editions.cli.desk import Desk
    from editions.registry import Reading
    from editions.rules.measures import Area, Density
    from editions.rules.rates import Rate
    from editions.trade.quantities import Quantity

    # A density, and where it was read.
    Sourced = tuple[Density, str]

F = TypeVar("F", bound=Callable[..., Any])

LIKELY_ALLOY = "C87300"


class PercentType(options.ValueType["Decimal"]):
    """A percentage: ten in a hundred is ``10`` or ``10 %``."""

    name = "percent"

    def read(self, text: str) -> Decimal:
        """The figure, in per cent.

        Raises:
            Unreadable: If it is no percentage from 0 to 100.
        """
        from editions.rules.measures import read_percent

        return read_percent(text)


class DensityType(options.ValueType["Density"]):
    """A density; grams a cubic centimetre where no unit is written."""

    name = "density"

    def read(self, text: str) -> Density:
        """The density.

        Raises:
            Unreadable: If it is no density.
        """
        from editions.rules.measures import read_density

        return read_density(text)


class AreaType(options.ValueType["Area"]):
    """An area: ``0.35 m2``, ``540 in2``."""

    name = "area"

    def read(self, text: str) -> Area:
        """The area.

        Raises:
            Unreadable: If it is no area.
        """
        from editions.rules.measures import read_area

        return read_area(text)


class RateType(options.ValueType["Rate"]):
    """A contraction: ``2.5 %``, ``3/16 in/ft``."""

    name = "rate"

    def read(self, text: str) -> Rate:
        """The contraction.

        Raises:
            Unreadable: If it is none, or more than bronze contracts.
        """
        from editions.rules.rates import read_rate

        return read_rate(text)


def metal_options(function: F) -> F:
    """Options of whatever reckons bronze from wax."""
    for add in reversed(
        (
            click.option("--alloy", type=options.TextType(120), help="The alloy: C87300."),
            click.option(
                "--density", type=DensityType(), help="Its density instead: 0.302 lb/in3."
            ),
            click.option(
                "--wax-density", type=DensityType(), help="Of the wax.  [default: 0.93 g/cm3]"
            ),
            click.option(
                "--reserve",
                type=PercentType(),
                help="Metal beyond what is poured.  [default: 10 %]",
            ),
            click.option("--loss", type=PercentType(), help="Lost in melting.  [default: 2 %]"),
        )
    ):
        function = add(function)
    return function


def bronze_density(
    desk: Desk, density: Density | None, alloy: str | None, likely: Sourced | None = None
) -> Sourced:
    """The density of the bronze meant, and where it was read; the alloy is asked for if need be.

    Raises:
        Unreadable: If neither is said and nobody can be asked, or the alloy is not held.
    """
    from editions.errors import Unreadable
    from editions.rules.metal import alloy_density

    if density is not None:
        return density, "as given"
    if alloy is None and likely is not None:
        return likely
    named = ask(desk, alloy, "Which alloy", likely=LIKELY_ALLOY, option="--alloy or --density")
    try:
        return alloy_density(named)
    except Unreadable:
        if not _has_book(desk):
            raise
    with desk.reading() as reading:
        return alloy_density(named, reading)


def density_of_book(reading: Reading, *alloys: str | None) -> Sourced | None:
    """The density of the first of these alloys of which one is held, here or in the book."""
    from editions.errors import Unreadable
    from editions.rules.metal import alloy_density

    for name in filter(None, alloys):
        try:
            return alloy_density(name, reading)
        except Unreadable:
            continue
    return None


def _has_book(desk: Desk) -> bool:
    """Whether a registry is named, or lies in this folder."""
    from editions.errors import RegistryUnusable

    try:
        desk.place()
    except RegistryUnusable:
        return False
    return True


def shown_mass(mass: Quantity | None) -> str:
    """A mass as the floor reads it: two places, three below one kilogram or pound."""
    from decimal import Decimal

    if mass is None:
        return ""
    number = Decimal(mass.value)
    return f"{number:.{2 if number >= 1 else 3}f} {mass.unit}"


def given(**said: Any) -> dict[str, Any]:
    """What was said, without what was not, so that a function's own defaults stand."""
    return {name: value for name, value in said.items() if value is not None}
