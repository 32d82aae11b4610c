"""Which generations a measured scale is consistent with: a set, not a verdict.

Under generation k the logarithm of the scale is normal::

    beta ~ N(ln(1 - d) + k*mu, SE**2 + cast_spread**2 + d_spread**2 + k*spread**2)
    mu = ln(1 - contraction)

with d what a legitimate cast is smaller than this reference (none against a documented cast).  k
is consistent where the standardised distance z is within 1.96, so that of bronzes of generation k
95 in 100 are found consistent with it.  The Bayes factor says how many times better k foretells
the figure than generation 0 does; beyond a thousand, tails decide that nobody has measured.
"""

from __future__ import annotations

import math
from decimal import Decimal

from editions.rules.aftercast.assumptions import Assumptions, ReferenceKind
from editions.rules.aftercast.scale import Fit
from editions.rules.explaining import Figures

Z = 1.96


class Generation(Figures, frozen=True, kw_only=True):
    """One generation: where 95 in 100 of its bronzes measure, and how this one stands to it.

    ``low`` and ``high`` are scales against the reference; ``log10_bayes`` is the common logarithm
    of the Bayes factor against generation 0.
    """

    generation: int
    expected: float
    low: float
    high: float
    z: float
    consistent: bool
    log10_bayes: float


def generations(found: Fit, kind: ReferenceKind, assumed: Assumptions) -> tuple[Generation, ...]:
    """Return every generation looked for, from 0 upwards."""
    plain = _density(found, *_foretold(0, kind, assumed, found.se))
    return tuple(
        _generation(k, found, kind, assumed, plain) for k in range(assumed.most_generations + 1)
    )


def _generation(
    k: int, found: Fit, kind: ReferenceKind, assumed: Assumptions, plain: float
) -> Generation:
    mean, deviation = _foretold(k, kind, assumed, found.se)
    z = (found.beta - mean) / deviation
    bayes = (_density(found, mean, deviation) - plain) / math.log(10)
    return Generation(
        generation=k,
        expected=round(math.exp(mean), 6),
        low=round(math.exp(mean - Z * deviation), 6),
        high=round(math.exp(mean + Z * deviation), 6),
        z=round(z, 4),
        consistent=abs(z) < Z,
        log10_bayes=round(bayes, 3),
    )


def _foretold(k: int, kind: ReferenceKind, assumed: Assumptions, se: float) -> tuple[float, float]:
    """Return mean and standard deviation of the measured logarithm under generation k."""
    mean = math.log(_kept(kind.smaller_percent)) + k * math.log(_kept(assumed.contraction))
    variance = se**2 + _share(assumed.cast_spread) ** 2 + _share(kind.spread_percent) ** 2
    return mean, math.sqrt(variance + k * _share(assumed.spread) ** 2)


def _density(found: Fit, mean: float, deviation: float) -> float:
    """Return the logarithm of the normal density, but for a constant."""
    return -math.log(deviation) - ((found.beta - mean) / deviation) ** 2 / 2


def _share(percent: Decimal) -> float:
    return float(percent / 100)


def _kept(percent: Decimal) -> float:
    return float(1 - percent / 100)
