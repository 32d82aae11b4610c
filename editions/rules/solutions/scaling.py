"""A recipe over a surface: how much of each layer's solution, what goes into it, what it costs.

The room learns its own spread: how many millilitres a coat took on a surface it measured once.
Volume = area · coats · spread.

>>> layer = Layer(solution="ferric nitrate", strength="5 % w/v", heat="350 °F")
>>> scaled = scale([layer], read_area("0.8 m2"), read_spread("60 ml/m2"), coats=3)
>>> str(scaled.millilitres), str(scaled.layers[0].solution.portions[0].grams)
('144.0', '7.200')
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from editions.errors import BronzebookError, Refused, Unreadable
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import Area, read_area
from editions.rules.solutions.mixing import Solution, mix
from editions.rules.solutions.parts import Part, read_measure
from editions.rules.solutions.strengths import read_number
from editions.rules.solutions.substances import mentioned, substance
from editions.rules.solutions.together import clashes, refuse_clashes
from editions.rules.solutions.volumes import read_volume
from editions.trade.colour import Layer
from editions.trade.quantities import Quantity, read_quantity
from editions.trade.text import shown

_SPREAD = re.compile(r"(?P<volume>.+?)\s*(?:/|per|a)\s*(?P<area>\S+(?: m| ft)?)")
_SQUARE_METRE = 10_000  # cm²
_PRICE = re.compile(r"(?P<price>[-+0-9.,]+)\s*(?:/|per|for)\s*(?P<lot>.+)")
_JOINED = re.compile(r"\s*(?:\+|&|\band\b)\s*")


class LayerMix(Figures, frozen=True, kw_only=True):
    """One layer: its number and words, and its solution, or why that cannot be worked out."""

    layer: int
    words: str
    heat: str
    solution: Solution | None
    why_not: str = ""


class Scaled(Explained, frozen=True, kw_only=True):
    """A recipe over a surface: millilitres of each layer's solution, and its amounts."""

    area_m2: Decimal
    millilitres: Decimal
    layers: tuple[LayerMix, ...]
    remarks: tuple[str, ...]


class Cost(Explained, frozen=True, kw_only=True):
    """What solutions cost: name and price of each, the sum, and what has no price here."""

    lines: tuple[tuple[str, Decimal], ...]
    total: Decimal
    unpriced: tuple[str, ...]


def read_spread(text: str) -> Fraction:
    """Read how much a coat takes, as ml a square metre: ``60 ml/m2``.

    Raises:
        Unreadable: Not a volume a surface.
    """
    found = _SPREAD.fullmatch(" ".join(text.split()))
    if found is None:
        raise Unreadable(
            f"{shown(text)} does not say how much a coat takes.", "Write it as 60 ml/m2."
        )
    volume = read_volume(found["volume"]).exact() * 1000
    return volume / (read_area(f"1 {found['area']}").exact() / _SQUARE_METRE)


def scale(layers: Sequence[Layer], area: Area, spread: Fraction, coats: int = 1) -> Scaled:
    """Return what each layer of a recipe takes over a surface.

    Args:
        layers: The layers, in order.
        area: The surface.
        spread: How much one coat takes, in ml a m².
        coats: How many coats of each layer.

    Raises:
        Refused: No layer, no coat, or a layer of what may not meet.
    """
    if not layers or coats < 1:
        raise Refused("There is nothing to scale.", "Give layers, and at least one coat.")
    square = area.exact() / _SQUARE_METRE
    volume = square * coats * spread
    finished = Quantity(str(rounded(volume, 2)), "ml")
    worked = f"{rounded(square, 4)} m² · {coats} coats · {rounded(spread, 1)} ml/m²"
    return Scaled(
        area_m2=rounded(square, 4),
        millilitres=rounded(volume, 1),
        layers=tuple(_layer(n, layer, finished) for n, layer in enumerate(layers, 1)),
        remarks=_between(layers),
        formula=(f"{worked} = {rounded(volume, 1)} ml of each layer's solution",),
        sources=("how much a coat takes is the room's own figure; common practice, no source",),
    )


