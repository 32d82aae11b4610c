"""A measured indicator against pulls: a straight line, and the bound a next reading stays under.

The line is fitted by least squares.  With n readings yᵢ at pulls xᵢ, slope b, residual spread
s = √(Σeᵢ²/(n−2)), the one-sided 95 % prediction bound at pull x is

    ŷ(x) + t(0.95, n−2) · s · √(1 + 1/n + (x − x̄)²/Sxx)

and the section is retired at the last whole pull at which this is not above the threshold.

>>> worn = wear("tears", "mm", [(0, 0), (5, .5), (10, 1.2), (15, 1.6), (20, 2.3)], threshold=5)
>>> str(worn.slope), str(worn.crossing), str(worn.bound), worn.retire_at
('0.1140', '44.04', '40.40', 40)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from editions.errors import Refused, Unreadable
from editions.rules.explaining import Figures

LEVEL = 0.95
FEWEST = 3
REGRESSION = (
    "least squares and its prediction bound: any textbook of statistics (from memory, high)"
)

Point = tuple[float, float]


class Fit(NamedTuple):
    """A line through n points: means, sum of squares of x, slope, residual spread."""

    n: int
    mean_x: float
    mean_y: float
    sxx: float
    slope: float
    spread: float

    def at(self, pull: float) -> float:
        """Return the line's value at a pull."""
        return self.mean_y + self.slope * (pull - self.mean_x)

    def error(self, pull: float) -> float:
        """Return the standard error of a new reading at a pull."""
        away = (pull - self.mean_x) ** 2 / self.sxx
        return self.spread * math.sqrt(1 + 1 / self.n + away)

    def bound(self, pull: float, level: float = LEVEL) -> float:
        """Return what a new reading at a pull stays under, at this level."""
        return self.at(pull) + _quantile(self, level) * self.error(pull)

    def chance_below(self, pull: float, threshold: float) -> float:
        """Return the chance that a new reading at a pull is not above the threshold."""
        error = self.error(pull)
        if error == 0:
            return float(self.at(pull) <= threshold)
        from scipy.special import stdtr

        return float(stdtr(self.n - 2, (threshold - self.at(pull)) / error))


class Wear(Figures, frozen=True, kw_only=True):
    """What an indicator says of a section.

    ``crossing`` is the pull at which the line meets the threshold, ``bound`` that at which the
    prediction bound does; None where they do not, which ``says`` explains.
    """

    indicator: str
    unit: str
    threshold: Decimal
    readings: tuple[tuple[Decimal, Decimal], ...]
    slope: Decimal
    intercept: Decimal
    spread: Decimal
    crossing: Decimal | None
    bound: Decimal | None
    retire_at: int | None
    says: str


def fit(points: Sequence[Point]) -> Fit:
    """Return the line through readings (pull, value).

    Raises:
        Refused: Fewer than three readings, or all at one pull.
        Unreadable: A pull or a value below nothing, or that is no number.
    """
    if any(not math.isfinite(n) or n < 0 for point in points for n in point):
        raise Unreadable("A reading is below nothing, or no number.", "Check the readings.")
    if len(points) < FEWEST:
        raise Refused(
            f"{len(points)} readings say nothing of how fast it wears; {FEWEST} are the fewest.",
            "Measure again after some more pulls.",
        )
    n = len(points)
    mean_x, mean_y = (sum(values) / n for values in zip(*points, strict=True))
    sxx = sum((x - mean_x) ** 2 for x, _ in points)
    if sxx == 0:
        raise Refused("All readings are of one pull.", "Measure again after some more pulls.")
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sxx
    residuals = (y - mean_y - slope * (x - mean_x) for x, y in points)
    return Fit(n, mean_x, mean_y, sxx, slope, math.sqrt(sum(e * e for e in residuals) / (n - 2)))


def wear(indicator: str, unit: str, points: Sequence[Point], threshold: float) -> Wear:
    """Return what an indicator says: its line, where it crosses, when to retire.

    Args:
        indicator: Its name: tears, registration, detail, tackiness.
        unit: Of its values: ``mm``, or ``grade``.
        points: Readings (pull, value).
        threshold: The value at which the section is done, in the same unit.

    Raises:
        Refused: Too few readings, or a threshold of nothing.
        Unreadable: A reading that is no number.
    """
    if threshold <= 0:
        raise Refused(f"A threshold of {threshold} {unit} is none.", "Give one above nothing.")
    line = fit(points)
    crossing = line.mean_x + (threshold - line.mean_y) / line.slope if line.slope > 0 else None
    bound = crossing_of_bound(line, threshold)
    retire_at, says = _retirement(line, points, threshold, bound)
    return Wear(
        indicator=indicator,
        unit=unit,
        threshold=_shown(threshold, 3),
        readings=tuple((_shown(x, 3), _shown(y, 3)) for x, y in points),
        slope=_shown(line.slope, 4),
        intercept=_shown(line.at(0), 3),
        spread=_shown(line.spread, 4),
        crossing=None if crossing is None else _shown(crossing, 2),
        bound=None if bound is None else _shown(bound, 2),
        retire_at=retire_at,
        says=says,
    )


def _retirement(
    line: Fit, points: Sequence[Point], threshold: float, bound: float | None
) -> tuple[int | None, str]:
    """The pull at which to retire, and what there is to say of it."""
    pull, value = max(points)
    if value > threshold:
        return math.floor(pull), "the last reading is above the threshold"
    if bound is not None:
        return max(math.floor(bound + 1e-9), 0), ""
    if line.bound(pull) <= threshold:
        return None, "it does not rise, as far as these readings tell"
    return None, f"{line.n} readings scatter too much to tell; measure again"


def crossing_of_bound(line: Fit, threshold: float, level: float = LEVEL) -> float | None:
    """Return the pull at which the prediction bound rises through the threshold, if it does."""
    k = _quantile(line, level) * line.spread
    gap = threshold - line.mean_y
    a = line.slope**2 - k**2 / line.sxx
    b = -2 * line.slope * gap
    c = gap**2 - k**2 * (1 + 1 / line.n)
    rising = [
        u
        for u in _roots(a, b, c)
        if gap - line.slope * u >= -1e-9 * (abs(gap) + 1) and _slope_of_bound(line, k, u) > 0
    ]
    return line.mean_x + max(rising) if rising else None


def _slope_of_bound(line: Fit, k: float, u: float) -> float:
    return line.slope + k * u / line.sxx / math.sqrt(1 + 1 / line.n + u * u / line.sxx)


def _roots(a: float, b: float, c: float) -> list[float]:
    """The real roots of a·u² + b·u + c."""
    if abs(a) < 1e-15:
        return [-c / b] if b else []
    inside = b * b - 4 * a * c
    # A perfect line has a double root, which rounding may push below nothing.
    if inside < -1e-12 * (b * b + abs(4 * a * c)):
        return []
    root = math.sqrt(max(inside, 0.0))
    return [(-b - root) / (2 * a), (-b + root) / (2 * a)]


def _quantile(line: Fit, level: float) -> float:
    if line.spread == 0:
        return 0.0
    from scipy.special import stdtrit

    return float(stdtrit(line.n - 2, level))


def _shown(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")
