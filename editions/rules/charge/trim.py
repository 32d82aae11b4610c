"""Mending a melt from its sample: the least metal that brings every element within its limits.

What may be added, up to its stock, enters the linear programme of
:mod:`editions.rules.charge.programme` beside the melt; what lies above a limit can only be diluted.
Where the crucible or the lots do not allow it, the limits that stand in the way are named.  The
sum of an alloy is left out: what a sample does not say, no addition mends; it is remarked on.  One
element is brought to one figure by :mod:`editions.rules.charge.bring`, without a solver.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from editions.errors import Unreadable
from editions.rules.alloys.analysis import read_percentages, round_to
from editions.rules.alloys.judge import SUM, Judgement, judge, judge_meanings
from editions.rules.alloys.model import Alloy
from editions.rules.charge.losses import Loss
from editions.rules.charge.melt import Expected
from editions.rules.charge.molten import Melt, after, sound
from editions.rules.charge.plan import SOLVER, Charged, Obstacle, obstacle
from editions.rules.charge.programme import (
    TOLERANCE,
    Base,
    Programme,
    cheapest,
    nearest,
    percent_of,
    programme,
)
from editions.rules.charge.rows import GUARD, rows_of
from editions.rules.charge.stock import Lot
from editions.rules.explaining import Explained, Figures

_GRAM = 3


class Asked(Figures, frozen=True, kw_only=True):
    """What is asked of a trim: the edition, the guard band, and what the crucible holds, kg."""

    edition: str | None = None
    guard: Decimal = GUARD
    crucible: Decimal | None = None


class Trimmed(Explained, frozen=True, kw_only=True):
    """What to add to a melt, or what stands in the way of mending it."""

    possible: bool
    alloy: str
    before: Judgement
    lines: tuple[Charged, ...]
    dilutes: tuple[str, ...]
    expected: Expected
    judgement: Judgement
    in_the_way: tuple[Obstacle, ...]
    remarks: tuple[str, ...]


def trim(
    alloy: Alloy, melt: Melt, lots: Sequence[Lot], losses: Mapping[str, Loss], asked: Asked
) -> Trimmed:
    """Return the least metal that brings a melt within an alloy's limits.

    Args:
        alloy: Whose limits are to be kept.
        melt: The crucible and its sample.
        lots: What may be added, each up to its stock.
        losses: What is lost of an addition, by element.
        asked: The edition, the guard band and the crucible.

    Raises:
        Unreadable: No melt, nothing to add, an analysis that cannot be meant, or a crucible that
            is smaller than the melt in it.
    """
    _sound(melt, lots, asked)
    before = judge(alloy, melt.figures, asked.edition)
    masses, way = _least(alloy, melt, lots, losses, asked)
    used = _used(lots, masses)
    then = after(melt, used, losses)
    return Trimmed(
        possible=not way,
        alloy=alloy.name,
        before=before,
        lines=tuple(_line(lot, mass) for lot, mass in used),
        dilutes=_dilutes(before, used),
        expected=then,
        judgement=judge_meanings(alloy, then.meanings(), asked.edition),
        in_the_way=way,
        remarks=_remarks(before),
        formula=(
            "least metal added, every limit pulled inwards by the guard band",
            f"guard band: {asked.guard} % of the width of each limit",
            *then.formula,
        ),
        sources=(SOLVER, "guard band: ours, no source", *then.sources, *before.sources),
    )


def _sound(melt: Melt, lots: Sequence[Lot], asked: Asked) -> None:
    """Refuse what no melt can be mended with."""
    sound(melt)
    if not lots:
        raise Unreadable("Nothing is there to add.", "Name what may be added, with its analysis.")
    if asked.crucible is not None and asked.crucible < melt.mass:
        raise Unreadable(
            f"A crucible of {asked.crucible} kg does not hold {melt.mass} kg.", "Check both."
        )
    for lot in lots:
        lot.part(Decimal(0))


def _least(
    alloy: Alloy, melt: Melt, lots: Sequence[Lot], losses: Mapping[str, Loss], asked: Asked
) -> tuple[list[float], tuple[Obstacle, ...]]:
    """Return the least masses, or those that come nearest and what stands in the way."""
    base = Base(float(melt.mass), read_percentages(melt.figures))
    every = rows_of(alloy, edition=asked.edition, guard=asked.guard)
    rows = [row for row in every if row.name != SUM]
    room = None if asked.crucible is None else float(asked.crucible - melt.mass)
    for strict in (True, False):
        one = programme(lots, rows, losses, base=base, strict=strict)
        found = cheapest(one, [1.0] * len(lots), at_most=room)
        if found is not None:
            return found.masses, ()
    masses, breaches = nearest(one, at_most=room)
    return masses, _in_the_way(one, masses, breaches, base)


def _used(lots: Sequence[Lot], masses: Sequence[float]) -> list[tuple[Lot, Decimal]]:
    """Return what is added, to the gram."""
    grams = [round_to(Decimal(str(max(mass, 0.0))), _GRAM) for mass in masses]
    return [(lot, mass) for lot, mass in zip(lots, grams, strict=True) if mass]


def _line(lot: Lot, mass: Decimal) -> Charged:
    """Return one addition."""
    cost = None if lot.price is None else round_to(lot.price * mass, 2)
    left = None if lot.stock is None else lot.stock - mass
    return Charged(name=lot.name, source=lot.source, mass=mass, left=left, cost=cost)


def _dilutes(before: Judgement, used: Sequence[tuple[Lot, Decimal]]) -> tuple[str, ...]:
    """Return the elements that were above a limit and can only be diluted."""
    high = [x.element for x in before.findings if x.verdict == "outside" and "above" in x.says]
    return tuple(high) if used else ()


def _remarks(before: Judgement) -> tuple[str, ...]:
    """Return what additions cannot mend: a sample that leaves too much unsaid."""
    short = [x for x in before.findings if x.element == SUM and x.verdict == "outside"]
    return tuple(
        f"The sample adds to {x.value} %, {x.limit} is wanted: have the rest of it analysed, since"
        " no addition mends a sum."
        for x in short
    )


def _in_the_way(
    one: Programme, masses: Sequence[float], breaches: Sequence[float], base: Base
) -> tuple[Obstacle, ...]:
    """Return the limits that the melt nearest to all of them breaks."""
    return tuple(
        obstacle(row, percent_of(one, row, masses, base))
        for row, breach in zip(one.rows, breaches, strict=True)
        if breach > TOLERANCE * 100 * base.mass
    )
