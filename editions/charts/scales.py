"""From figures to places on the sheet: a linear scale, and the round figures to mark on it.

>>> [str(tick) for tick in ticks(0, 0.42)]
['0.0', '0.1', '0.2', '0.3', '0.4']
>>> Scale(0, 10, start=100, end=200)(5)
150.0
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import NamedTuple

from editions.charts.drawing import Number


class Scale(NamedTuple):
    """A linear scale: figures from ``low`` to ``high`` lie between ``start`` and ``end`` pixels."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, figure: Number) -> float:
        """Return the place of a figure."""
        span = (self.high - self.low) or 1.0
        return self.start + (float(figure) - self.low) / span * (self.end - self.start)

    def holds(self, figure: Number) -> bool:
        """Whether a figure lies on the scale."""
        return self.low <= float(figure) <= self.high


def ticks(low: Number, high: Number, most: int = 7) -> tuple[Decimal, ...]:
    """Return round figures between two, a step of 1, 2 or 5 apart, exact and alike in places."""
    step = _step((float(high) - float(low)) / most)
    first = math.ceil(round(float(low) / float(step), 9))
    last = math.floor(round(float(high) / float(step), 9))
    return tuple(n * step for n in range(first, last + 1))


def around(figures: list[float], margin: float = 0.06) -> tuple[float, float]:
    """Return the least and the greatest figure, with a margin of their span beyond each."""
    low, high = min(figures), max(figures)
    room = (high - low) * margin or abs(high) * margin or 1.0
    return low - room, high + room


def _step(least: float) -> Decimal:
    """Return the smallest step of 1, 2 or 5 by a power of ten that is not below ``least``."""
    if least <= 0:
        return Decimal(1)
    power = math.floor(math.log10(least))
    for times in (1, 2, 5, 10):
        step = Decimal(times).scaleb(power)
        if float(step) >= least * (1 - 1e-9):
            break
    # A step of 10 is written "10", not "1E+1".
    return step.quantize(Decimal(1)) if step >= 1 else step.normalize()
