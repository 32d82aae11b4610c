"""One substance wanted in a solution: how it is said, and the grams or millilitres that means.

A measure is a strength of the finished solution, an amount said outright, or spoons.  Of a liquid
as bought (an acid, ammonia) a strength by weight or a molarity is of what is dissolved in it, so
its :class:`Stock` must be known; an amount said outright, or ``v/v``, is of the liquid itself.

>>> str(read_part("nitric acid=0.5 mol/l").measure)
'0.5 mol/l'
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

import msgspec

from editions.errors import Refused, Unreadable
from editions.rules.measures import Density
from editions.rules.solutions.strengths import (
    Spoons,
    Stock,
    Strength,
    read_spoons,
    read_strength,
)
from editions.rules.solutions.substances import Substance, substance
from editions.trade.quantities import Quantity, read_quantity, units_of
from editions.trade.text import shown

Measure = Strength | Quantity | Spoons


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """A substance wanted, its measure, and what is known of it as bought.

    ``bulk`` is the density of the powder as it lies in a spoon.
    """

    substance: Substance
    measure: Measure
    stock: Stock | None = None
    bulk: Density | None = None


class Amount(NamedTuple):
    """Grams of the substance itself, millilitres of the liquid as bought; None where not known."""

    grams: Fraction | None
    millilitres: Fraction | None = None


def read_part(text: str) -> Part:
    """Read a substance and its measure: ``ferric nitrate=5 % w/v``, ``NH4Cl=40 g``.

    Raises:
        Unreadable: No substance, or no strength, mass, volume or spoons.
    """
    name, sign, measure = text.rpartition("=")
    if not sign:
        raise Unreadable(
            f"{shown(text)} does not say how much.",
            'Write name=strength or name=amount: "ferric nitrate=5 % w/v", "NH4Cl=40 g".',
        )
    return Part(substance=substance(name), measure=read_measure(measure))


def read_measure(text: str) -> Measure:
    """Read a strength, a mass, a volume, or spoons.

    Raises:
        Unreadable: It is none of them, or is nothing.
    """
    spoons = read_spoons(text)
    if spoons:
        return spoons
    unit = text.strip().lstrip("-+0123456789.,/ ").casefold()
    for dimension in ("mass", "volume"):
        if unit in units_of(dimension):
            return _above_nothing(read_quantity(text, dimension), text)
    return read_strength(text)


def per_litre(part: Part) -> Fraction | None:
    """Return grams of the substance in a litre of finished solution, where the measure says so.

    Raises:
        Refused: A molarity of what has no molar mass.
    """
    if not isinstance(part.measure, Strength):
        return None
    if part.measure.basis == "mol/l":
        return part.measure.exact() * Fraction(part.substance.chemical().exact_mass())
    return part.measure.grams_a_litre()


def share(part: Part, basis: str) -> Fraction:
    """Return the share of the finished solution that the measure says by weight, or by volume."""
    if isinstance(part.measure, Strength) and part.measure.basis == basis:
        return part.measure.exact() / 100
    return Fraction(0)


def outright(part: Part) -> Amount | None:
    """Return an amount said outright, in grams and where it is a liquid in millilitres.

    Raises:
        Refused: Spoons or a volume of a powder whose bulk density is not said.
    """
    measure = part.measure
    if isinstance(measure, Strength):
        return None
    if isinstance(measure, Spoons):
        return _by_volume(part, measure.millilitres())
    if measure.dimension == "volume":
        return _by_volume(part, measure.exact() * 1000)
    grams = measure.exact() * 1000
    if part.substance.form != "liquid":
        return Amount(grams)
    if part.stock is None:
        raise _as_bought(part)
    return Amount(grams * part.stock.strength.exact() / 100, grams / part.stock.density.exact())


def of_liquid(part: Part, grams: Fraction) -> Amount:
    """Return grams of the substance as an amount; of a liquid, the millilitres that hold them.

    Raises:
        Refused: The strength and density of the liquid as bought are not said.
    """
    if part.substance.form != "liquid":
        return Amount(grams)
    if part.stock is None:
        raise _as_bought(part)
    return Amount(grams, grams / part.stock.grams_a_millilitre())


def millilitres(part: Part, of: Fraction) -> Amount:
    """Return so many millilitres of a liquid as bought, with the grams in them where known."""
    return Amount(of * part.stock.grams_a_millilitre() if part.stock else None, of)


def _by_volume(part: Part, volume: Fraction) -> Amount:
    if part.substance.form == "liquid":
        return millilitres(part, volume)
    if part.bulk is None:
        raise Refused(
            f"What {part.measure} of {part.substance.name} weighs is not known: powders lie loose"
            " or close.",
            f'Weigh it once and say its bulk density in g/ml: --bulk "{part.substance.name}=0.9".',
        )
    return Amount(volume * part.bulk.exact())


def _as_bought(part: Part) -> Refused:
    name = part.substance.name
    return Refused(
        f"{name.capitalize()} is bought as a solution; how strong it is, is not said.",
        f'Read its label: --stock "{name}=68 % w/w at 1.405", or ask for it in v/v.',
    )


def _above_nothing(quantity: Quantity, text: str) -> Quantity:
    if quantity.exact() == 0:
        raise Unreadable(f"{shown(text)} is nothing.", "Leave out what is not used.")
    return quantity
