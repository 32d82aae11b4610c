"""Zones of expectation behind a chart: which are shown, and where their labels stand.

A zone that fits is always shown, and the first two are; another where it lies within reach of what
was measured.  Labels that would meet stand in rows above each other, those that fit lowest.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from editions.charts.drawing import element
from editions.charts.plot import words
from editions.charts.scales import Scale

ROW = 34  # pixels of a row of labels
_HALF = 50  # pixels from the middle of a label to its end


class Zone(NamedTuple):
    """Where bronzes of a generation measure, in per cent against the reference."""

    label: str
    low: float
    high: float
    fits: bool

    @property
    def middle(self) -> float:
        """The figure between its ends."""
        return (self.low + self.high) / 2


class Placed(NamedTuple):
    """A zone and the row of its label, 0 the lowest."""

    zone: Zone
    row: int


def in_reach(zones: Sequence[Zone], low: float, high: float) -> list[Zone]:
    """Return the zones that fit or lie within reach of figures; the first two always."""
    return [
        zone
        for n, zone in enumerate(zones)
        if n < 2 or zone.fits or (zone.high > low and zone.low < high)
    ]


def placed(zones: Sequence[Zone], x: Scale) -> list[Placed]:
    """Return zones with the rows that their labels find room in."""
    taken: list[Placed] = []
    for zone in sorted(zones, key=lambda one: not one.fits):
        row = next(n for n in range(len(zones)) if _free(zone, n, taken, x))
        taken.append(Placed(zone, row))
    return taken


def drawn(one: Placed, x: Scale, top: float, bottom: float) -> list[str]:
    """Return a zone from ``top`` to ``bottom``, its label and finding above it."""
    zone = one.zone
    frame = {"x": x(zone.low), "y": top, "width": x(zone.high) - x(zone.low)}
    name = "figure strong" if zone.fits else "soft"
    lines = (zone.label, "consistent" if zone.fits else "inconsistent")
    middle, foot = x(zone.middle), top - 8 - ROW * one.row
    return [
        *([element("rect", **frame, height=bottom - top, class_="band")] if zone.fits else []),
        element("rect", **frame, height=bottom - top, class_="edge" if zone.fits else "faint"),
        *(
            words(line, middle, y, anchor="middle", class_=name)
            for line, y in zip(lines, (foot - 16, foot), strict=True)
        ),
    ]


def _free(zone: Zone, row: int, taken: Sequence[Placed], x: Scale) -> bool:
    """Whether a label has room in a row."""
    return all(
        other.row != row or abs(x(other.zone.middle) - x(zone.middle)) >= 2 * _HALF
        for other in taken
    )
