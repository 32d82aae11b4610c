"""Mending a melt from its sample: what to add, or with what to dilute it, and how much.

Two questions are answered.  :func:`bring_to` brings one element to one figure with one addition,
exactly: of a melt M with m of the element, an addition that gives a of it and c of metal in all for
each kg (after its own loss) and a target t, all shares of one::

    (m + a x) / (M + c x) = t        x = (t M - m) / (a - t c)

:func:`trim` finds the least metal to add, from several lots, that brings every element within the
alloy's limits and guard band, by the linear programme of :mod:`editions.rules.charge.programme`;
where the crucible or the lots do not allow it, it names the limits that stand in the way.  The
sample is taken after the melt's own losses; only what is added loses more.

>>> zinc = Lot(name="zinc", source="addition", figures={"Zn": "100"})
>>> melt = {"Cu": "85.1703", "Zn": "4.8096"}
>>> bring_to("Zn", Decimal(5), Melt(mass=Decimal("99.8"), figures=melt), zinc,
...          {"Zn": loss("Zn", "4", "4", "recovery 96 %")}).mass
Decimal('0.208')
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from editions.errors import Refused, Unreadable
from editions.rules.alloys.analysis import NOTHING, read_element, read_percentages, round_to
from editions.rules.alloys.judge import Judgement, judge, judge_meanings
from editions.rules.alloys.model import Alloy
from editions.rules.charge.losses import Loss, loss, of
from editions.rules.charge.melt import Expected, Part, expected
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

__all__ = ["BroughtTo", "Melt", "Trimmed", "bring_to", "loss", "trim"]

_GRAM = 3


class Melt(Figures, frozen=True, kw_only=True):
    """What is in the crucible: kg, and its sample's analysis by per cent as reported."""

    mass: Decimal
    figures: dict[str, str]


class BroughtTo(Explained, frozen=True, kw_only=True):
    """An addition that brings an element to a target; kg, to the gram, and unrounded."""

    element: str
    target: Decimal
    name: str
    mass: Decimal
    exact: Decimal
    expected: Expected


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


def bring_to(
    element: str, target: Decimal, melt: Melt, lot: Lot, losses: Mapping[str, Loss]
) -> BroughtTo:
    """Return how much of a lot brings an element of a melt to a target.

    Args:
        element: Its symbol.
        target: Per cent of the melt after the addition.
        melt: The crucible and its sample.
        lot: What is added; less of the element than the target dilutes it.
        losses: What is lost of the addition, by element.

    Raises:
        Refused: The addition moves the element away from the target, or never reaches it, or
            there is too little of it.
        Unreadable: No melt, a target that is none, a sample that does not report the element.
    """
    element = read_element(element)
    _sound(melt)
    if not 0 <= target <= 100:
        raise Unreadable(f"{element} cannot be brought to {target} %.", "Give 0 to 100 per cent.")
    there = read_percentages(melt.figures).get(element)
    if there is None:
        raise Unreadable(f"The sample does not report {element}.", "Have it analysed first.")
    one = expected([lot.part(Decimal(1))], losses)
    brings = _kept(lot, element, losses)
    wanted = (target - there.middle) / 100 * melt.mass
    metal = _metal(lot, losses)
    pull = brings - target / 100 * metal
    mass = Decimal(0) if not wanted else _solved(wanted, pull, element, target, lot)
    if lot.stock is not None and mass > lot.stock:
        raise Refused(
            f"{round_to(mass, _GRAM)} kg of {lot.name} are needed; {lot.stock.normalize():f} kg are"
            " there.",
            "Add another lot, or trim a smaller melt.",
        )
    return BroughtTo(
        element=element,
        target=target,
        name=lot.name,
        mass=round_to(mass, _GRAM),
        exact=round_to(mass, 6),
        expected=_after(melt, [(lot, mass)], losses),
        formula=(
            "x = (target x melt - what it holds) / (what a kg brings - target x its metal)",
            f"x = {melt.mass.normalize():f} x ({target} - {there.middle}) % / {pull:.6f}",
            f"a kg brings {brings:.4f} kg of {element} in {metal:.4f} kg of metal",
        ),
        sources=one.sources,
    )


