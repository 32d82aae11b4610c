"""Small bars that stand in a line of a table, and say nothing that the line does not say.

``limit_bar`` sets what was found of an element against what its alloy allows: the allowed stretch
thick, the findings upright strokes; the line they lie on is the page's.  ``pull_bar`` shows the
pulls of a mold's section by condition, the better the taller, one of them pointed at.

>>> limit_bar(3.5, 5.0, [4.26]).count("<path")
2
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from editions.charts.drawing import element, inset, number
from editions.charts.scales import Scale

WIDTH, HEIGHT = 120, 14
LONG, TALL = 320, 34
_FLOOR, _WIDEST, _EDGE = 32, 14.0, 6
_TALLNESS = {"sound": 19, "worn": 13, "failing": 8, "not inspected": 4}


class Pulled(NamedTuple):
    """Pulls of one condition, from one to another, both included."""

    condition: str
    first: int
    last: int


def limit_bar(low: float | None, high: float | None, found: Sequence[float]) -> str:
    """Return a bar of what one element may be, with a stroke at each figure found, in per cent."""
    scale = _scale(low, high, found)
    ends = (low if low is not None else 0.0, high if high is not None else 100.0)
    start, end = (_place(scale, value) for value in ends)
    places = dict.fromkeys(_place(scale, value) for value in found)
    strokes = "".join(f"M{place} 1v{HEIGHT - 2}" for place in places)
    middle = HEIGHT // 2
    return inset(
        WIDTH,
        HEIGHT,
        "",
        (
            element("path", d=f"M{start} {middle}H{end}", class_="allowed"),
            *([element("path", d=strokes, class_="found")] if strokes else []),
        ),
    )


def _place(scale: Scale, value: float) -> str:
    """A place on the bar, to a tenth: it is shown smaller than it is drawn."""
    return number(round(float(scale(value)), 1))


def _scale(low: float | None, high: float | None, found: Sequence[float]) -> Scale:
    """A scale that holds the limits and every figure, with room beyond an upper limit."""
    top = 100.0 if high is None else high
    bottom = 0.0 if low is None else low
    room = (top - bottom or 1.0) * 0.4
    least = 0.0 if low is None else min(bottom - room, *found, bottom)
    most = 100.0 if high is None else max(top + room, *found, top)
    return Scale(max(least, 0.0), min(most, 100.0), 2, WIDTH - 2)


def pull_bar(pulls: Sequence[Pulled], own: int | None) -> str:
    """Return the pulls of a section by condition, one of them pointed at where it is told."""
    last = max((pulled.last for pulled in pulls), default=0)
    if last == 0:
        return ""
    step = min((LONG - 2 * _EDGE) / last, _WIDEST)
    parts = [element("path", d=_ticks(one, step), class_=_class(one.condition)) for one in pulls]
    if own is not None:
        x = number(_EDGE + (own - 0.5) * step)
        parts.append(element("path", d=f"M{x} 10l-4-8h8z", class_="this"))
    return inset(LONG, TALL, "", parts)


def _ticks(pulled: Pulled, step: float) -> str:
    """One upright a pull; where pulls are too many to be told apart, one block."""
    tall = _TALLNESS.get(pulled.condition, 4)
    if step < 3:
        left, right = _EDGE + (pulled.first - 1) * step, _EDGE + pulled.last * step
        return f"M{number(left)} {_FLOOR}v-{tall}H{number(right)}v{tall}z"
    wide = number(step * 0.6)
    return "".join(
        f"M{number(_EDGE + (n - 0.8) * step)} {_FLOOR}v-{tall}h{wide}v{tall}z"
        for n in range(pulled.first, pulled.last + 1)
    )


def _class(condition: str) -> str:
    return condition.replace(" ", "-")
