"""One element of a melt brought to one figure with one addition, exactly.

Of a melt M with m of the element, an addition that gives a of it and c of metal in all for each kg
(after its own loss) and a target t, all shares of one::

    (m + a x) / (M + c x) = t        x = (t M - m) / (a - t c)

>>> zinc = Lot(name="zinc", source="addition", figures={"Zn": "100"})
>>> melt = Melt(mass=Decimal("99.8"), figures={"Cu": "85.1703", "Zn": "4.8096"})
>>> losses = {"Zn": loss("Zn", "4", "4", "recovery 96 %")}
>>> bring_to("Zn", Decimal(5), melt, zinc, losses).mass
Decimal('0.208')
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from editions.errors import Refused, Unreadable
from editions.rules.alloys.analysis import NOTHING, read_element, read_percentages, round_to
from editions.rules.charge.losses import Loss, loss, of
from editions.rules.charge.melt import Expected, expected
from editions.rules.charge.molten import Melt, after, sound
from editions.rules.charge.stock import Lot
from editions.rules.explaining import Explained

__all__ = ["BroughtTo", "Lot", "Melt", "bring_to", "loss"]

_GRAM = 3


class BroughtTo(Explained, frozen=True, kw_only=True):
    """An addition that brings an element to a target; kg, to the gram, and unrounded."""

    element: str
    target: Decimal
    name: str
    mass: Decimal
    exact: Decimal
    expected: Expected


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
        Refused: No amount of the lot reaches the target, or there is too little of it.
        Unreadable: No melt, a target that is none, a sample that does not report the element.
    """
    element = read_element(element)
    there = _there(element, target, melt)
    sources = expected([lot.part(Decimal(1))], losses).sources
    brings, metal = _kept(lot, element, losses), _metal(lot, losses)
    wanted, pull = (target - there) / 100 * melt.mass, brings - target / 100 * metal
    mass = _in_stock(_solved(wanted, pull, element, target, lot), lot)
    return BroughtTo(
        element=element,
        target=target,
        name=lot.name,
        mass=round_to(mass, _GRAM),
        exact=round_to(mass, 6),
        expected=after(melt, [(lot, mass)], losses),
        formula=(
            "x = (target x melt - what it holds) / (what a kg brings - target x its metal)",
            f"x = {melt.mass.normalize():f} x ({target} - {there}) % / {pull:.6f}",
            f"a kg brings {brings:.4f} kg of {element} in {metal:.4f} kg of metal",
        ),
        sources=sources,
    )


def _there(element: str, target: Decimal, melt: Melt) -> Decimal:
    """Return what the melt has of an element, per cent."""
    sound(melt)
    if not 0 <= target <= 100:
        raise Unreadable(f"{element} cannot be brought to {target} %.", "Give 0 to 100 per cent.")
    found = read_percentages(melt.figures).get(element)
    if found is None:
        raise Unreadable(f"The sample does not report {element}.", "Have it analysed first.")
    return found.middle


def _in_stock(mass: Decimal, lot: Lot) -> Decimal:
    """Return the mass, refused where the lot has less."""
    if lot.stock is not None and mass > lot.stock:
        there = f"{lot.stock.normalize():f} kg are there"
        raise Refused(
            f"{round_to(mass, _GRAM)} kg of {lot.name} are needed; {there}.",
            "Add another lot, or trim a smaller melt.",
        )
    return mass


def _solved(wanted: Decimal, pull: Decimal, element: str, target: Decimal, lot: Lot) -> Decimal:
    """Return the mass, refused where no mass of the lot reaches the target."""
    if not wanted:
        return Decimal(0)
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
