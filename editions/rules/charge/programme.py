"""The linear programme of a charge: how much of each lot, at least cost, within the rows.

Unknown is the mass of each lot, x >= 0 and at most its stock.  Besides them lies a *base*, the melt
that is in the crucible already, or nothing.  A row on some elements S reads::

    at most b:   base of S + sum(kept of S x) <= b / 100 (base + sum(melt x))
    at least b:  the same, turned round

which is linear in x whatever the melt comes to.  ``strict`` takes what a certificate does not
report at its worst, all that it leaves to 100; else as nothing.  Floats, because the solver is
one; masses are rounded to the gram afterwards and reckoned again in decimals.

Solver: ``scipy.optimize.linprog`` with HiGHS (Huangfu and Hall, 2018).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from editions.errors import MachineRefused
from editions.rules.alloys.analysis import Meaning, read_percentages
from editions.rules.charge.losses import Loss
from editions.rules.charge.rows import Row
from editions.rules.charge.stock import Lot

# Of a melt of 100 kg, a gram: below it nothing is weighed.
TOLERANCE = 1e-6

_OPTIMAL, _LIMIT = 0, 1


class Base(NamedTuple):
    """The melt in the crucible: its mass in kg, and its analysis as it is after all losses."""

    mass: float
    figures: Mapping[str, Meaning]


NO_BASE = Base(0.0, {})


class Programme(NamedTuple):
    """Rows ``matrix @ x <= right``, the melt that a kg of each lot gives, and what bounds x."""

    rows: tuple[Row, ...]
    matrix: list[list[float]]
    right: list[float]
    melts: list[float]
    bounds: list[tuple[float, float | None]]


class _Kept(NamedTuple):
    """What a kg of a lot gives: its melt, each element's least and most, and what is unsaid."""

    melt: float
    ends: Mapping[str, tuple[float, float]]
    unsaid: float

    def of(self, row: Row, strict: bool) -> float:
        """Return what it gives of a row's elements, kg times 100, at its worst for the row."""
        end = 1 if row.end == "at most" else 0
        total = sum([self.ends[name][end] for name in row.elements if name in self.ends])
        # Cobalt and its like are counted in another element, whose figure stands for both.
        silent = row.elements[0] not in self.ends
        return total + (self.unsaid if strict and silent and end else 0.0)


class Solution(NamedTuple):
    """Masses of the lots in kg, and which rows they lie on."""

    masses: list[float]
    tight: tuple[Row, ...]


class Largest(NamedTuple):
    """The masses that give the largest melt, and that melt, in kg."""

    masses: list[float]
    melt: float


def programme(
    lots: Sequence[Lot],
    rows: Sequence[Row],
    losses: Mapping[str, Loss],
    *,
    base: Base = NO_BASE,
    strict: bool = True,
) -> Programme:
    """Return the programme of a charge.

    Args:
        lots: What can be charged.
        rows: What the melt must keep.
        losses: What melting takes of each lot, by element.
        base: The melt that is there; what its report leaves out is taken as the lots' is.
        strict: Whether what is not reported is taken at its worst.
    """
    shares = {element: float(one.kept) for element, one in losses.items()}
    kept = [_kept(read_percentages(lot.figures), shares) for lot in lots]
    there = _kept(base.figures, {})
    melts = [one.melt for one in kept]
    matrix, right = [], []
    for row in rows:
        share, sign = float(row.bound), 1 if row.end == "at most" else -1
        own = [one.of(row, strict) for one in kept]
        matrix.append([sign * (x - share * melt) for x, melt in zip(own, melts, strict=True)])
        right.append(sign * (share - there.of(row, strict)) * base.mass)
    bounds = [(0.0, None if lot.stock is None else float(lot.stock)) for lot in lots]
    return Programme(tuple(rows), matrix, right, melts, bounds)


def cheapest(
    one: Programme,
    costs: Sequence[float],
    *,
    melt: float | None = None,
    at_most: float | None = None,
    method: str = "highs",
) -> Solution | None:
    """Return the cheapest masses that keep every row, or None where there are none.

    Args:
        one: The programme.
        costs: What a kg of each lot costs.
        melt: What the lots must give together, kg.
        at_most: What they may give at most, kg.
        method: A method of ``scipy.optimize.linprog``.
    """
    matrix, right = _with_room(one, at_most)
    found = _solve(costs, matrix, right, one, melt, method)
    if found is None:
        return None
    return Solution(found, _tight(one, found))


