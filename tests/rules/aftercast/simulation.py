"""Bronzes of known generation, simulated, measured and compared: how often the answer is right.

Each bronze has one true contraction, shared by its stations, and at each station a small difference
of its own; reference and bronze are then read by callipers.  Stations are drawn between 40 and 400
mm, uncertainties 0.15 mm, spreads as the comparison assumes.  Run in full::

    python -m tests.rules.aftercast.simulation

prints, for 3, 5, 10 and 30 stations, how many in a hundred of 2,000 bronzes of generations 0 and 1
were found consistent with each, with both, with neither; then what becomes of aftercasts whose
foundry contracts otherwise than is assumed.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from editions.rules.aftercast.assumptions import Assumptions, reference_kind
from editions.rules.aftercast.generations import generations
from editions.rules.aftercast.scale import Fit, Reading, fit

SEED = 20261125
STATIONS = (3, 5, 10, 30)
CONTRACTIONS = (1.0, 1.5, 2.0, 2.5, 3.2, 4.0)  # per cent
BRONZES = 2000
UNSURE = 0.15  # mm
SHORTEST, LONGEST = 40.0, 400.0  # mm


class Row(NamedTuple):
    """One row of the table, shares of 1; ``covered`` is of the interval for the true scale."""

    generation: int
    stations: int
    own: float
    own_alone: float
    other: float
    nothing: float
    covered: float

    @property
    def wrongly_excluded(self) -> float:
        """How often a bronze was found inconsistent with its own generation."""
        return 1 - self.own


def bronzes(
    generation: int,
    stations: int,
    count: int,
    random: np.random.Generator,
    contraction: float = 2.5,
) -> list[tuple[float, list[Reading]]]:
    """Return bronzes of a generation: the true logarithm of each scale, and its readings."""
    assumed = Assumptions()
    mean = generation * math.log(1 - contraction / 100)
    shared = float(assumed.cast_spread) / 100, float(assumed.spread) / 100
    own = float(assumed.station_spread) / 100
    spread = math.sqrt(shared[0] ** 2 + generation * shared[1] ** 2)
    made = []
    for true in mean + spread * random.standard_normal(count):
        lengths = random.uniform(SHORTEST, LONGEST, stations)
        cast = lengths * np.exp(true + own * random.standard_normal(stations))
        read = lengths + UNSURE * random.standard_normal(stations)
        measured = cast + UNSURE * random.standard_normal(stations)
        variance = (UNSURE / measured) ** 2 + (UNSURE / read) ** 2 + own**2
        logs = np.log(measured / read)
        made.append(
            (float(true), [Reading(*map(float, one)) for one in zip(logs, variance, strict=True)])
        )
    return made


def simulate(generation: int, stations: int, count: int = BRONZES, seed: int = SEED) -> Row:
    """Return one row of the table, the same at every run."""
    random = np.random.default_rng([seed, generation, stations])
    kind, assumed = reference_kind("documented cast"), Assumptions()
    own = alone = other = nothing = covered = 0
    for true, taken in bronzes(generation, stations, count, random):
        found = fit(taken)
        fitting = {g.generation for g in generations(found, kind, assumed) if g.consistent}
        own += generation in fitting
        alone += fitting == {generation}
        other += (1 - generation) in fitting
        nothing += not fitting
        covered += _covers(found, true)
    shares = (n / count for n in (own, alone, other, nothing, covered))
    return Row(generation, stations, *shares)


def table(count: int = BRONZES, stations: tuple[int, ...] = STATIONS) -> str:
    """Return the whole table as Markdown."""
    heads = (
        "true generation", "stations", "consistent with it", "with it alone",
        "with the other too, or instead", "wrongly excluded", "with none",
        "interval holds the scale",
    )  # fmt: skip
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for generation in (0, 1):
        for number in stations:
            row = simulate(generation, number, count)
            shares = (
                row.own, row.own_alone, row.other, row.wrongly_excluded, row.nothing, row.covered,
            )  # fmt: skip
            told = " | ".join(f"{100 * share:.1f} %" for share in shares)
            lines.append(f"| {generation} | {number} | {told} |")
    return "\n".join(lines)


def astray(contraction: float, count: int = BRONZES, stations: int = 10) -> dict[str, float]:
    """Return what aftercasts of another contraction are found consistent with, as shares of 1."""
    random = np.random.default_rng([SEED, round(contraction * 100)])
    kind, assumed = reference_kind("documented cast"), Assumptions()
    found: dict[str, float] = dict.fromkeys(("1", "0", "2", "none"), 0.0)
    for _, taken in bronzes(1, stations, count, random, contraction):
        fitting = [g.generation for g in generations(fit(taken), kind, assumed) if g.consistent]
        for name in [str(one) for one in fitting] or ["none"]:
            found[name] = found.get(name, 0.0) + 1 / count
    return found


def other_contractions(count: int = BRONZES) -> str:
    """Return the second table as Markdown: aftercasts by ten stations."""
    heads = ("true contraction", *(f"consistent with {name}" for name in ("1", "0", "2", "none")))
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for contraction in CONTRACTIONS:
        shares = astray(contraction, count)
        told = " | ".join(f"{100 * shares[name]:.1f} %" for name in ("1", "0", "2", "none"))
        lines.append(f"| {contraction} % | {told} |")
    return "\n".join(lines)


def _covers(found: Fit, true: float) -> bool:
    low, high = found.interval
    return low <= math.exp(true) <= high


if __name__ == "__main__":
    print(table(), other_contractions(), sep="\n\n")
