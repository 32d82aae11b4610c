"""A section of a mold: its readings against pulls, the line, the bound, and where to retire it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from editions.charts.plot import Axis, Plot

_STEPS = 60


class WearLine(NamedTuple):
    """What is drawn of one indicator.

    ``line`` and ``bound`` give the fitted value and its prediction bound at a pull; ``retire_at``
    is None where no pull is to be named.
    """

    title: str
    indicator: str
    unit: str
    threshold: float
    readings: Sequence[tuple[float, float]]
    line: Callable[[float], float]
    bound: Callable[[float], float]
    pulls: int
    retire_at: int | None


def mold_plot(wear: WearLine) -> str:
    """Return the plot of an indicator against pulls, as SVG text."""
    last = _last_pull(wear)
    high = max(wear.threshold * 1.25, *(value for _, value in wear.readings)) * 1.05
    plot = Plot(
        f"{wear.title}: {wear.indicator} against pulls",
        _described(wear),
        x=Axis(0, last, "pulls"),
        y=Axis(0, high, f"{wear.indicator}, {wear.unit}"),
        subtitle="shaded: from the line to the one-sided 95 % prediction bound",
    )
    pulls = [last * step / _STEPS for step in range(_STEPS + 1)]
    plot.band([(x, wear.line(x)) for x in pulls], [(x, wear.bound(x)) for x in pulls])
    plot.line(_seen(wear, pulls, high))
    plot.across(wear.threshold, f"threshold, {wear.threshold:g} {wear.unit}")
    plot.upright(wear.pulls, f"now, {wear.pulls} pulls")
    if wear.retire_at is not None:
        plot.upright(wear.retire_at, f"retire at {wear.retire_at}", row=1)
    plot.dots(wear.readings)
    return plot.svg()


def _last_pull(wear: WearLine) -> float:
    """How far to the right to draw: past where it is to be retired, and past what was read."""
    read = max(pull for pull, _ in wear.readings)
    far = max(read, wear.pulls, 1) * 1.5
    # A bound that is met in a thousand pulls leaves nothing to see of the readings.
    return max(far, min((wear.retire_at or 0) * 1.15, far * 3))


def _seen(wear: WearLine, pulls: Sequence[float], high: float) -> list[tuple[float, float]]:
    """The part of the line that lies within the axes."""
    return [(x, wear.line(x)) for x in pulls if 0 <= wear.line(x) <= high]


def _described(wear: WearLine) -> str:
    """What the plot shows, in sentences."""
    readings = ", ".join(f"{value:g} at {pull:g}" for pull, value in wear.readings)
    end = (
        "No pull to retire it at follows from them."
        if wear.retire_at is None
        else f"The prediction bound stays under the threshold up to pull {wear.retire_at}."
    )
    return (
        f"Readings of {wear.indicator} in {wear.unit} by pulls: {readings}."
        f" Threshold {wear.threshold:g} {wear.unit}; {wear.pulls} pulls so far. {end}"
    )
