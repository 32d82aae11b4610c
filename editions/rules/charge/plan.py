"""The cheapest charge, from what is on the floor, that keeps an alloy's limits with a guard band.

A linear programme finds the masses (:mod:`editions.rules.charge.programme`); they are rounded to
the gram, and the charge is expected and judged as any other.  First what a certificate leaves
unsaid is taken at its worst.  Where that leaves no charge, it is taken as nothing, and the answer
says which certificates leave it open.  Where even so there is none, the answer is the charge that
breaks the limits least and names every limit that stands in the way, and how large a melt would
keep them all.

Where no lot has a price, the least bought metal is sought: returns cost nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from editions.errors import Unreadable
from editions.rules.alloys.analysis import round_to
from editions.rules.alloys.judge import Judgement, judge_meanings
from editions.rules.alloys.model import Alloy
from editions.rules.charge.losses import Loss
from editions.rules.charge.melt import Expected, expected
from editions.rules.charge.programme import (
    TOLERANCE,
    Programme,
    Solution,
    cheapest,
    largest,
    nearest,
    percent_of,
    programme,
)
from editions.rules.charge.risk import at_risk
from editions.rules.charge.rows import GUARD, Row, rows_of
from editions.rules.charge.stock import Lot
from editions.rules.explaining import Explained, Figures

_GRAM = 3
SOLVER = "scipy.optimize.linprog, HiGHS (Huangfu and Hall, 2018)"


class Charged(Figures, frozen=True, kw_only=True):
    """One lot of a plan: kg to charge, what stays in stock, what it costs."""

    name: str
    source: str
    mass: Decimal
    left: Decimal | None
    cost: Decimal | None


class Obstacle(Figures, frozen=True, kw_only=True):
    """What stands in the way: a limit with its guard band, what is reached at best, how far off."""

    says: str
    reached: str
    by: str


class Plan(Explained, frozen=True, kw_only=True):
    """A charge, or as near as the floor comes to one.

    ``possible`` says whether every limit is kept; ``in_the_way`` names those that are not, and
    ``largest`` the largest melt, in kg, that would keep them all.  ``held_by`` names the limits and
    stocks that the charge lies on: what would make it cheaper.
    """

    possible: bool
    alloy: str
    lines: tuple[Charged, ...]
    cost: Decimal | None
    expected: Expected
    judgement: Judgement
    held_by: tuple[str, ...]
    in_the_way: tuple[Obstacle, ...]
    largest: Decimal | None
    remarks: tuple[str, ...]


class Wanted(Figures, frozen=True, kw_only=True):
    """What is asked of a charge: the melt in kg, the edition, the guard band and the returns."""

    melt: Decimal
    edition: str | None = None
    guard: Decimal = GUARD
    returns_at_most: Decimal | None = None


def plan(alloy: Alloy, lots: Sequence[Lot], wanted: Wanted, losses: Mapping[str, Loss]) -> Plan:
    """Return the cheapest charge for a melt.

    Args:
        alloy: Whose limits are kept.
        lots: What is on the floor.
        wanted: The melt, and what else is asked of the charge.
        losses: What melting takes, by element.

    Raises:
        Unreadable: Nothing to charge, no melt, a certificate that is no full analysis, or prices
            for some lots and not for others.
    """
    _sound(lots, wanted)
    costs = _costs(lots)
    rows = rows_of(alloy, edition=wanted.edition, guard=wanted.guard)
    for strict in (True, False):
        one = programme(lots, rows, losses, strict=strict)
        found = cheapest(_shared(one, lots, wanted), costs, melt=float(wanted.melt))
        if found is not None:
            return _answer(alloy, lots, wanted, losses, found)
    return _stand_off(alloy, lots, wanted, losses, one)


def _sound(lots: Sequence[Lot], wanted: Wanted) -> None:
    """Refuse what no charge can be planned from."""
    if not lots:
        raise Unreadable("Nothing lies on the floor.", "Name lots, or give the file of the floor.")
    if wanted.melt <= 0:
        raise Unreadable(f"A melt of {wanted.melt} kg is none.", "Say how much is to be poured.")
    if wanted.returns_at_most is not None and not 0 <= wanted.returns_at_most <= 100:
        raise Unreadable(
            f"Returns of {wanted.returns_at_most} % are no share.", "Give 0 to 100 per cent."
        )
    names: set[str] = set()
    for lot in lots:
        if lot.name in names:
            raise Unreadable(f"{lot.name} lies on the floor twice.", "Name each lot once.")
        names.add(lot.name)
        lot.part(Decimal(0))


def _costs(lots: Sequence[Lot]) -> list[float]:
    """Return what a kg of each lot costs."""
    missing = [lot.name for lot in lots if lot.price is None and lot.source != "returns"]
    priced = [lot for lot in lots if lot.price is not None]
    if priced and missing:
        raise Unreadable(
            f"{missing[0]} has no price, and {priced[0].name} has one.",
            "Give every lot a price for a kg, or none; returns without one cost nothing.",
        )
    if priced:
        return [float(lot.price or 0) for lot in lots]
    return [0.0 if lot.source == "returns" else 1.0 for lot in lots]


def _shared(one: Programme, lots: Sequence[Lot], wanted: Wanted) -> Programme:
    """Return the programme with the share of returns bounded, where it is to be."""
    if wanted.returns_at_most is None:
        return one
    share = wanted.returns_at_most
    row = Row(
        name="returns", elements=(), end="at most", bound=share, limit=share, width=Decimal(100)
    )
    line = [100.0 * (lot.source == "returns") - float(share) for lot in lots]
    return one._replace(rows=(*one.rows, row), matrix=[*one.matrix, line], right=[*one.right, 0.0])


def _answer(
    alloy: Alloy,
    lots: Sequence[Lot],
    wanted: Wanted,
    losses: Mapping[str, Loss],
    found: Solution,
) -> Plan:
    """Return the plan of a solution."""
    masses = _grams(lots, found.masses)
    used_up = [
        f"stock of {lot.name}"
        for lot, mass in zip(lots, masses, strict=True)
        if lot.stock is not None and mass == lot.stock and mass
    ]
    held = (*(row.says for row in found.tight if row.elements), *used_up)
    return _told(alloy, lots, wanted, losses, masses, held_by=held, in_the_way=(), most=None)


def _stand_off(
    alloy: Alloy,
    lots: Sequence[Lot],
    wanted: Wanted,
    losses: Mapping[str, Loss],
    plain: Programme,
) -> Plan:
    """Return the charge that comes nearest, and what stands in the way."""
    one = _shared(plain, lots, wanted)
    most = largest(one)
    floor, short = _whole_floor(one, wanted)
    if short and most and most.melt > TOLERANCE:
        masses, obstacles = most.masses, _short(floor, wanted)
    else:
        melt = floor if short else float(wanted.melt)
        masses, breaches = nearest(one, melt=melt)
        obstacles = (_short(floor, wanted) if short else ()) + tuple(
            obstacle(row, percent_of(one, row, masses) if row.elements else 0.0)
            for row, breach in zip(one.rows, breaches, strict=True)
            if breach > TOLERANCE * 100 * melt
        )
    return _told(
        alloy,
        lots,
        wanted,
        losses,
        _grams(lots, masses),
        held_by=(),
        in_the_way=obstacles,
        most=None if most is None else Decimal(str(most.melt)),
    )


def _whole_floor(one: Programme, wanted: Wanted) -> tuple[float, bool]:
    """Return the melt of everything on the floor, and whether it is less than is wanted."""
    if any(bound is None for _, bound in one.bounds):
        return float(wanted.melt), False
    floor = sum((bound or 0) * melt for (_, bound), melt in zip(one.bounds, one.melts, strict=True))
    return floor, floor < float(wanted.melt)


def _short(floor: float, wanted: Wanted) -> tuple[Obstacle, ...]:
    """Return the stock as what stands in the way."""
    less = float(wanted.melt) - floor
    return (
        Obstacle(
            says=f"a melt of {wanted.melt.normalize():f} kg",
            reached=f"{floor:.3f} kg from everything on the floor",
            by=f"{less:.3f} kg",
        ),
    )


def obstacle(row: Row, reached: float) -> Obstacle:
    """Return a row that could not be kept, with what is reached at best."""
    if not row.elements:
        return Obstacle(says=f"{row.says} % of the charge", reached="more", by="")
    far = abs(reached - float(row.bound))
    guarded = "" if row.bound == row.limit else f" (limit {row.limit})"
    return Obstacle(says=f"{row.says}{guarded}", reached=f"{reached:.4f}", by=f"{far:.4f}")


def _told(
    alloy: Alloy,
    lots: Sequence[Lot],
    wanted: Wanted,
    losses: Mapping[str, Loss],
    masses: Sequence[Decimal],
    *,
    held_by: tuple[str, ...],
    in_the_way: tuple[Obstacle, ...],
    most: Decimal | None,
) -> Plan:
    """Return masses as a plan: what they give, how that is judged, what they cost."""
    used = [(lot, mass) for lot, mass in zip(lots, masses, strict=True) if mass]
    melt = expected([lot.part(mass) for lot, mass in used], losses)
    judged = judge_meanings(alloy, melt.meanings(), wanted.edition)
    lines = tuple(_line(lot, mass) for lot, mass in used)
    priced = [line.cost for line in lines if line.cost is not None]
    return Plan(
        possible=not in_the_way,
        alloy=alloy.name,
        lines=lines,
        cost=sum(priced, Decimal(0)) if priced else None,
        expected=melt,
        judgement=judged,
        held_by=held_by,
        in_the_way=in_the_way,
        largest=None if most is None else round_to(most, _GRAM),
        remarks=at_risk(melt, rows_of(alloy, edition=wanted.edition, guard=Decimal(0))),
        formula=(*_asked(wanted, bool(priced)), *melt.formula, *judged.formula),
        sources=(SOLVER, "guard band: ours, no source", *melt.sources, *judged.sources),
    )


def _asked(wanted: Wanted, priced: bool) -> tuple[str, ...]:
    """Return what was asked of the charge, a line each."""
    sought = "cost" if priced else "bought metal (no prices given)"
    return (
        f"least {sought} with a melt of {wanted.melt.normalize():f} kg, no lot beyond its stock",
        f"guard band: every limit pulled inwards by {wanted.guard} % of its width",
    )


def _line(lot: Lot, mass: Decimal) -> Charged:
    """Return one lot of a plan."""
    cost = None if lot.price is None else round_to(lot.price * mass, 2)
    left = None if lot.stock is None else lot.stock - mass
    return Charged(name=lot.name, source=lot.source, mass=mass, left=left, cost=cost)


def _grams(lots: Sequence[Lot], masses: Sequence[float]) -> list[Decimal]:
    """Return masses to the gram, none beyond its stock."""
    found = [round_to(Decimal(str(max(mass, 0.0))), _GRAM) for mass in masses]
    return [
        mass if lot.stock is None else min(mass, lot.stock)
        for lot, mass in zip(lots, found, strict=True)
    ]
