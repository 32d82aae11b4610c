"""The scale of a bronze against its reference, from stations of different certainty.

Each station gives the logarithm of its ratio; they are averaged by weight::

    y = ln(measured / reference),  var = (u_m/m)**2 + (u_r/r)**2 + station_spread**2,  w = 1/var
    beta = sum(w*y) / sum(w),      SE  = sum(w)**-0.5 * max(1, Birge ratio)
    Birge ratio = sqrt(chi2 / (n - 1)),   chi2 = sum(w * (y - beta)**2)
    scale = exp(beta), from exp(beta - t*SE) to exp(beta + t*SE), t of n - 1 degrees of freedom

A station is *outlying* where it lies farther from the mean of the others than chance among n of
them allows (5 % for all together, Bonferroni).  The farthest is set aside and the rest looked at
again, never more than half.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import NamedTuple

from editions.rules.aftercast.pairs import Pair

LEVEL = 0.95


class Reading(NamedTuple):
    """One station as a logarithm and its variance."""

    y: float
    variance: float


class Fit(NamedTuple):
    """The weighted mean of readings; ``se`` holds the Birge ratio where it is above 1."""

    beta: float
    se: float
    chi2: float
    stations: int

    @property
    def freedom(self) -> int:
        """Degrees of freedom."""
        return self.stations - 1

    @property
    def birge(self) -> float:
        """The Birge ratio."""
        return math.sqrt(self.chi2 / self.freedom)

    @property
    def chance(self) -> float:
        """How often stations that agree are as far apart as these."""
        from scipy.special import chdtrc

        return float(chdtrc(self.freedom, self.chi2))

    @property
    def interval(self) -> tuple[float, float]:
        """Where the scale lies, 95 in 100."""
        reach = student_t((1 + LEVEL) / 2, self.freedom) * self.se
        return math.exp(self.beta - reach), math.exp(self.beta + reach)


def student_t(share: float, freedom: int) -> float:
    """Return the quantile of Student's t."""
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))


def readings(pairs: Sequence[Pair], station_spread: float) -> list[Reading]:
    """Return each station as a logarithm and its variance."""
    return [
        Reading(math.log(pair.ratio), float(pair.variance) + station_spread**2) for pair in pairs
    ]


def fit(taken: Sequence[Reading]) -> Fit:
    """Return the weighted mean of two readings or more."""
    beta, variance = _mean(taken)
    chi2 = math.fsum((one.y - beta) ** 2 / one.variance for one in taken)
    birge = math.sqrt(chi2 / (len(taken) - 1))
    return Fit(beta, math.sqrt(variance) * max(1.0, birge), chi2, len(taken))


def apart(taken: Sequence[Reading], at: int) -> float:
    """Return how far one reading lies from the mean of the others, in standard deviations."""
    mean, variance = _mean([one for n, one in enumerate(taken) if n != at])
    return (taken[at].y - mean) / math.sqrt(taken[at].variance + variance)


def outlying(taken: Sequence[Reading]) -> tuple[int, ...]:
    """Return the places of outlying readings, the farthest first; of two nothing can be told."""
    kept = list(range(len(taken)))
    out: list[int] = []
    limit = NormalDist().inv_cdf(1 - (1 - LEVEL) / (2 * len(taken)))
    while len(kept) > 2 and 2 * (len(out) + 1) < len(taken):
        far = {at: abs(apart([taken[n] for n in kept], kept.index(at))) for at in kept}
        worst = max(kept, key=far.__getitem__)
        if far[worst] <= limit:
            break
        kept.remove(worst)
        out.append(worst)
    return tuple(out)


def _mean(taken: Sequence[Reading]) -> tuple[float, float]:
    """Return the weighted mean of readings and its variance."""
    total = math.fsum(1 / one.variance for one in taken)
    return math.fsum(one.y / one.variance for one in taken) / total, 1 / total
