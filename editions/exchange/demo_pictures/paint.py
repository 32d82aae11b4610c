"""From sheets to a picture: the camera, the floor with its shadows, and the wall behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from editions.exchange.demo_pictures.forms import Knot, Sheet
from editions.exchange.demo_pictures.light import KEY, Patina, Shadows, lit, shown
from editions.exchange.demo_pictures.vectors import Vector, cross, dot, minus, unit

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

FINER = 3
"""Edges are smooth because each pixel is the mean of so many by so many."""

Point = tuple[float, float]
Sample = tuple[int, int, int]
T = TypeVar("T")


class Camera:
    """A lens that looks from one place to another, and the size of its picture in pixels."""

    def __init__(self, eye: Vector, target: Vector, zoom: float, width: int, height: int) -> None:
        self.eye, self.zoom = eye, zoom * width
        self.width, self.height = width, height
        self.ahead = unit(minus(target, eye))
        self.right = unit(cross(self.ahead, (0.0, 1.0, 0.0)))
        self.up = cross(self.right, self.ahead)

    def sees(self, point: Vector) -> Point:
        """Return where a point lies in the picture."""
        away = minus(point, self.eye)
        far = dot(away, self.ahead)
        return (
            self.width / 2 + self.zoom * dot(away, self.right) / far,
            self.height / 2 - self.zoom * dot(away, self.up) / far,
        )

    def distance(self, point: Vector) -> float:
        """Return how far away a point lies."""
        return hypot(*minus(point, self.eye))


class Seen(NamedTuple):
    """A knot as the camera has it: its place and colour in the picture, and how far it lies."""

    place: Point
    tint: Sample
    distance: float


class Patch(NamedTuple):
    """A four-cornered piece of the picture, with a colour at each corner, and how far it lies."""

    nearness: tuple[bool, float]
    corners: tuple[Point, Point, Point, Point]
    colours: tuple[Sample, Sample, Sample, Sample]


def picture(sheets: Sequence[Sheet], camera: Camera, patina: Patina, floor: float) -> Image:
    """Return the picture of sheets standing on a floor at some height."""
    from PIL import Image, ImageDraw

    paper = _room(camera, floor)
    _cast(paper, sheets, camera, floor)
    shadows = Shadows(sheets)
    patches = [patch for sheet in sheets for patch in _patches(sheet, camera, patina, shadows)]
    draw = ImageDraw.Draw(paper)
    for patch in sorted(patches):
        _fill(draw, patch)
    size = (camera.width // FINER, camera.height // FINER)
    return paper.resize(size, Image.Resampling.BOX)


def _patches(sheet: Sheet, camera: Camera, patina: Patina, shadows: Shadows) -> Iterator[Patch]:
    def seen(knot: Knot) -> Seen:
        light = lit(knot, sheet.stuff, camera.eye, patina, shadows.on(knot))
        return Seen(camera.sees(knot.point), shown(light), camera.distance(knot.point))

    # The plinth lies behind all that stands on it, however near its front edge comes.
    before = sheet.stuff != "stone"
    for a, b, c, d in _fours([[seen(knot) for knot in row] for row in sheet.rows]):
        nearness = -(a.distance + b.distance + c.distance + d.distance)
        corners, colours = (a.place, b.place, c.place, d.place), (a.tint, b.tint, c.tint, d.tint)
        yield Patch((before, nearness), corners, colours)


def _fours(rows: Sequence[Sequence[T]]) -> Iterator[tuple[T, T, T, T]]:
    """Return each four neighbours of a grid, going round."""
    for row, following in pairwise(rows):
        for (a, b), (d, c) in zip(pairwise(row), pairwise(following), strict=True):
            yield a, b, c, d


def _fill(draw: ImageDraw, patch: Patch) -> None:
    """Fill a patch, in as many pieces as its colours differ."""
    contrast = max(max(samples) - min(samples) for samples in zip(*patch.colours, strict=True))
    pieces = min(5, 1 + contrast // 3)
    if pieces == 1:
        draw.polygon(patch.corners, fill=patch.colours[0])
        return
    marks = [k / pieces for k in range(pieces + 1)]
    grid = [[_within(patch.corners, u, v) for v in marks] for u in marks]
    for i, u in enumerate(marks[:-1]):
        for j, v in enumerate(marks[:-1]):
            tint = _within(patch.colours, u + 0.5 / pieces, v + 0.5 / pieces)
            shape = (grid[i][j], grid[i][j + 1], grid[i + 1][j + 1], grid[i + 1][j])
            draw.polygon(shape, fill=tuple(map(round, tint)))


def _within(four: Sequence[Sequence[float]], u: float, v: float) -> tuple[float, ...]:
    """Return what lies ``u`` down and ``v`` across between four corners, going round."""
    a, b, c, d = four
    weights = ((1 - u) * (1 - v), (1 - u) * v, u * v, u * (1 - v))
    return tuple(
        weights[0] * p + weights[1] * q + weights[2] * r + weights[3] * s
        for p, q, r, s in zip(a, b, c, d, strict=True)
    )


def _room(camera: Camera, floor: float) -> Image:
    """Return wall and floor: one grey paper hung in a bow, brighter at the left."""
    from PIL import Image

    wide, high = 96, 120
    horizon = camera.sees((0.0, floor, -7.0))[1] / camera.height
    small = Image.new("RGB", (wide, high))
    for y in range(high):
        for x in range(wide):
            across, down = x / wide, y / high
            glow = 1.0 - 0.62 * hypot(across - 0.40, 0.8 * (down - 0.42)) ** 1.15
            bow = 0.86 + 0.16 * min(1.0, max(0.0, (down - horizon) / 0.22 + 0.5))
            grey = 0.47 * glow * bow
            small.putpixel((x, y), shown((grey * 1.0, grey * 0.985, grey * 0.955)))
    return small.resize((camera.width, camera.height), Image.Resampling.BICUBIC)


def _cast(paper: Image, sheets: Sequence[Sheet], camera: Camera, floor: float) -> None:
    """Lay the key light's shadow, and the darkness under what stands, on the floor."""

    def along_key(point: Vector) -> Point:
        far = (point[1] - floor) / KEY[1]
        return camera.sees((point[0] - far * KEY[0], floor, point[2] - far * KEY[2]))

    def straight_down(point: Vector) -> Point:
        return camera.sees((point[0], floor, point[2]))

    fours = [four for sheet in sheets for four in _fours(sheet.rows)]
    low = [four for four in fours if four[0].point[1] < floor + 0.5]
    _stain(paper, [[along_key(knot.point) for knot in four] for four in fours], 0.016, 0.50)
    _stain(paper, [[straight_down(knot.point) for knot in four] for four in low], 0.010, 0.62)


def _stain(paper: Image, shapes: list[list[Point]], soft: float, dark: float) -> None:
    from PIL import Image, ImageDraw, ImageFilter

    coarse = 4 * FINER
    size = (paper.width // coarse, paper.height // coarse)
    mask = Image.new("L", size)
    draw = ImageDraw.Draw(mask)
    for shape in shapes:
        draw.polygon([(x / coarse, y / coarse) for x, y in shape], fill=round(255 * dark))
    mask = mask.filter(ImageFilter.GaussianBlur(soft * size[1]))
    paper.paste((22, 20, 19), mask=mask.resize(paper.size, Image.Resampling.BICUBIC))
