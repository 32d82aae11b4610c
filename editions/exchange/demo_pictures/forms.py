"""The invented sculptures, as sheets of points.

A *sheet* is a grid of knots, each a point with its direction and how bright it is rubbed, and one
stuff: ``bronze`` with its patina, polished ``metal``, or the ``stone`` of the plinth.  ``heron`` is
folded of planes; ``seed`` a shell that stands open; ``gate`` a turning slab in five sections.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from math import cos, pi, sin, tau
from typing import Literal, NamedTuple

from editions.exchange.demo_pictures.vectors import (
    Vector,
    between,
    cross,
    minus,
    plus,
    step,
    unit,
)

Stuff = Literal["bronze", "metal", "stone"]
Surface = Callable[[float, float], Vector]
Wear = Callable[[float, float], float]


class Knot(NamedTuple):
    """One point of a sheet: where it lies, which way it faces, how worn bright it is (0-1)."""

    point: Vector
    normal: Vector
    wear: float


class Sheet(NamedTuple):
    """A surface of one stuff, as rows of knots."""

    rows: list[list[Knot]]
    stuff: Stuff


class Cut(NamedTuple):
    """A surface before it is knotted: its shape, its wear, and how many knots show it well."""

    point: Surface
    across: int
    along: int
    stuff: Stuff = "bronze"
    wear: Wear = lambda _u, _v: 0.0

    def knotted(self, detail: float) -> Sheet:
        """Return the sheet, with ``detail`` times as many knots each way."""
        across, along = (max(4, round(count * detail)) for count in (self.across, self.along))
        grid = [
            [self.point(i / across, j / along) for j in range(along + 1)] for i in range(across + 1)
        ]

        def knot(i: int, j: int) -> Knot:
            over = minus(grid[min(i + 1, across)][j], grid[max(i - 1, 0)][j])
            down = minus(grid[i][min(j + 1, along)], grid[i][max(j - 1, 0)])
            return Knot(grid[i][j], unit(cross(over, down)), self.wear(i / across, j / along))

        rows = [[knot(i, j) for j in range(along + 1)] for i in range(across + 1)]
        return Sheet(rows, self.stuff)


def curve(points: Sequence[tuple[float, ...]]) -> Callable[[float], tuple[float, ...]]:
    """Return a smooth curve through some points, for a place from 0 to 1 (Catmull and Rom's)."""
    ends = [points[0], *points, points[-1]]

    def at(place: float) -> tuple[float, ...]:
        place = min(1.0, max(0.0, place))
        whole = min(int(place * (len(points) - 1)), len(points) - 2)
        t = place * (len(points) - 1) - whole
        return tuple(
            b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)))
            for a, b, c, d in zip(*ends[whole : whole + 4], strict=True)
        )

    return at


def plinth(half_width: float, half_depth: float, height: float) -> Iterator[Cut]:
    """A block of stone whose top lies at height 0; its four sides, the hidden ones too."""
    w, d, h = half_width, half_depth, height

    def side(a: Vector, b: Vector, u: float, v: float) -> Vector:
        return plus(between(a, b, u), (0.0, -h * v, 0.0))

    corners = ((-w, 0.0, d), (w, 0.0, d), (w, 0.0, -d), (-w, 0.0, -d))
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield Cut(partial(side, a, b), 24, 12, "stone")
    yield Cut(lambda u, v: (w * (2 * u - 1), 0.0, d * (1 - 2 * v)), 48, 40, "stone")


def folded_strip(
    spine: Sequence[tuple[float, float, float, float]], along: int, open_: float = 0.55
) -> Iterator[Cut]:
    """A strip folded along its spine like a roof, each spine point with the strip's width there."""
    at = curve(spine)

    def flange(side: float) -> Surface:
        def point(u: float, v: float) -> Vector:
            x, y, z, width = at(v)
            ahead, behind = at(v + 0.01), at(v - 0.01)
            down = unit((ahead[1] - behind[1], behind[0] - ahead[0], 0.0))
            bow = 0.12 * sin(pi * u)
            out = plus(plus((0.0, 0.0, 0.0), down, u * (1 - bow)), (0, 0, side * open_), u + bow)
            return plus((x, y, z), out, max(width, 0.0))

        return point

    for side in (-1.0, 1.0):
        yield Cut(flange(side), 10, along, wear=lambda u, _v: 0.9 * step(0.14, 0.0, u))


def folded_plane(a: Vector, b: Vector, c: Vector, d: Vector, bow: float) -> Cut:
    """A plane held by four corners and a little bowed; its first edge, a to b, is rubbed bright."""
    out = unit(cross(minus(b, a), minus(d, a)))

    def point(u: float, v: float) -> Vector:
        flat = between(between(a, b, v), between(d, c, v), u)
        return plus(flat, out, bow * sin(pi * u) * sin(pi * v))

    return Cut(point, 28, 32, wear=lambda u, _v: 0.8 * step(0.08, 0.0, u))


def heron() -> Iterator[Cut]:
    """A heron of folded planes, standing."""
    yield from plinth(0.95, 0.72, 0.62)
    for side in (1.0, -1.0):
        yield from _wing(side)
        yield from _leg(side)
    neck = (
        (-0.02, 1.62, 0.0, 0.30), (-0.27, 2.02, 0.0, 0.28), (-0.40, 2.44, 0.0, 0.20),
        (-0.30, 2.80, 0.0, 0.130),
        (-0.12, 3.10, 0.0, 0.105), (-0.18, 3.40, 0.0, 0.125), (-0.50, 3.50, 0.0, 0.125),
        (-0.88, 3.36, 0.0, 0.06), (-1.42, 3.10, 0.0, 0.0),
    )  # fmt: skip
    yield from folded_strip(neck, 90)