def nearest(
    one: Programme, *, melt: float | None = None, at_most: float | None = None
) -> tuple[list[float], list[float]]:
    """Return the masses that break the rows least, and by how much each is broken, kg times 100.

    Every row may give way; a breach counts by the width of its limit (elastic relaxation).

    Raises:
        MachineRefused: The solver failed.
    """
    matrix, right = _with_room(one, at_most)
    count = len(one.rows)
    wide = [
        row + [-1.0 if place == number else 0.0 for place in range(count)]
        for number, row in enumerate(matrix)
    ]
    costs = [0.0] * len(one.melts) + [1 / max(float(row.width), 1e-9) for row in one.rows]
    bounds = one.bounds + [(0.0, None)] * count
    stretched = one._replace(melts=one.melts + [0.0] * count, bounds=bounds)
    found = _solve(costs, wide, right, stretched, melt, "highs")
    if found is None:
        raise MachineRefused("The solver found no charge at all.", "Check the stocks and the melt.")
    return found[: len(one.melts)], found[len(one.melts) :]


def largest(one: Programme) -> Largest | None:
    """Return the largest melt that keeps every row; None where stocks do not bound it."""
    found = _solve([-x for x in one.melts], one.matrix, one.right, one, None, "highs")
    if found is None:
        return None
    return Largest(found, sum(x * melt for x, melt in zip(found, one.melts, strict=True)))


def percent_of(one: Programme, row: Row, masses: Sequence[float], base: Base = NO_BASE) -> float:
    """Return what a row's elements come to in a melt, per cent, taken as the row takes them."""
    number = one.rows.index(row)
    total = base.mass + sum(x * m for x, m in zip(masses, one.melts, strict=True))
    sign = 1 if row.end == "at most" else -1
    over = sum(x * a for x, a in zip(masses, one.matrix[number], strict=True)) - one.right[number]
    return float(row.bound) + sign * over / total


def _solve(
    costs: Sequence[float],
    matrix: list[list[float]],
    right: list[float],
    one: Programme,
    melt: float | None,
    method: str,
) -> list[float] | None:
    """Solve a programme; None where nothing keeps its rows, or nothing bounds it."""
    from scipy.optimize import linprog

    equal = {} if melt is None else {"A_eq": [one.melts], "b_eq": [melt]}
    unequal = {"A_ub": matrix, "b_ub": right} if matrix else {}
    done = linprog(costs, **unequal, **equal, bounds=one.bounds, method=method)
    if done.status == _LIMIT:
        raise MachineRefused("The solver gave up.", "Plan with fewer lots.")
    return [float(x) for x in done.x] if done.status == _OPTIMAL else None


def _with_room(one: Programme, at_most: float | None) -> tuple[list[list[float]], list[float]]:
    """Return the rows with one more for the crucible, where it bounds the melt."""
    if at_most is None:
        return one.matrix, one.right
    return [*one.matrix, one.melts], [*one.right, at_most]


def _tight(one: Programme, masses: Sequence[float]) -> tuple[Row, ...]:
    """Return the rows that the masses lie on."""
    total = sum(masses) or 1.0
    slack = [
        limit - sum(a * x for a, x in zip(row, masses, strict=True))
        for row, limit in zip(one.matrix, one.right, strict=True)
    ]
    return tuple(
        row for row, left in zip(one.rows, slack, strict=True) if left < TOLERANCE * 100 * total
    )


def _kept(figures: Mapping[str, Meaning], kept: Mapping[str, float]) -> _Kept:
    """Return what the melt keeps of a kg: what it does not report melts whole."""
    ends, told, lost = {}, 0.0, 0.0
    for element, figure in figures.items():
        low, high, share = float(figure.low), float(figure.high), kept.get(element, 1.0)
        ends[element] = (low * share, high * share)
        told += (low + high) / 2
        lost += (low + high) / 2 * (1 - share)
    return _Kept(1 - lost / 100, ends, max(0.0, 100 - told))
