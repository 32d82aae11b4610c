"""The difference of two colours by their measured L*a*b* values: CIEDE2000.

Measured with one instrument, one illuminant and one observer; values of different set-ups do not
compare.  The formula is that of CIE 142-2001 as written out by Sharma, Wu and Dalal, *Color
Research and Application* 30(1), 2005, with all weights 1.  How much is seen is common practice and
no law: near 1 can just be told side by side, near 2 at a glance; a patina varies more than that
within a hand's breadth, so measure a place several times and compare means.

>>> round(ciede2000(Lab(50.0, 2.6772, -79.7751), Lab(50.0, 0.0, -82.7485)), 4)
2.0425
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt
from typing import NamedTuple

from editions.errors import Refused, Unreadable
from editions.rules.explaining import Explained, Figures
from editions.trade.text import clean, shown

_FORMULA = (
    "ΔE00² = (ΔL'/SL)² + (ΔC'/SC)² + (ΔH'/SH)² + RT·(ΔC'/SC)·(ΔH'/SH), kL = kC = kH = 1",
    "each cast against the first; a place measured several times by the mean of its values",
)
_SOURCES = (
    "CIE 142-2001, as in Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, 21–30",
    "what is seen: common practice, no source",
)
_SEEN = (
    (1.0, "not seen"),
    (2.0, "just seen side by side"),
    (5.0, "seen at a glance"),
    (float("inf"), "another colour"),
)
_NUMBER = r"-?[0-9]{1,3}(?:\.[0-9]{1,6})?"
_LAB = re.compile(rf"({_NUMBER})[;,\s]\s*({_NUMBER})[;,\s]\s*({_NUMBER})")
_CHROMA = 25.0**7


class Lab(NamedTuple):
    """CIE 1976 L*a*b*: lightness 0 to 100, red to green, yellow to blue."""

    lightness: float
    a: float
    b: float


class Drift(Figures, frozen=True, kw_only=True):
    """How far one cast's colour lies from the reference, and in which sense."""

    cast: str
    readings: int
    lightness: Decimal
    a: Decimal
    b: Decimal
    difference: Decimal
    says: str


class Drifts(Explained, frozen=True, kw_only=True):
    """The casts in their order, against the first; ``widest`` between any two of them."""

    reference: str
    casts: tuple[Drift, ...]
    widest: Decimal
    between: tuple[str, str]


def ciede2000(one: Lab, other: Lab) -> float:
    """Return the CIEDE2000 difference, which is the same both ways."""
    first, second = _adapted(one, other)
    lightness = other.lightness - one.lightness
    chroma, hue, mean_chroma, mean_hue = _chroma_and_hue(first, second)
    mean = (one.lightness + other.lightness) / 2 - 50
    by_lightness = lightness / (1 + 0.015 * mean**2 / sqrt(20 + mean**2))
    by_chroma = chroma / (1 + 0.045 * mean_chroma)
    by_hue = hue / (1 + 0.015 * mean_chroma * _hue_weight(mean_hue))
    turned = _rotation(mean_chroma, mean_hue) * by_chroma * by_hue
    return sqrt(max(by_lightness**2 + by_chroma**2 + by_hue**2 + turned, 0.0))


def read_lab(text: str) -> Lab:
    """Read measured values: ``42.1, 8.3, -12.5``.

    Raises:
        Unreadable: Not three numbers, or a lightness outside 0 to 100.
    """
    found = _LAB.fullmatch(text.strip())
    if found is None:
        raise Unreadable(
            f"{shown(text)} is not L*, a*, b*.", "Write three numbers: 42.1,8.3,-12.5."
        )
    lab = Lab(*(float(part) for part in found.groups()))
    if not 0 <= lab.lightness <= 100 or max(abs(lab.a), abs(lab.b)) > 200:
        raise Unreadable(
            f"{shown(text)} is no colour of a surface.",
            "L* lies between 0 and 100; a* and b* seldom beyond 100 either way.",
        )
    return lab


def read_cast(text: str) -> tuple[str, Lab]:
    """Read a cast and what was measured on it: ``1/8=42.1,8.3,12.5``.

    Raises:
        Unreadable: No name, or no values.
    """
    name, sign, values = text.partition("=")
    if not sign or not name.strip():
        raise Unreadable(
            f"{shown(text)} does not say of which cast.", "Write it as 1/8=42.1,8.3,12.5."
        )
    return clean(name, 60), read_lab(values)


