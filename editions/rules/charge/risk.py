"""Which limits a melt may yet leave, its losses being what they are within their ranges."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from editions.rules.alloys.analysis import round_to
from editions.rules.charge.melt import Expected
from editions.rules.charge.rows import Row


def at_risk(melt: Expected, rows: Iterable[Row]) -> tuple[str, ...]:
    """Return a remark for each limit that holds at the usual losses and may fail at others.

    Args:
        melt: What is expected.
        rows: The limits, without a guard band.
    """
    remarks = []
    known = {one.element: one for one in melt.elements}
    for row in rows:
        # Of a sum the losses of all elements move together, and the rest hardly at all.
        named = [known[x] for x in row.elements if x in known]
        if len(row.elements) > 3 or not named:
            continue
        usual = sum((one.percent for one in named), Decimal(0))
        if row.end == "at most":
            worst = sum((one.high for one in named), Decimal(0))
            risky = usual <= row.limit < _rounded(worst, row.limit)
        else:
            worst = sum((one.low for one in named), Decimal(0))
            risky = _rounded(worst, row.limit) < row.limit <= usual
        if risky:
            way = "rise" if row.end == "at most" else "fall"
            remarks.append(
                f"{row.name} may {way} to {worst} within its range; the limit is {row.limit}."
            )
    return tuple(remarks)


def _rounded(number: Decimal, limit: Decimal) -> Decimal:
    """Return a number to the last place of a limit, as it will be judged."""
    return round_to(number, len(str(limit).partition(".")[2]))
