"""How melts, charges and what stands in their way are printed, in the shop's own unit."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from editions.cli import output

if TYPE_CHECKING:
    from editions.rules.alloys.judge import Judgement
    from editions.rules.charge.melt import Expected
    from editions.rules.charge.plan import Charged, Obstacle

_PLACES = {"kg": 3, "lb": 3, "g": 0, "oz": 1}


def mass(kilograms: Decimal, unit: str) -> str:
    """A mass as the floor's scale shows it, in the shop's unit: ``132.28 lb``, ``0.208 kg``."""
    from editions.rules.charge.stock import as_quantity

    finest = stock_mass(kilograms, unit)
    if unit not in ("kg", "lb") or Decimal(finest.split()[0]) < 1:
        return finest
    # Rounded from the figure itself, never from one that was rounded before.
    return f"{as_quantity(kilograms).to(unit, 2)} {unit}"


def stock_mass(kilograms: Decimal, unit: str) -> str:
    """A mass as the stock is kept, to be typed in: ``132.277 lb``."""
    from editions.rules.charge.stock import as_quantity

    return f"{as_quantity(kilograms).to(unit, _PLACES[unit])} {unit}"


def charge(
    lines: Sequence[Charged], unit: str, *, title: str = "charge", first: bool = False
) -> None:
    """The table of what to charge."""
    rows = [
        (
            line.source,
            line.name,
            mass(line.mass, unit),
            None if line.left is None else mass(line.left, unit),
            None if line.cost is None else f"{line.cost}",
        )
        for line in lines
    ]
    if rows:
        output.block(title, rows, ("from", "what", "mass", "left", "cost"), first=first)


def melt(
    expected: Expected,
    judged: Judgement | None,
    *,
    title: str = "expected",
    first: bool = False,
) -> None:
    """The analysis to expect, against the limits where an alloy was named."""
    output.block(title, _melt_rows(expected, judged), _melt_columns(judged), first=first)


def totals(expected: Expected, judged: Judgement | None, unit: str) -> list[tuple[str, object]]:
    """What is said of a melt in a few lines."""
    return [
        ("charged", mass(expected.charged, unit)),
        ("melt", f"{mass(expected.melt, unit)}, {expected.loss_percent:.2f} % lost"),
        ("verdict", "" if judged is None else verdict(judged)),
    ]


def verdict(judged: Judgement) -> str:
    """A verdict with the specification that it was reached by."""
    named = judged.edition in judged.specification
    by = judged.specification if named else f"{judged.specification}, {judged.edition}"
    return f"{judged.verdict} ({by})"


def findings(judged: Judgement, *, first: bool = True) -> None:
    """The table of an analysis against its limits."""
    rows = [(x.element, x.value, x.limit, x.says) for x in judged.findings]
    output.block("analysis", rows, ("element", "per cent", "limit", "finding"), first=first)


def in_the_way(obstacles: Sequence[Obstacle]) -> None:
    """The table of what stands in the way."""
    rows = [(x.says, x.reached, x.by) for x in obstacles]
    output.block("in the way", rows, ("limit", "reached", "off by"))


def _melt_columns(judged: Judgement | None) -> tuple[str, ...]:
    return ("element", "per cent", "range", *(("limit", "finding") if judged else ()))


def _melt_rows(expected: Expected, judged: Judgement | None) -> list[tuple[object, ...]]:
    ranges = {x.element: _range(x.low, x.high) for x in expected.elements}
    if judged is None:
        return [(x.element, x.percent, ranges[x.element]) for x in expected.elements]
    return [(x.element, x.value, ranges.get(x.element), x.limit, x.says) for x in judged.findings]


def _range(low: Decimal, high: Decimal) -> str | None:
    return None if low == high else f"{low} to {high}"