def trim(
    alloy: Alloy,
    melt: Melt,
    lots: Sequence[Lot],
    losses: Mapping[str, Loss],
    *,
    edition: str | None = None,
    guard: Decimal = GUARD,
    crucible: Decimal | None = None,
) -> Trimmed:
    """Return the least metal that brings a melt within an alloy's limits.

    Args:
        alloy: Whose limits are to be kept.
        melt: The crucible and its sample.
        lots: What may be added, each up to its stock.
        losses: What is lost of an addition, by element.
        edition: Which edition of the limits; the newest where None.
        guard: How far to keep from each limit, per cent of its width.
        crucible: What the crucible holds at most, kg.

    Raises:
        Unreadable: No melt, nothing to add, an analysis that cannot be meant, or a crucible that
            is smaller than the melt in it.
    """
    _sound(melt)
    if not lots:
        raise Unreadable("Nothing is there to add.", "Name what may be added, with its analysis.")
    if crucible is not None and crucible < melt.mass:
        raise Unreadable(
            f"A crucible of {crucible} kg does not hold {melt.mass} kg.", "Check both."
        )
    before = judge(alloy, melt.figures, edition)
    base = Base(float(melt.mass), read_percentages(melt.figures))
    for lot in lots:
        lot.part(Decimal(0))
    rows = rows_of(alloy, edition=edition, guard=guard)
    room = None if crucible is None else float(crucible - melt.mass)
    way: tuple[Obstacle, ...] = ()
    for strict in (True, False):
        one = programme(lots, rows, losses, base=base, strict=strict)
        found = cheapest(one, [1.0] * len(lots), at_most=room)
        if found is not None:
            break
    masses = found.masses if found else []
    if found is None:
        masses, breaches = nearest(one, at_most=room)
        way = _in_the_way(one, masses, breaches, base)
    used = _used(lots, masses)
    after = _after(melt, used, losses)
    return Trimmed(
        possible=found is not None,
        alloy=alloy.name,
        before=before,
        lines=tuple(_line(lot, mass) for lot, mass in used),
        dilutes=_dilutes(before, used),
        expected=after,
        judgement=judge_meanings(alloy, after.meanings(), edition),
        in_the_way=way,
        formula=(
            "least metal added, every limit pulled inwards by the guard band",
            f"guard band: {guard} % of the width of each limit",
            *after.formula,
        ),
        sources=(SOLVER, "guard band: ours, no source", *after.sources, *before.sources),
    )


def _sound(melt: Melt) -> None:
    if melt.mass <= 0:
        raise Unreadable(f"A melt of {melt.mass} kg is none.", "Weigh it, or reckon it: 99.8 kg.")


def _solved(wanted: Decimal, pull: Decimal, element: str, target: Decimal, lot: Lot) -> Decimal:
    """Return the mass, refused where no mass of the lot reaches the target."""
    if not pull or wanted / pull < 0:
        raise Refused(
            f"No amount of {lot.name} brings {element} to {target} %.",
            "Add what holds more of it to raise it, less of it to dilute it.",
        )
    return wanted / pull


def _kept(lot: Lot, element: str, losses: Mapping[str, Loss]) -> Decimal:
    """Return what a kg of a lot brings of an element, kg."""
    figure = read_percentages(lot.figures).get(element, NOTHING)
    return figure.middle / 100 * of(losses, element).kept


def _metal(lot: Lot, losses: Mapping[str, Loss]) -> Decimal:
    """Return what a kg of a lot adds to the melt, kg."""
    figures = read_percentages(lot.figures)
    lost = sum(
        (x.middle / 100 * (1 - of(losses, name).kept) for name, x in figures.items()), Decimal(0)
    )
    return 1 - lost


def _after(melt: Melt, used: Sequence[tuple[Lot, Decimal]], losses: Mapping[str, Loss]) -> Expected:
    """Return the melt after the additions: they lose, the melt does not."""
    there = Part(name="the melt", source="returns", mass=melt.mass, figures=melt.figures)
    return expected([lot.part(mass) for lot, mass in used], losses, molten=there)


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


def _in_the_way(
    one: Programme, masses: Sequence[float], breaches: Sequence[float], base: Base
) -> tuple[Obstacle, ...]:
    """Return the limits that the melt nearest to all of them breaks."""
    return tuple(
        obstacle(row, percent_of(one, row, masses, base))
        for row, breach in zip(one.rows, breaches, strict=True)
        if breach > TOLERANCE * 100 * base.mass
    )
