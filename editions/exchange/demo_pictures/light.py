"""How light falls in the drawn studio: one soft box, one strip, the floor and the grey wall.

Colours are linear light, three numbers from 0 up; ``shown`` makes them samples of a picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import blake2b
from itertools import chain
from math import floor
from typing import NamedTuple

from editions.exchange.demo_pictures.forms import Knot, Sheet, Stuff
from editions.exchange.demo_pictures.vectors import (
    Vector,
    between,
    cross,
    dot,
    minus,
    plus,
    step,
    unit,
)

Colour = tuple[float, float, float]

KEY = unit((-0.62, 0.80, 0.58))
STRIP = unit((0.95, 0.22, 0.12))
STONE: Colour = (0.30, 0.285, 0.262)


class Patina(NamedTuple):
    """A surface of bronze: its own colour, that of its streaks, and of what it mirrors."""

    body: Colour
    streak: Colour
    gloss: Colour
    shine: float


PATINAS = {
    "brown": Patina((0.066, 0.029, 0.012), (0.026, 0.012, 0.007), (1.0, 0.70, 0.40), 0.95),
    "green": Patina((0.090, 0.190, 0.145), (0.036, 0.046, 0.030), (0.80, 0.95, 0.78), 0.45),
    "black": Patina((0.013, 0.012, 0.0115), (0.024, 0.018, 0.013), (0.95, 0.90, 0.82), 0.90),
    "honey": Patina((0.215, 0.105, 0.032), (0.085, 0.038, 0.013), (1.0, 0.80, 0.48), 0.95),
}
METAL = Patina((0.33, 0.175, 0.058), (0.22, 0.105, 0.034), (1.0, 0.78, 0.46), 1.2)


class Shadows:
    """What hides what from the key light, found on a coarse grid seen from the light."""

    def __init__(self, sheets: Iterable[Sheet], cell: float = 0.05) -> None:
        self.cell = cell
        self.right = unit(cross((0.0, 1.0, 0.0), KEY))
        self.up = cross(KEY, self.right)
        self.nearest: dict[tuple[int, int], float] = {}
        for sheet in sheets:
            for knot in chain.from_iterable(sheet.rows):
                place, height = self._place(knot.point), dot(knot.point, KEY)
                self.nearest[place] = max(self.nearest.get(place, height), height)

    def on(self, knot: Knot) -> float:
        """Return how much of the key light reaches a knot, from 0 to 1."""
        x, y = self._place(knot.point)
        # A surface that the light grazes spans much height within one cell, and would hide itself.
        height = dot(knot.point, KEY) + 0.10 + 0.45 * (1 - abs(dot(knot.normal, KEY)))
        hidden = 0
        for i in range(x - 2, x + 3):
            for j in range(y - 2, y + 3):
                hidden += self.nearest.get((i, j), height) > height
        return 1 - hidden / 25

    def _place(self, point: Vector) -> tuple[int, int]:
        return floor(dot(point, self.right) / self.cell), floor(dot(point, self.up) / self.cell)


def lit(knot: Knot, stuff: Stuff, eye: Vector, patina: Patina, key: float) -> Colour:
    """Return the light a knot sends to the eye, of which ``key`` (0-1) of the key light comes."""
    seen = unit(minus(eye, knot.point))
    facing = dot(knot.normal, seen)
    # A sheet has two sides; the one seen is the one lit.
    normal = knot.normal if facing > 0 else minus((0.0, 0.0, 0.0), knot.normal)
    facing = abs(facing)
    fill = 2.3 * max(0.0, (dot(normal, KEY) + 0.15) / 1.15) * key
    fill += 0.24 + 0.22 * normal[1] + 0.10 * step(0.0, 1.2, knot.point[1])
    if stuff == "stone":
        return _times(STONE, 0.56 * fill * (0.97 + 0.06 * noise(knot.point, 9.0)))
    body, gloss, shine = surface(knot, METAL if stuff == "metal" else patina)
    mirror = minus(_times(normal, 2 * facing), seen)
    thrown = shine * (0.36 + 0.64 * (1 - facing) ** 4) * _studio(unit(mirror), key)
    return plus(_times(body, fill), gloss, thrown)


def surface(knot: Knot, patina: Patina) -> tuple[Colour, Colour, float]:
    """Return a knot's own colour, the colour of what it mirrors, and how strongly it does."""
    x, y, z = knot.point
    cloud = 0.6 * noise((x, 0.55 * y, z), 2.6) + 0.4 * noise((x, 0.4 * y, z), 8.0)
    streak = step(0.42, 0.72, cloud)
    # Hands rub where they reach, not everywhere alike.
    wear = min(1.0, knot.wear * (1.25 - 0.8 * cloud))
    body = between(between(patina.body, patina.streak, streak), METAL.body, wear)
    gloss = between(patina.gloss, METAL.gloss, wear)
    shine = patina.shine * (1 - 0.35 * streak) * (1 - wear) + METAL.shine * wear
    return body, gloss, shine


def _studio(way: Vector, key: float) -> float:
    """Return what is seen from the sculpture in a direction: boxes, wall and floor."""
    box = 2.1 * step(0.80, 0.985, dot(way, KEY)) * (0.2 + 0.8 * key)
    strip = 1.1 * step(0.86, 0.97, dot(way, STRIP))
    above = 0.16 * step(0.45, 1.0, way[1])
    wall = 0.04 + 0.07 * step(-0.4, 0.7, way[1])
    below = 0.07 * step(0.0, -0.8, way[1])
    return box + strip + above + wall + below


def noise(point: Vector, scale: float) -> float:
    """Return a smooth random field in space, 0 to 1, the same in every run."""
    x, y, z = (scale * part for part in point)
    i, j, k = floor(x), floor(y), floor(z)
    fx, fy, fz = step(0, 1, x - i), step(0, 1, y - j), step(0, 1, z - k)
    planes = []
    for dz in (0, 1):
        rows = []
        for dy in (0, 1):
            a, b = _lattice(i, j + dy, k + dz), _lattice(i + 1, j + dy, k + dz)
            rows.append(a + (b - a) * fx)
        planes.append(rows[0] + (rows[1] - rows[0]) * fy)
    return planes[0] + (planes[1] - planes[0]) * fz


_known: dict[tuple[int, int, int], float] = {}


def _lattice(i: int, j: int, k: int) -> float:
    if (i, j, k) not in _known:
        _known[i, j, k] = blake2b(f"{i},{j},{k}".encode(), digest_size=1).digest()[0] / 255
    return _known[i, j, k]


def _times(a: Colour, much: float) -> Colour:
    return (a[0] * much, a[1] * much, a[2] * much)


def shown(light: Colour) -> tuple[int, int, int]:
    """Return the samples of a light: bright ones rolled off, then sRGB's curve, nearly 1/2.2."""
    red, green, blue = (round(255 * (1 - 2.0 ** (-1.9 * part)) ** (1 / 2.2)) for part in light)
    return red, green, blue
