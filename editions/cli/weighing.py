"""How a solution is told: what to weigh, what to measure, what to beware of."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from editions.cli import output
from editions.rules.explaining import rounded

if TYPE_CHECKING:
    from editions.rules.solutions.mixing import Portion, Solution
    from editions.rules.solutions.scaling import Cost, LayerMix
    from editions.rules.solutions.substances import Substance

_OUNCE = Decimal("28.349523125")  # grams: a sixteenth of the pound of 1959


def tell(made: Solution, priced: Cost | None) -> None:
    """Print a solution: how it is made, a line a substance, the cost; the rest goes to stderr."""
    prices = dict(priced.lines) if priced else {}
    rows = [(*_portion_row(one), prices.get(one.name)) for one in made.portions]
    output.line(f"{made.how} {made.volume}{' of water' if made.how == 'added to' else ''}")
    columns = ("what", "wanted", "weigh", "measure", "w/v", "mol/l", "cost")
    output.table(rows, columns)
    tell_cost(priced)
    for remark in made.remarks:
        output.remarked(remark)
    for hazard in made.hazards:
        output.say(f"hazards: {hazard}")


def tell_cost(priced: Cost | None) -> None:
    """Print a sum, and say what it leaves out; nothing where no price was given."""
    if priced is None:
        return
    output.line(f"cost {priced.total}, of what has a price")
    if priced.unpriced:
        output.remarked(f"No price is given of {', '.join(priced.unpriced)}.")


def _portion_row(one: Portion) -> tuple[object, ...]:
    return (
        f"{one.name}, {one.formula}" if one.formula not in ("", one.name) else one.name,
        one.wanted,
        None if one.grams is None or one.millilitres is not None else _weight(one, one.grams),
        None if one.millilitres is None else f"{one.millilitres} ml",
        None if one.percent_w_v is None else f"{_fit(one.percent_w_v)} %",
        one.mol_l,
    )


def layer_rows(layer: LayerMix) -> list[tuple[object, ...]]:
    """Return a layer's rows, one a substance; or one that says why it is not worked out."""
    if layer.solution is None:
        return [(layer.layer, layer.words, f"not worked out: {layer.why_not}", None, layer.heat)]
    rows = [_portion_row(one) for one in layer.solution.portions]
    return [(layer.layer, row[0], row[2], row[3], layer.heat) for row in rows]


def topics(of: list[Substance]) -> list[str]:
    """The cautions that these substances ask for."""
    families = {family for one in of for family in one.families}
    topics = ["acids and salts"]
    if "sulfide" in families:
        topics.append("sulfide fumes")
    if families & {"ammonia", "ammonium"}:
        topics.append("ammonia fumes")
    return topics


def _weight(one: Portion, grams: Decimal) -> str:
    """A weight in grams, and in ounces too where it was asked for so."""
    own = f" ({_fit(grams / _OUNCE)} oz)" if "oz" in one.wanted or "lb" in one.wanted else ""
    return f"{_fit(grams)} g{own}"


def _fit(number: Decimal) -> str:
    """A figure with three places at most, and no idle zeros."""
    text = str(rounded(number, 3))
    return text.rstrip("0").rstrip(".")