def cost(solutions: Sequence[Solution], prices: Mapping[str, str]) -> Cost:
    """Return what solutions cost together.

    Args:
        solutions: The amounts of each.
        prices: By substance's name, as ``18.50/500 g`` or ``9/l``, in one currency.

    Raises:
        Unreadable: A price that cannot be read.
    """
    known = {substance(name).name: _price(text) for name, text in prices.items()}
    lines, unpriced = [], []
    for portion in (portion for solution in solutions for portion in solution.portions):
        grams, by_volume = portion.grams, portion.millilitres
        price, dimension = known.get(portion.name, (Fraction(0), ""))
        amount = by_volume if dimension == "volume" else grams
        if amount is None or not dimension:
            unpriced.append(portion.name)
        else:
            lines.append((portion.name, rounded(Fraction(amount) / 1000 * price, 2)))
    return Cost(
        lines=tuple(lines),
        total=sum((price for _, price in lines), Decimal(0)),
        unpriced=tuple(dict.fromkeys(unpriced)),
        formula=("amount · price a kg or a litre, each line rounded to a hundredth",),
        sources=("prices as given",),
    )


def _price(text: str) -> tuple[Fraction, str]:
    """The price of a kilogram or a litre, and which of the two."""
    found = _PRICE.fullmatch(" ".join(text.split()))
    if found is None:
        raise Unreadable(f"{shown(text)} is not a price.", "Write it as 18.50/500 g, or 9/1 l.")
    lot = found["lot"] if found["lot"][:1].isdigit() else f"1 {found['lot']}"
    dimension: Literal["mass", "volume"] = "volume" if lot[-1:] in "lL" else "mass"
    bought = read_quantity(lot, dimension).exact()
    if bought == 0:
        raise Unreadable(f"{shown(text)} is the price of nothing.", "Write it as 18.50/500 g.")
    return Fraction(read_number(found["price"], text)) / bought, dimension


def _layer(number: int, layer: Layer, finished: Quantity) -> LayerMix:
    words = "; ".join(filter(None, (layer.solution, layer.strength, layer.method)))
    # What may not meet is no gap in the recipe to be passed over: it refuses the whole.
    refuse_clashes(mentioned(layer.solution))
    try:
        parts = read_layer_parts(layer)
        made = mix(parts, finished)
    except BronzebookError as fault:
        return LayerMix(
            layer=number, words=words, heat=layer.heat, solution=None, why_not=fault.message
        )
    return LayerMix(layer=number, words=words, heat=layer.heat, solution=made)


def read_layer_parts(layer: Layer) -> list[Part]:
    """Return what a layer is mixed of: ``a + b`` at ``4 % w/v each``, or a strength for each.

    Raises:
        Unreadable: A substance or a strength that cannot be read, or not a strength for each.
    """
    names = _JOINED.split(layer.solution)
    said = layer.strength.strip()
    strengths = [s for s in _JOINED.split(said.removesuffix("each").strip()) if s]
    if len(strengths) == 1 and (said.endswith("each") or len(names) == 1):
        strengths *= len(names)
    if len(strengths) != len(names):
        raise Unreadable(
            f"{shown(layer.solution)} at {shown(layer.strength)} does not say how strong.",
            "Write a strength: 5 % w/v; for several, 4 % w/v each.",
        )
    return [
        Part(substance=substance(name), measure=read_measure(strength))
        for name, strength in zip(names, strengths, strict=True)
    ]


def _between(layers: Sequence[Layer]) -> tuple[str, ...]:
    """What may not meet between one layer and another: in a brush, a bucket, a rinse."""
    spoken = [one for layer in layers for one in mentioned(layer.solution)]
    return tuple(
        f"Never in one vessel, and rinse between the layers: {clash}" for clash in clashes(spoken)
    )
