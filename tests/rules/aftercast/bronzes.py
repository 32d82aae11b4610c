"""Stations of invented bronzes, as the tests compare them."""

from __future__ import annotations

from collections.abc import Sequence

from editions.rules.aftercast import Comparison, Measured, compare
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

NAMES = ("tail", "beak", "foot", "knee", "eye", "claw")
# The registered lengths and those of an aftercast, in mm: computed for this comparison.
REGISTERED = ("300", "210", "152", "84.5", "61.2", "45.0")
AFTERCAST = ("292.6", "204.5", "148.4", "82.3", "59.7", "43.8")


def measured(lengths: Sequence[str], unsure: str | None = "0.15", unit: str = "mm") -> Measured:
    """Stations under fixed names, all as sure as each other."""
    return Measured(
        stations=tuple(
            Station(
                name=name,
                length=Quantity(length, unit),
                uncertainty=Quantity(unsure, unit) if unsure else None,
            )
            for name, length in zip(NAMES, lengths, strict=False)
        )
    )


def compared(bronze: Sequence[str], kind: str = "documented cast", **said: object) -> Comparison:
    """A bronze compared with the registered lengths."""
    return compare(measured(bronze), measured(REGISTERED), kind, **said)  # type: ignore[arg-type]


def scaled(factor: float, unsure: str = "0.15") -> Comparison:
    """A bronze that is a factor of the registered lengths at every station, to a thousandth."""
    lengths = [f"{float(length) * factor:.3f}" for length in REGISTERED]
    return compare(measured(lengths, unsure), measured(REGISTERED, unsure), "documented cast")
