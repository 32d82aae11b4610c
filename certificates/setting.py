"""Setting the facts into columns: as large as fits one page, then over further pages.

Facts are kept whole and the two columns as even as can be; if no size within the limits allows
that, a fact may run over to the next column; if that does not help either, the facts flow to
further pages at a size that is easy to read.  A label never stands last in a column.  All measures
are points.

>>> from certificates.wording import Fact
>>> setting = set_facts((Fact(label="Colour", lines=("Brown.",)),), 200.0, 100.0, 500.0)
>>> setting.size, [line.text for line in setting.pages[0][0]]
(10.2, ['COLOUR', 'Brown.'])
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from certificates.typeface import wrap
from certificates.wording import Fact

LABEL_SIZE = 6.2
LABEL_SPACING = 0.55

_SIZES = (10.2, 9.8, 9.4, 9.0, 8.6, 8.2)
_FLOW_SIZE = 9.0
_LEADING = 1.2
_INDENT = 8.0
_ABOVE = 0.72
_STEP = 4.0


class Line(NamedTuple):
    """A line not yet placed: ``above`` is dropped at the head of a column."""

    text: str
    indent: float
    above: float
    height: float
    label: bool = False


class Placed(NamedTuple):
    """A line in its column; ``y`` is its baseline below the column's head."""

    text: str
    indent: float
    y: float
    label: bool


Column = tuple[Placed, ...]


class Setting(NamedTuple):
    """The facts set: the size of their type, and the two columns of each page."""

    size: float
    pages: tuple[tuple[Column, Column], ...]


def set_facts(facts: Sequence[Fact], width: float, height: float, more: float) -> Setting:
    """Set facts in columns ``width`` wide, ``height`` high on the first page, ``more`` after it."""
    for attempt in (_even, _running):
        for size in _SIZES:
            columns = attempt(_blocks(facts, width, size), height)
            if columns:
                return Setting(size, (columns,))
    return Setting(_FLOW_SIZE, tuple(_flow(_blocks(facts, width, _FLOW_SIZE), height, more)))


def _blocks(facts: Sequence[Fact], width: float, size: float) -> list[list[Line]]:
    return [list(_block(fact, width, size)) for fact in facts]


def _block(fact: Fact, width: float, size: float) -> Iterator[Line]:
    leading = size * _LEADING
    yield Line(fact.label.upper(), 0.0, size * _ABOVE, LABEL_SIZE * 1.55, label=True)
    hang = _INDENT if len(fact.lines) > 1 else 0.0
    for line in fact.lines:
        first, *rest = wrap(line, "roman", size, width - hang) or [""]
        yield Line(first, 0.0, 0.0, leading)
        for text in rest:
            yield Line(text, hang, 0.0, leading)


def _even(blocks: list[list[Line]], height: float) -> tuple[Column, Column] | None:
    """Two columns of whole facts, the taller as short as can be."""
    splits = range(len(blocks), 0, -1)
    best = min(splits, key=lambda at: max(_tall(blocks[:at]), _tall(blocks[at:])), default=0)
    sides = (blocks[:best], blocks[best:])
    if max(map(_tall, sides)) > height:
        return None
    left, right = (_column(_lines(side)) for side in sides)
    return left, right


def _running(blocks: list[list[Line]], height: float) -> tuple[Column, Column] | None:
    """Two columns where a fact may run over from the first to the second."""
    left, right, rest = _two(_lines(blocks), height)
    return None if rest else (left, right)


def _flow(blocks: list[list[Line]], height: float, more: float) -> Iterator[tuple[Column, Column]]:
    """Pages of two columns until nothing is left."""
    rest = _lines(blocks)
    while rest:
        left, right, rest = _two(rest, height)
        yield left, right
        height = more


def _two(lines: list[Line], height: float) -> tuple[Column, Column, list[Line]]:
    """Two columns and the rest; both as short as can be where nothing is left over."""
    least = sum(line.height for line in lines) / 2
    while least < height:
        left, rest = _filled(lines, least)
        right, rest = _filled(rest, least)
        if not rest:
            return left, right, rest
        least += _STEP
    left, rest = _filled(lines, height)
    right, rest = _filled(rest, height)
    return left, right, rest


def _filled(lines: list[Line], height: float) -> tuple[Column, list[Line]]:
    """As many lines as fit one column, and the rest; a label stays with what follows it."""
    used = 0.0
    for at, line in enumerate(lines):
        above = line.above if at else 0.0
        after = lines[at + 1].height if line.label and at + 1 < len(lines) else 0.0
        if used + above + line.height + after > height:
            return _column(lines[:at]), lines[at:]
        used += above + line.height
    return _column(lines), []


def _column(lines: list[Line]) -> Column:
    placed, y = [], 0.0
    for at, line in enumerate(lines):
        y += line.height + (line.above if at else 0.0)
        drop = LABEL_SIZE * 0.5 if line.label else line.height * 0.24
        placed.append(Placed(line.text, line.indent, y - drop, line.label))
    return tuple(placed)


def _tall(blocks: list[list[Line]]) -> float:
    lines = _lines(blocks)
    return sum(line.above + line.height for line in lines) - (lines[0].above if lines else 0.0)


def _lines(blocks: list[list[Line]]) -> list[Line]:
    return [line for block in blocks for line in block]
