"""The mark at the head of every paper: a struck disc, and on it a casting still on its gates.

A cup above, a runner down the middle, three pairs of gates and the cast at the foot: the tree that
a founder cuts off.  Drawn in a square of 34 units, scaled to its place.
"""

from __future__ import annotations

from certificates.layout import Box
from certificates.pen import Pen

_UNITS = 34.0
_CUP = ((13.2, 6.6), (20.8, 6.6), (18.0, 10.6), (16.0, 10.6), (13.2, 6.6))
_CAST = (
    (17.0, 21.2),
    (20.4, 21.2, 21.6, 23.6, 20.6, 25.4),
    (19.8, 26.8, 18.4, 27.2, 17.0, 27.2),
    (15.6, 27.2, 14.2, 26.8, 13.4, 25.4),
    (12.4, 23.6, 13.6, 21.2, 17.0, 21.2),
)
# Each gate leaves the runner, bends down and meets the cast; mirrored on the other side.
_GATES = (
    ((17.0, 11.6), (22.0, 12.2, 24.6, 15.6, 24.4, 19.2), (24.2, 22.4, 22.6, 24.0, 20.8, 24.2)),
    ((17.0, 13.6), (20.2, 14.0, 22.0, 16.2, 21.8, 18.6), (21.6, 20.8, 20.6, 21.8, 19.6, 22.0)),
    ((17.0, 15.6), (18.6, 16.0, 19.6, 17.2, 19.4, 18.8), (19.2, 20.2, 18.8, 20.8, 18.4, 21.2)),
)


def draw_mark(pen: Pen, place: Box) -> None:
    """The mark, filling a square place."""
    unit = place.width / _UNITS
    x, y, radius = place.left + place.width / 2, place.top + place.height / 2, place.width / 2
    pen.circle(x, y, radius, ink="bronze", weight=0.7)
    pen.rays(x, y, radius * 0.87, radius * 0.955, 96, ink="bronze", weight=0.35)
    pen.circle(x, y, radius * 0.82, ink="bronze", weight=0.4)
    pen.shape(_scaled(_CUP, place, unit), ink="bronze", weight=0.0)
    pen.shape(_scaled(((17.0, 10.6), (17.0, 21.4)), place, unit), ink="bronze", weight=0.9)
    for gate in _GATES:
        for side in (gate, _mirrored(gate)):
            pen.shape(_scaled(side, place, unit), ink="bronze", weight=0.6)
    pen.shape(_scaled(_CAST, place, unit), ink="bronze", weight=0.0)


def _scaled(
    corners: tuple[tuple[float, ...], ...], place: Box, unit: float
) -> tuple[tuple[float, ...], ...]:
    origin = (place.left, place.top)
    return tuple(
        tuple(origin[at % 2] + value * unit for at, value in enumerate(corner))
        for corner in corners
    )


def _mirrored(corners: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    return tuple(
        tuple(value if at % 2 else _UNITS - value for at, value in enumerate(corner))
        for corner in corners
    )
