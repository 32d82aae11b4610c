"""A run as figures struck with punches: every designation a mark, its standing a shape.

A mark is a field with its figure.  Filled, its cast is known; open, it is declared; dashed, it was
allotted outside the book; and the one that the page is about is filled and ringed (open and ringed
where no cast of it is told).  A series too long for figures is rows of dots.  Marks of one shape
make one path, so that a run of any length stays light.

>>> svg = punches([Row("", (Stretch("declared", 1, 2), Stretch("this", 3, 3)), "arabic")], "Eight")
>>> svg.count("<path")
5
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from editions.charts.drawing import element, inset, number
from editions.charts.glyphs import HEIGHT, stroked, width

Shape = Literal["this", "awaited", "known", "outside", "declared"]

SHEET = 320
_FIELD, _PAD, _GAP, _RING = 24, 5, 6, 3
_FIGURES, _DOTS, _STEP = 48, 1200, 7
_LABEL = 22
# The shapes whose field is filled: their figures are cut out of it.
_FILLED = ("this", "known")


class Stretch(NamedTuple):
    """Neighbours of one shape, from one position to another, both included."""

    shape: Shape
    first: int
    last: int


class Row(NamedTuple):
    """A series: its label where it has one, and its marks in order."""

    label: str
    stretches: Sequence[Stretch]
    figures: Sequence[str] | str


class _Field(NamedTuple):
    shape: Shape
    x: float
    y: float
    wide: float
    figure: str


def punches(rows: Sequence[Row], title: str) -> str:
    """Return the run as SVG text; empty where it has no marks, or more than can be seen."""
    parts: list[str] = []
    y = float(_RING)
    for row in rows:
        if row.label:
            parts.append(element("text", row.label, x=1, y=y + _LABEL - 6))
            y += _LABEL
        count = _count(row)
        if count > _DOTS:
            return ""
        drawn = _dots(row, y) if count > _FIGURES else _fields(row, y)
        y = drawn.foot + _GAP
        parts += drawn.parts
    return inset(SHEET, round(y), title, parts) if parts else ""


class _Drawn(NamedTuple):
    parts: list[str]
    foot: float


def _count(row: Row) -> int:
    return sum(stretch.last - stretch.first + 1 for stretch in row.stretches)


def _fields(row: Row, y: float) -> _Drawn:
    """The fields of a series, as many in a row as there is room for."""
    marks = [
        (stretch.shape, figure_of(row, position))
        for stretch in row.stretches
        for position in range(stretch.first, stretch.last + 1)
    ]
    wide = max(_FIELD, *(width(figure) + 2 * _PAD for _, figure in marks))
    most = max(int((SHEET - 2 * _RING + _GAP) // (wide + _GAP)), 1)
    fields = [
        _Field(
            shape,
            _RING + (n % most) * (wide + _GAP),
            y + n // most * (_FIELD + _GAP),
            wide,
            figure,
        )
        for n, (shape, figure) in enumerate(marks)
    ]
    return _Drawn(list(_paths(fields)), fields[-1].y + _FIELD)


def figure_of(row: Row, position: int) -> str:
    """Return what a mark bears: its figure from those given, or the number itself."""
    if isinstance(row.figures, str):
        return str(position)
    return row.figures[position - 1]


def _paths(fields: Sequence[_Field]) -> Iterator[str]:
    for shape in dict.fromkeys(field.shape for field in fields):
        own = [field for field in fields if field.shape == shape]
        yield element("path", d="".join(map(_frame, own)), class_=f"field {shape}")
        if shape in ("this", "awaited"):
            yield element("path", d="".join(map(_ring, own)), class_="ring")
        kind = "cut" if shape in _FILLED else "figure"
        yield element("path", d="".join(map(_figure, own)), class_=kind)


def _frame(field: _Field) -> str:
    return (
        f"M{number(field.x)} {number(field.y)}h{number(field.wide)}v{_FIELD}h-{number(field.wide)}z"
    )


def _ring(field: _Field) -> str:
    x, y, wide = field.x - _RING + 1, field.y - _RING + 1, field.wide + 2 * _RING - 2
    tall = _FIELD + 2 * _RING - 2
    return f"M{number(x)} {number(y)}h{number(wide)}v{tall}h-{number(wide)}z"


def _figure(field: _Field) -> str:
    across = field.x + (field.wide - width(field.figure)) / 2
    return stroked(field.figure, across, field.y + (_FIELD - HEIGHT) / 2)


def _dots(row: Row, y: float) -> _Drawn:
    """A long series as rows of dots: one line a stretch, dashed into dots."""
    most = int((SHEET - 2 * _STEP) // _STEP)
    lines: dict[str, list[str]] = {}
    for shape, first, last in _broken(row.stretches, most):
        x, down = _STEP + (first - 1) % most * _STEP, y + 4 + (first - 1) // most * _STEP
        reach = number((last - first) * _STEP + 0.1)
        lines.setdefault(shape, []).append(f"M{number(x)} {number(down)}h{reach}")
    rows = -(-_count(row) // most)
    parts = [element("path", d="".join(d), class_=f"dots {shape}") for shape, d in lines.items()]
    return _Drawn(parts, y + rows * _STEP + 4)


def _broken(stretches: Iterable[Stretch], most: int) -> Iterator[Stretch]:
    """Stretches broken where a row of dots ends."""
    for shape, first, last in stretches:
        start = first
        while start <= last:
            end = min(last, start + most - 1 - (start - 1) % most)
            yield Stretch(shape, start, end)
            start = end + 1
