"""Amounts for a solution of several substances: made up to a volume, or added to one of water.

*Made up to* 1 l: everything goes into less water, then water is added until all of it is 1 l.
*Added to* 1 l: a whole litre of water, and the substances besides; there is more in the end.  A
strength by volume is one of the finished solution, so with "added to" it needs the finished
solution's density; so does a strength by weight with "made up to".

With c grams a litre and w by weight of the several parts, A grams said outright, W grams of water
and the density d g/ml, what was added to gives V litres: 1000·d·V = W + A + V·Σc + 1000·d·V·Σw.

>>> mixed = mix([read_part("Fe(NO3)3.9H2O=25 g")], read_volume("500 ml"))
>>> str(mixed.portions[0].percent_w_v), str(mixed.portions[0].mol_l)
('5.000', '0.12376')
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

from editions.errors import Refused, Unreadable
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import Density
from editions.rules.solutions.formulas import WEIGHTS
from editions.rules.solutions.parts import (
    Amount,
    Part,
    millilitres,
    of_liquid,
    outright,
    per_litre,
    read_part,
    share,
)
from editions.rules.solutions.strengths import Strength
from editions.rules.solutions.together import refuse_clashes
from editions.rules.solutions.volumes import Volume, read_volume

__all__ = ["How", "Portion", "Solution", "mix", "read_part", "read_volume"]

How = Literal["made up to", "added to"]
WATER = Fraction(998, 1000)  # g/ml
SOURCES = (
    WEIGHTS,
    "water 0.998 g/ml at 20 °C: CRC Handbook of Chemistry and Physics (from memory, high)",
    "made up to, added to, w/v, w/w, v/v: laboratory usage; common practice, no source",
)
_MAKE_UP = "Make it up to a volume, or say amounts instead of strengths."


class Portion(Figures, frozen=True, kw_only=True):
    """What to weigh or measure of one substance, and how strong that makes the solution.

    ``grams`` are of the substance itself, ``millilitres`` of the liquid as bought.
    """

    name: str
    formula: str
    wanted: str
    grams: Decimal | None
    millilitres: Decimal | None
    percent_w_v: Decimal | None
    mol_l: Decimal | None


class Solution(Explained, frozen=True, kw_only=True):
    """A solution: how it is made, what goes in, what to beware of."""

    how: How
    volume: str
    portions: tuple[Portion, ...]
    remarks: tuple[str, ...]
    hazards: tuple[str, ...]


class _Finished(NamedTuple):
    """The finished solution: its litres and its grams, None where they are not known."""

    litres: Fraction | None
    grams: Fraction | None


def mix(
    parts: Sequence[Part], volume: Volume, how: How = "made up to", density: Density | None = None
) -> Solution:
    """Return what to weigh and measure.

    Args:
        parts: What goes in.
        volume: Of the finished solution, or of the water that all is added to.
        how: Which of the two.
        density: Of the finished solution, where a strength needs it.

    Raises:
        Refused: Two of the parts may not meet, a molarity of a mixture, spoons without a bulk
            density, or a strength that cannot be met so.
        Unreadable: No part, or a volume of nothing.
    """
    if not parts or volume.exact() == 0:
        raise Unreadable("There is nothing to mix.", "Name a substance and a volume above nothing.")
    remarks = refuse_clashes([part.substance for part in parts])
    whole = _made_up(volume, density) if how == "made up to" else _added(parts, volume, density)
    amounts = [_amount(part, whole) for part in parts]
    _fits(amounts, whole)
    return Solution(
        how=how,
        volume=str(volume),
        portions=tuple(
            _portion(part, amount, whole) for part, amount in zip(parts, amounts, strict=True)
        ),
        remarks=remarks + _remarks(parts, how),
        hazards=tuple(dict.fromkeys(part.substance.warns() for part in parts)),
        formula=tuple(_worked(part, whole) for part in parts),
        sources=SOURCES,
    )


def _made_up(volume: Volume, density: Density | None) -> _Finished:
    litres = volume.exact()
    return _Finished(litres, litres * 1000 * density.exact() if density else None)


def _added(parts: Sequence[Part], volume: Volume, density: Density | None) -> _Finished:
    """The solution that comes of adding the parts to so much water."""
    by_litre = sum((per_litre(part) or Fraction(0) for part in parts), Fraction(0))
    by_weight = sum((share(part, "w/w") for part in parts), Fraction(0))
    if any(share(part, "v/v") for part in parts) or (by_litre and density is None):
        raise Refused(
            "A strength by volume is one of the finished solution, and how much there will be is"
            " not known before.",
            _MAKE_UP if density else f"{_MAKE_UP[:-1]}; or give --density.",
        )
    if by_weight >= 1:
        raise Refused("So much leaves no room for water.", "Check the strengths.")
    solids = volume.exact() * 1000 * WATER
    for part in parts:
        said = outright(part)
        if said and said.grams is None:
            return _Finished(None, None)
        solids += said.grams if said and said.grams else 0
    if density is None:
        return _Finished(None, solids / (1 - by_weight))
    rest = 1000 * density.exact() * (1 - by_weight) - by_litre
    if rest <= 0:
        raise Refused("So much leaves no room for water.", "Check the strengths.")
    litres = solids / rest
    return _Finished(litres, litres * 1000 * density.exact())


def _amount(part: Part, whole: _Finished) -> Amount:
    said = outright(part)
    if said is not None:
        return said
    by_litre = per_litre(part)
    if by_litre is not None and whole.litres is not None:
        return of_liquid(part, by_litre * whole.litres)
    if share(part, "v/v") and whole.litres is not None:
        return _of_volume(part, whole.litres)
    if whole.grams is None:
        raise Refused(
            f"{part.measure} is by the weight of the finished solution, which is not known.",
            "Give its density with --density, or add the amounts to a volume of water.",
        )
    return of_liquid(part, share(part, "w/w") * whole.grams)


def _of_volume(part: Part, litres: Fraction) -> Amount:
    if part.substance.form != "liquid":
        raise Refused(
            f"{part.substance.name.capitalize()} is no liquid; {part.measure} cannot be measured.",
            "Say it in w/v: grams in 100 ml.",
        )
    return millilitres(part, share(part, "v/v") * litres * 1000)


def _fits(amounts: Sequence[Amount], whole: _Finished) -> None:
    """Refuse more liquid than the volume it is made up to."""
    liquid = sum((one.millilitres or Fraction(0) for one in amounts), Fraction(0))
    if whole.litres is not None and liquid > whole.litres * 1000:
        raise Refused(
            f"That takes {rounded(liquid, 1)} ml of liquids, more than there is to be.",
            "Check the strengths: the stock is weaker than what is wanted.",
        )


def _portion(part: Part, amount: Amount, whole: _Finished) -> Portion:
    one = part.substance
    concentration = amount.grams / whole.litres if amount.grams and whole.litres else None
    molar = None
    if concentration is not None and one.formula:
        molar = rounded(concentration / Fraction(one.chemical().exact_mass()), 5)
    return Portion(
        name=one.name,
        formula=one.formula,
        wanted=str(part.measure),
        grams=None if amount.grams is None else rounded(amount.grams, 3),
        millilitres=None if amount.millilitres is None else rounded(amount.millilitres, 2),
        percent_w_v=None if concentration is None else rounded(concentration / 10, 3),
        mol_l=molar,
    )


def _remarks(parts: Sequence[Part], how: How) -> tuple[str, ...]:
    said = []
    if how == "added to":
        said.append("There will be more than the water you began with.")
    for part in parts:
        if part.substance.which:
            kinds = " or ".join(
                kind.removeprefix(part.substance.name).strip() for kind in part.substance.which
            )
            said.append(
                f"{part.substance.name.capitalize()}: {kinds} is not said; they differ in strength,"
                " so keep to one."
            )
    return tuple(said)


def _worked(part: Part, whole: _Finished) -> str:
    """The line that says how one amount follows."""
    measure, name = part.measure, part.substance.name
    if not isinstance(measure, Strength):
        return f"{name}: {measure} as said"
    litres = "V" if whole.litres is None else f"{rounded(whole.litres, 4)} l"
    if measure.basis == "mol/l":
        mass = part.substance.chemical().molar_mass()
        return f"{name}: {measure.value} mol/l · {mass} g/mol · {litres}"
    if measure.basis == "v/v":
        return f"{name}: {measure.value} ml in 100 ml · {litres}"
    if measure.basis == "w/w" and whole.grams is not None:
        return f"{name}: {measure.value} g in 100 g · {rounded(whole.grams, 1)} g of solution"
    grams = per_litre(part) or Fraction(0)
    return f"{name}: {rounded(grams, 3)} g/l · {litres}"