def drift(readings: Sequence[tuple[str, Lab]]) -> Drifts:
    """Return how a colour moved from cast to cast; a cast named again is measured again.

    Raises:
        Refused: Fewer than two casts.
    """
    by_cast: dict[str, list[Lab]] = {}
    for cast, lab in readings:
        by_cast.setdefault(cast, []).append(lab)
    if len(by_cast) < 2:
        raise Refused("One cast does not drift.", "Give the values of two casts at least.")
    means = {cast: _mean(labs) for cast, labs in by_cast.items()}
    reference = next(iter(means))
    widest, between = max(
        (ciede2000(means[one], means[other]), (one, other))
        for n, one in enumerate(means)
        for other in list(means)[n + 1 :]
    )
    return Drifts(
        reference=reference,
        casts=tuple(
            _drifted(cast, len(by_cast[cast]), lab, means[reference]) for cast, lab in means.items()
        ),
        widest=_shown(widest),
        between=between,
        formula=_FORMULA,
        sources=_SOURCES,
    )


def _drifted(cast: str, readings: int, lab: Lab, reference: Lab) -> Drift:
    difference = ciede2000(reference, lab)
    return Drift(
        cast=cast,
        readings=readings,
        lightness=_shown(lab.lightness),
        a=_shown(lab.a),
        b=_shown(lab.b),
        difference=_shown(difference),
        says="reference" if lab is reference else _in_words(difference, lab, reference),
    )


def _in_words(difference: float, lab: Lab, reference: Lab) -> str:
    """How much is seen of a difference, and in which sense it lies."""
    seen = next(words for limit, words in _SEEN if difference < limit)
    sense = [
        more if change > 0 else less
        for change, more, less in (
            (lab.lightness - reference.lightness, "lighter", "darker"),
            (lab.a - reference.a, "redder", "greener"),
            (lab.b - reference.b, "yellower", "bluer"),
        )
        if abs(change) >= 0.5
    ]
    return f"{seen}: {', '.join(sense)}" if sense and seen != "not seen" else seen


def _mean(labs: Sequence[Lab]) -> Lab:
    return Lab(*(sum(values) / len(labs) for values in zip(*labs, strict=True)))


def _shown(value: float) -> Decimal:
    return Decimal(f"{value + 0.0:.2f}")


def _adapted(one: Lab, other: Lab) -> tuple[tuple[float, float], tuple[float, float]]:
    """Chroma and hue angle in degrees of each, after a* is stretched near grey."""
    mean = (hypot(one.a, one.b) + hypot(other.a, other.b)) / 2
    stretch = 1.5 - 0.5 * sqrt(mean**7 / (mean**7 + _CHROMA))

    def polar(lab: Lab) -> tuple[float, float]:
        a = lab.a * stretch
        return hypot(a, lab.b), degrees(atan2(lab.b, a)) % 360 if a or lab.b else 0.0

    return polar(one), polar(other)


def _chroma_and_hue(
    first: tuple[float, float], second: tuple[float, float]
) -> tuple[float, float, float, float]:
    """Differences of chroma and hue, and the means that weigh them."""
    (chroma1, hue1), (chroma2, hue2) = first, second
    if chroma1 * chroma2 == 0:
        return chroma2 - chroma1, 0.0, (chroma1 + chroma2) / 2, hue1 + hue2
    turn = hue2 - hue1
    mean_hue = (hue1 + hue2) / 2
    if abs(turn) > 180:
        turn += 360 if turn < 0 else -360
        mean_hue += 180 if mean_hue < 180 else -180
    hue = 2 * sqrt(chroma1 * chroma2) * sin(radians(turn / 2))
    return chroma2 - chroma1, hue, (chroma1 + chroma2) / 2, mean_hue


def _hue_weight(hue: float) -> float:
    return (
        1
        - 0.17 * cos(radians(hue - 30))
        + 0.24 * cos(radians(2 * hue))
        + 0.32 * cos(radians(3 * hue + 6))
        - 0.20 * cos(radians(4 * hue - 63))
    )


def _rotation(chroma: float, hue: float) -> float:
    """The turning term, which matters among blues."""
    turn = 30 * exp(-(((hue - 275) / 25) ** 2))
    return -2 * sqrt(chroma**7 / (chroma**7 + _CHROMA)) * sin(radians(2 * turn))