def _wing(side: float) -> Iterator[Cut]:
    """One half of the body: the back, the flank and the breast, folded along a wing's edge."""
    shoulder, back, breast = (-0.22, 2.13, 0.0), (1.06, 1.52, 0.0), (-0.34, 1.76, 0.0)
    elbow, tip = (-0.04, 1.92, 0.38 * side), (1.86, 0.98, 0.16 * side)
    belly, under = (0.30, 1.32, 0.20 * side), (0.92, 1.20, 0.10 * side)
    yield folded_plane(elbow, tip, back, shoulder, 0.05 * side)
    yield folded_plane(elbow, tip, under, belly, -0.05 * side)
    yield folded_plane(elbow, shoulder, breast, belly, 0.03 * side)


def _leg(side: float) -> Iterator[Cut]:
    z = 0.15 * side
    leg = (
        (0.26, 1.44, z, 0.12), (0.32, 1.10, z, 0.085), (0.24, 0.72, z, 0.060),
        (0.12, 0.34, z, 0.055), (0.09, 0.03, z, 0.075),
    )  # fmt: skip
    yield from folded_strip(leg, 30, 0.5)
    for z_toe in (-0.07, 0.07):
        heel, toe = (0.22, 0.015, z), (-0.34, 0.015, z + z_toe)
        yield folded_plane((0.10, 0.09, z), toe, toe, plus(heel, (0, 0, z_toe)), 0.0)


def seed() -> Iterator[Cut]:
    """A standing seed, its shell open along one side upon a bright hollow."""
    yield from plinth(0.85, 0.85, 0.6)
    yield Cut(lambda u, v: _shell(u, v, 1.0), 72, 76, wear=_rim)
    yield Cut(lambda u, v: _shell(u, v, 0.88), 56, 60, "metal")
    for edge in (0.0, 1.0):
        lip = partial(_lip, edge)
        yield Cut(lip, 4, 76, "metal")


def _lip(edge: float, u: float, v: float) -> Vector:
    return between(_shell(edge, v, 1.0), _shell(edge, v, 0.88), u)


def _shell(u: float, v: float, size: float) -> Vector:
    gape = 0.62 * sin(pi * v) ** 0.8
    turn = 1.25 * (v - 0.35) + 1.2
    angle = turn + gape + u * (tau - 2 * gape)
    girth = sin(pi * v**0.82) ** 0.9 * (1 - 0.16 * v)
    ridge = 1 + 0.05 * cos(3 * angle - 5 * v)
    radius = max(0.97 * girth * ridge - 0.97 * (1 - size), 0.02)
    lean = 0.22 * sin(pi * v)
    return (radius * cos(angle) + lean - 0.1, 3.3 * v - 0.01, radius * 0.86 * sin(angle))


def _rim(u: float, _v: float) -> float:
    return 0.75 * step(0.035, 0.0, min(u, 1 - u))


SECTIONS = 5
"""The gate was cast in so many sections; the seams between them show."""


def gate() -> Iterator[Cut]:
    """A long low gate in five sections."""
    path = curve(
        ((-2.70, 0.0, 0.25), (-2.62, 0.72, 0.18), (-2.12, 1.38, 0.06), (-1.10, 1.72, -0.04),
         (0.20, 1.70, -0.06), (1.42, 1.40, 0.02), (2.22, 0.78, 0.14), (2.52, 0.0, 0.22))
    )  # fmt: skip

    def point(u: float, v: float) -> Vector:
        ahead = unit(minus(_place(path(v + 0.01)), _place(path(v - 0.01))))
        outward = unit(cross((0.0, 0.0, 1.0), ahead))
        deep = cross(ahead, outward)
        # A slab with round edges, turning half about as it goes from foot to foot.
        around, turn = tau * u, pi * step(-0.1, 1.1, v) - 0.5
        corner = (abs(cos(around)) ** 4 + abs(sin(around)) ** 4) ** -0.25 * (1 - 0.07 * _seam(v))
        foot = 1 + 0.35 * abs(2 * v - 1) ** 4
        thin, broad = 0.15 * foot * corner * cos(around), 0.56 * foot * corner * sin(around)
        out = thin * cos(turn) - broad * sin(turn)
        x, y, z = plus(
            plus(_place(path(v)), outward, out), deep, thin * sin(turn) + broad * cos(turn)
        )
        return (x, max(y, 0.0), z)

    yield Cut(point, 64, 200, wear=lambda u, v: _section(v) + 0.7 * _edge(u))


def _place(along: tuple[float, ...]) -> Vector:
    return (along[0], along[1], along[2])


def _edge(u: float) -> float:
    """Return 1 at the four corners of the slab, where hands and weather rub it."""
    return step(0.93, 1.0, abs(sin(2 * tau * u)))


def _seam(v: float) -> float:
    nearest = min(abs(v - k / SECTIONS) for k in range(1, SECTIONS))
    return step(0.0055, 0.0, nearest)


def _section(v: float) -> float:
    return (0.0, 0.10, 0.03, 0.14, 0.05)[min(int(v * SECTIONS), SECTIONS - 1)]
