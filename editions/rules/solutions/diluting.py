"""From one strength to another: how much of the strong, how much water; and other hydrates.

The amount of substance stays: c₁·V₁ = c₂·V₂.  Volumes are taken to add, which is exact for weak
solutions and slightly off for strong ones; by weight it is exact.

>>> str(dilute("10 % w/v", "3 % w/v", Quantity("750", "ml")).stock)
'225.00'
>>> str(swap(substance("Cu(NO3)2·3H2O"), substance("Cu(NO3)2·2.5H2O"), Quantity("40", "g")).grams)
'38.509'
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from editions.errors import Refused
from editions.rules.explaining import Explained, rounded
from editions.rules.solutions.formulas import WEIGHTS
from editions.rules.solutions.strengths import Strength, read_strength
from editions.rules.solutions.substances import Substance, substance
from editions.rules.solutions.volumes import Volume, litres_as
from editions.trade.quantities import Quantity

__all__ = ["Dilution", "Swap", "dilute", "substance", "swap"]


class Dilution(Explained, frozen=True, kw_only=True):
    """How much of the strong solution and how much water, in ``unit``."""

    strong: str
    weak: str
    unit: str
    stock: Decimal
    water: Decimal


class Swap(Explained, frozen=True, kw_only=True):
    """How much of the salt on hand holds as much as was asked of another hydrate."""

    asked: str
    on_hand: str
    grams: Decimal


def dilute(strong: str, weak: str, finished: Volume) -> Dilution:
    """Return how much of a strong solution makes so much of a weak one.

    Args:
        strong: The strength of the stock.
        weak: The strength wanted, said in the same way.
        finished: How much is wanted: a volume, or for w/w a mass.

    Raises:
        Refused: The two are said in different ways, or the weak one is not weaker.
        Unreadable: A strength that cannot be read.
    """
    from_, to = read_strength(strong), read_strength(weak)
    ratio = _concentration(to, from_) / _concentration(from_, to)
    if ratio > 1:
        raise Refused(f"{to} is stronger than {from_}; water only weakens.", "Swap the two.")
    by_weight = to.basis == "w/w"
    if by_weight != (finished.dimension == "mass"):
        raise Refused(
            f"{to} is diluted by {'weight' if by_weight else 'volume'}, not to {finished}.",
            f"Say how much in {'g' if by_weight else 'ml'}.",
        )
    whole, unit = finished.exact() * 1000, "g"
    if not by_weight:
        whole, unit = litres_as(finished, finished.exact())
    places = 2 if unit in ("g", "ml") else 3
    return Dilution(
        strong=str(from_),
        weak=str(to),
        unit=unit,
        stock=rounded(whole * ratio, places),
        water=rounded(whole * (1 - ratio), places),
        formula=(
            f"stock = {to} / {from_} · {rounded(whole, places)} {unit}",
            "weights add" if by_weight else "volumes are taken to add",
        ),
        sources=("the amount of substance stays; common practice, no source",),
    )


def swap(asked: Substance, on_hand: Substance, mass: Quantity) -> Swap:
    """Return how much of the salt on hand holds as much as a mass of another hydrate.

    Raises:
        Refused: They are not hydrates of one salt, or one has no molar mass.
    """
    old, new = asked.chemical(), on_hand.chemical()
    if old.without_water().atoms() != new.without_water().atoms():
        raise Refused(
            f"{asked.name.capitalize()} and {on_hand.name} are not hydrates of one salt:"
            f" {old.without_water()}, {new.without_water()}.",
            "Only the water may differ.",
        )
    ratio = Fraction(new.exact_mass()) / Fraction(old.exact_mass())
    return Swap(
        asked=f"{mass} of {asked.name}, {old}",
        on_hand=f"{on_hand.name}, {new}",
        grams=rounded(mass.exact() * 1000 * ratio, 3),
        formula=(f"{mass} · {new.molar_mass()} / {old.molar_mass()} g/mol",),
        sources=(WEIGHTS,),
    )


def _concentration(strength: Strength, other: Strength) -> Fraction:
    """A number that may be divided by that of the other."""
    grams = strength.grams_a_litre()
    if grams is not None and other.grams_a_litre() is not None:
        return grams
    if strength.basis != other.basis:
        raise Refused(
            f"{strength} and {other} are not said in the same way.", "Say both in one, such as w/v."
        )
    return strength.exact()
