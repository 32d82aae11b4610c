"""The comparison itself: stations in, a set of generations out, with what it cannot tell."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from editions.rules.aftercast import beside, wording
from editions.rules.aftercast.assumptions import (
    Assumptions,
    ReferenceKind,
    check_assumptions,
    reference_kind,
)
from editions.rules.aftercast.beside import Marks, Weight
from editions.rules.aftercast.generations import Generation, generations
from editions.rules.aftercast.pairs import Pair, pair_stations
from editions.rules.aftercast.scale import Fit, Reading, apart, fit, outlying, readings
from editions.rules.explaining import Explained, Figures
from editions.rules.reference import is_overall
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

FORMULA = (
    "y = ln(measured / reference), variance = (u/measured)² + (u/reference)² + station spread²",
    "ln scale = Σ(y / variance) / Σ(1 / variance), SE = (Σ 1/variance)^-½ × Birge ratio if above 1",
    "Birge ratio = √(χ² / (n - 1)); the interval is by Student's t of n - 1",
    "generation k: ln scale ~ N(k ln(1 - contraction), SE² + cast spread² + k × spread²)",
    "the mean is moved by what a legitimate cast is smaller than this reference",
    "k is consistent where |z| < 1.96",
    "± is one standard uncertainty: two readings in three lie within it",
)
MEASURING = "Stations by callipers, up to 30, fixed, not across joints (JAIC; Getty)."


class StationRead(Figures, frozen=True, kw_only=True):
    """One station: ratio, its standard uncertainty, and how far it lies from all the others."""

    name: str
    base: str
    reference: Quantity
    measured: Quantity
    ratio: float
    unsure: float
    apart: float
    outlying: bool


class Estimate(Figures, frozen=True, kw_only=True):
    """A scale with its interval, what it rests on, and the generations it is consistent with."""

    stations: int
    log_scale: float
    standard_error: float
    scale: float
    low: float
    high: float
    chi2: float
    birge: float
    chance: float
    generations: tuple[Generation, ...]
    consistent_with: tuple[int, ...]
    verdict: str


class Comparison(Explained, frozen=True, kw_only=True):
    """The whole answer; ``without_outlying`` is the estimate with the named stations left out."""

    reference: ReferenceKind
    assumptions: Assumptions
    estimate: Estimate
    stations: tuple[StationRead, ...]
    outlying: tuple[str, ...]
    without_outlying: Estimate | None
    left_out: tuple[str, ...]
    weight: Weight | None
    marks: Marks | None
    says: tuple[str, ...]
    cannot_see: tuple[str, ...]
    remarks: tuple[str, ...]


class Measured(Figures, frozen=True, kw_only=True):
    """What is known of one of the two bronzes (or of the model)."""

    stations: tuple[Station, ...]
    mass: Quantity | None = None
    marks: tuple[str, ...] = ()


def compare(
    bronze: Measured,
    reference: Measured,
    kind: str,
    *,
    unsure: Quantity | None = None,
    assumed: Assumptions | None = None,
) -> Comparison:
    """Compare a bronze with a reference of a kind: a documented cast, master bronze or model.

    ``unsure`` is the standard uncertainty of lengths that say none; ``assumed`` is the defaults.

    Raises:
        Unreadable: Stations, reference or assumptions that cannot be used; each says why.
    """
    given = check_assumptions(assumed or Assumptions())
    against = reference_kind(kind, given)
    pairs, alone = pair_stations(bronze.stations, reference.stations, unsure)
    taken = readings(pairs, float(given.station_spread / 100))
    out = outlying(taken)
    whole = _estimate(taken, against, given)
    rest = [one for n, one in enumerate(taken) if n not in out]
    without = _estimate(rest, against, given) if out else None
    names = [pairs[n].name for n in out]
    return Comparison(
        reference=against,
        assumptions=given,
        estimate=whole,
        stations=tuple(_read(pair, taken, n, n in out) for n, pair in enumerate(pairs)),
        outlying=tuple(names),
        without_outlying=without,
        left_out=alone,
        weight=_weight(bronze, reference, whole.scale),
        marks=_marks(bronze.marks, reference.marks),
        says=_says(fit(taken), whole, names, without),
        cannot_see=wording.cannot_see(whole.generations, against, len(pairs)),
        remarks=_remarks(pairs),
        formula=FORMULA,
        sources=(*given.sources, MEASURING, against.says, *beside.SOURCES),
    )


def _estimate(taken: Sequence[Reading], kind: ReferenceKind, assumed: Assumptions) -> Estimate:
    found = fit(taken)
    every = generations(found, kind, assumed)
    low, high = found.interval
    return Estimate(
        stations=found.stations,
        log_scale=round(found.beta, 7),
        standard_error=round(found.se, 7),
        scale=round(math.exp(found.beta), 6),
        low=round(low, 6),
        high=round(high, 6),
        chi2=round(found.chi2, 4),
        birge=round(found.birge, 4),
        chance=round(found.chance, 4),
        generations=every,
        consistent_with=tuple(one.generation for one in every if one.consistent),
        verdict=wording.verdict(every),
    )


def _read(pair: Pair, taken: Sequence[Reading], at: int, out: bool) -> StationRead:
    return StationRead(
        name=pair.name,
        base=pair.base,
        reference=pair.reference,
        measured=pair.measured,
        ratio=round(float(pair.ratio), 6),
        unsure=round(float(pair.ratio) * math.sqrt(taken[at].variance), 6),
        apart=round(apart(taken, at), 2),
        outlying=out,
    )


def _says(
    found: Fit, whole: Estimate, names: Sequence[str], without: Estimate | None
) -> tuple[str, ...]:
    lines = wording.sentences(found, whole.scale, (whole.low, whole.high), whole.generations)
    if without is None:
        return lines
    return (*lines, wording.set_aside(names, without.generations))


def _weight(bronze: Measured, reference: Measured, scale: float) -> Weight | None:
    if bronze.mass is None or reference.mass is None:
        return None
    return beside.weigh(bronze.mass, reference.mass, scale)


def _marks(bronze: Iterable[str], reference: Iterable[str]) -> Marks | None:
    mine, theirs = tuple(bronze), tuple(reference)
    return beside.compare_marks(mine, theirs) if mine and theirs else None


def _remarks(pairs: Sequence[Pair]) -> tuple[str, ...]:
    """Return what whoever measured may want to do otherwise."""
    names = dict.fromkeys(pair.name for pair in pairs if is_overall(pair.name))
    return tuple(f"{name} is an overall height: unreliable (JAIC; Getty)." for name in names)
