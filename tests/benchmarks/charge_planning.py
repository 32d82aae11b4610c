"""How long a charge from forty lots takes to plan, beside the solver alone.

Run by hand, or by what checks a change; pytest does not collect it, since it measures time.  Both
are measured in one run, in turn, after the solver was loaded; their medians are compared.  A
disturbed measurement is made again, at most twice more.

    python -m tests.benchmarks.charge_planning
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from decimal import Decimal
from statistics import median
from time import perf_counter

from scipy.optimize import linprog

from editions.rules.alloys import analysis, load_alloy
from editions.rules.charge.losses import published
from editions.rules.charge.plan import Plan, Wanted, plan
from editions.rules.charge.programme import Programme, programme
from editions.rules.charge.rows import rows_of
from editions.rules.charge.stock import Lot

LIMIT = 5.0
LOTS = 40
RUNS = 31
ATTEMPTS = 3

ALLOY = load_alloy("C83600")
WANTED = Wanted(melt=Decimal(500))


def floor() -> list[Lot]:
    """Return forty lots of leaded red brass, each a little off in its own way."""
    chance = random.Random(4)
    return [_lot(number, chance) for number in range(LOTS)]


def bare(one: Programme, costs: list[float]) -> float:
    """Return the least cost that the solver alone finds."""
    done = linprog(
        costs,
        A_ub=one.matrix,
        b_ub=one.right,
        A_eq=[one.melts],
        b_eq=[float(WANTED.melt)],
        bounds=one.bounds,
        method="highs",
    )
    return float(done.fun)


def fresh_plan(lots: list[Lot]) -> Plan:
    """Return the plan, every certificate read anew."""
    analysis._read.cache_clear()
    return plan(ALLOY, lots, WANTED, published())


def _lot(number: int, chance: random.Random) -> Lot:
    tin, lead, zinc = (chance.uniform(4.2, 5.8) for _ in range(3))
    small = {"Ni": 0.4, "Fe": 0.12, "Sb": 0.08, "S": 0.03, "P": 0.02, "Al": 0.002, "Si": 0.002}
    figures = {"Sn": tin, "Pb": lead, "Zn": zinc}
    figures |= {element: chance.uniform(0, 2 * usual) for element, usual in small.items()}
    figures["Cu"] = 99.98 - sum(figures.values())
    return Lot(
        name=f"lot {number}",
        source="ingot",
        figures={element: f"{figure:.4f}" for element, figure in figures.items()},
        stock=Decimal(chance.randint(20, 80)),
        price=Decimal(chance.randint(700, 1100)) / 100,
    )


def _seconds(work: Callable[[], object]) -> float:
    began = perf_counter()
    work()
    return perf_counter() - began


def ratio(lots: list[Lot]) -> float:
    """Return the plan's median time over the solver's, and print both."""
    one = programme(lots, rows_of(ALLOY), published())
    costs = [float(lot.price or 0) for lot in lots]
    made = fresh_plan(lots)
    if not made.possible or abs(float(made.cost or 0) - bare(one, costs)) > 1:
        raise SystemExit("the plan and the solver alone do not agree")
    pairs = [
        (
            _seconds(lambda: bare(one, costs)),
            _seconds(lambda: fresh_plan(lots)),
        )
        for _ in range(RUNS)
    ]
    alone, whole = (median(times) for times in zip(*pairs, strict=True))
    found: float = whole / alone
    print(f"solver alone {1000 * alone:.1f} ms; plan {1000 * whole:.1f} ms: {found:.2f}")
    return found


def main() -> int:
    """Measure until one measurement keeps the limit; return 1 if none does."""
    lots = floor()
    if any(ratio(lots) <= LIMIT for _ in range(ATTEMPTS)):
        return 0
    print(f"over the limit of {LIMIT}, {ATTEMPTS} times")
    return 1


if __name__ == "__main__":
    sys.exit(main())
