"""The mark at the head of every paper: a struck disc, and on it a casting still on its gates.

A cup above, a sprue down the middle, runners that fall from it in steps, and a vent that rises from
the foot on either side: the tree that a founder cuts off.  Drawn in a square of 34 units, scaled to
its place.
"""

from __future__ import annotations

from certificates.layout import Box
from certificates.pen import Pen

Corners = tuple[tuple[float, ...], ...]

_UNITS = 34.0
_CUP: Corners = ((13.0, 6.0), (21.0, 6.0), (18.2, 10.2), (15.8, 10.2), (13.0, 6.0))
_SPRUE: Corners = ((16.1, 10.2), (17.9, 10.2), (17.5, 27.6), (16.5, 27.6), (16.1, 10.2))
_BASIN: Corners = (
    (12.4, 27.2),
    (21.6, 27.2),
    (21.6, 28.6, 12.4, 28.6, 12.4, 27.2),
)
# Each runner leaves the sprue, falls outward and ends in a drop of metal; mirrored on the left.
_RUNNERS: tuple[Corners, ...] = (
    ((17.2, 12.2), (19.0, 12.3, 20.8, 13.1, 21.2, 15.2)),
    ((17.2, 16.9), (20.2, 17.1, 23.4, 18.2, 24.0, 20.8)),
    ((17.2, 21.3), (19.0, 21.5, 20.6, 22.2, 21.0, 24.0)),
)
_DROPS = ((21.2, 15.9, 0.85), (24.0, 21.7, 1.1), (21.0, 24.7, 0.85))


def draw_mark(pen: Pen, place: Box) -> None:
    """The mark, filling a square place."""
    unit = place.width / _UNITS
    x, y, radius = place.left + place.width / 2, place.top + place.height / 2, place.width / 2
    pen.circle(x, y, radius, ink="bronze", weight=0.7)
    pen.rays(x, y, radius * 0.87, radius * 0.955, 96, ink="bronze", weight=0.35)
    pen.circle(x, y, radius * 0.82, ink="bronze", weight=0.4)
    for solid in (_CUP, _SPRUE, _BASIN):
        pen.shape(_scaled(solid, place, unit), ink="bronze", weight=0.0)
    for runner in _RUNNERS:
        for side in (runner, _mirrored(runner)):
            pen.shape(_scaled(side, place, unit), ink="bronze", weight=0.75)
    for across, down, size in _DROPS:
        for turned in (across, _UNITS - across):
            middle = (place.left + turned * unit, place.top + down * unit)
            pen.circle(*middle, size * unit, ink="bronze")


def _scaled(corners: Corners, place: Box, unit: float) -> Corners:
    origin = (place.left, place.top)
    return tuple(
        tuple(origin[at % 2] + value * unit for at, value in enumerate(corner))
        for corner in corners
    )


def _mirrored(corners: Corners) -> Corners:
    return tuple(
        tuple(value if at % 2 else _UNITS - value for at, value in enumerate(corner))
        for corner in corners
    )
