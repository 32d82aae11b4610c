"""Waxes still wanted, and the chance that a mold gives them.

With no failure in n pulls the chance of failing is, with 95 % confidence, at most
1 − 0.05^(1/n) a pull, and the chance that m more go well is (n + 1)/(n + 1 + m) where nothing was
known before (Laplace's rule).

Rejects: the share of sound waxes is taken as Beta(9 + sound, 1 + rejected): what was seen, and ten
waxes' worth of expecting one reject in ten, which is ours.  So k sound waxes take m pulls with the
chance C(m−1, k−1)·B(a + k, b + m − k)/B(a, b).

>>> f"{failing_at_most(24):.5f}"
'0.11735'
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from editions.errors import Unreadable

PRIOR_SOUND, PRIOR_REJECTED = 9, 1
ZERO_FAILURE = (
    "p ≤ 1 − 0.05^(1/n) with no failure in n: the exact binomial bound (from memory, high)"
)
SUCCESSION = "the rule of succession (Laplace) for a mold without readings (from memory, high)"
REJECTS = "rejects: ten waxes' worth of expecting one in ten; ours, no source"

_MOST = 2000
_REST = 1e-9


def failing_at_most(pulls: int, confidence: float = 0.95) -> float:
    """Return the most that the chance of failing can be, a pull, after so many without failure.

    Raises:
        Unreadable: Not a pull was made.
    """
    if pulls < 1:
        raise Unreadable("Without a pull nothing is known of failing.", "Count at least one.")
    return float(-math.expm1(math.log1p(-confidence) / pulls))


def survival(pulls: int, more: int) -> float:
    """Return the chance of so many more pulls without failure, after so many without one."""
    return (pulls + 1) / (pulls + 1 + more)


def pulls_expected(sound_wanted: int, sound: int, rejected: int) -> int:
    """Return how many pulls so many sound waxes take, by the rejects seen and expected."""
    a, b = sound + PRIOR_SOUND, rejected + PRIOR_REJECTED
    return math.ceil(sound_wanted * (a + b) / a - 1e-9)


def chance_of(sound_wanted: int, sound: int, rejected: int, lasts: Callable[[int], float]) -> float:
    """Return the chance that a mold gives so many sound waxes.

    Args:
        sound_wanted: How many.
        sound: Waxes of it judged sound so far.
        rejected: Waxes of it rejected so far.
        lasts: The chance that the mold is good for so many more pulls.
    """
    if sound_wanted <= 0:
        return 1.0
    told = 0.0
    chance = 0.0
    for pulls, probability in _pulls_taken(sound_wanted, sound, rejected):
        chance += probability * lasts(pulls)
        told += probability
        if told > 1 - _REST:
            break
    return min(chance, 1.0)


def _pulls_taken(k: int, sound: int, rejected: int) -> Iterator[tuple[int, float]]:
    """How many pulls k sound waxes take, and the chance of just so many."""
    a, b = sound + PRIOR_SOUND, rejected + PRIOR_REJECTED
    probability = math.exp(_log_beta(a + k, b) - _log_beta(a, b))
    for m in range(k, k + _MOST):
        yield m, probability
        # From m to m + 1: C(m, k−1)/C(m−1, k−1) = m/(m − k + 1), and B gains (b+m−k)/(a+b+m).
        probability *= m / (m - k + 1) * (b + m - k) / (a + b + m)


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
