"""An alloy's limits as rows of a linear programme: what must be at most or at least how much.

A *row* says that some elements together are at most or at least a share of the melt.  The guard
band pulls every limit inwards by a share of its width, because the cheapest charge otherwise lies
on the limits themselves; a limit with one end has its width to nothing, or to 100.

>>> from editions.rules.alloys import load_alloy
>>> rows = rows_of(load_alloy("C87600"), guard=Decimal(10))
>>> [row.says for row in rows if row.name == "Zn"]
['Zn at most 6.7', 'Zn at least 4.3']
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from editions.errors import Unreadable
from editions.rules.alloys.judge import SUM, read_edition
from editions.rules.alloys.model import Alloy, Limit
from editions.rules.explaining import Figures

# Of a limit's width; ours, no source.
GUARD = Decimal(5)

End = Literal["at most", "at least"]


class Row(Figures, frozen=True, kw_only=True):
    """Elements that together are at most or at least ``bound`` per cent of the melt.

    ``limit`` is the bound without its guard band, ``width`` how far apart the limit's ends lie.
    """

    name: str
    elements: tuple[str, ...]
    end: End
    bound: Decimal
    limit: Decimal
    width: Decimal

    @property
    def says(self) -> str:
        """The row in words."""
        bound = self.limit if self.bound == self.limit else self.bound.normalize()
        return f"{self.name} {self.end} {bound:f}"


def rows_of(alloy: Alloy, *, edition: str | None = None, guard: Decimal = GUARD) -> list[Row]:
    """Return the rows of an alloy's limits, and of its sum.

    Args:
        alloy: The alloy.
        edition: Which edition of its limits; the newest where None.
        guard: How far to keep from each limit, per cent of its width.

    Raises:
        Unreadable: No such edition, or a guard band that leaves nothing between the limits.
    """
    if not 0 <= guard < 50:
        raise Unreadable(f"A guard band of {guard} % is none.", "Give 0 or more, below 50.")
    limits = alloy.limits_in(read_edition(alloy, edition))
    found = [row for limit in limits for row in _rows(alloy, limit, limits, guard / 100)]
    if alloy.sum_rule:
        named = [limit for limit in limits if limit.element in alloy.sum_rule.elements]
        every = tuple(dict.fromkeys(x for limit in named for x in _counted(limit)))
        width = 100 - Decimal(alloy.sum_rule.low)
        found.append(_least(SUM, every, Decimal(alloy.sum_rule.low), width, guard / 100))
    return found


def _rows(alloy: Alloy, limit: Limit, limits: tuple[Limit, ...], guard: Decimal) -> list[Row]:
    """Return the rows of one limit."""
    counted, width = _counted(limit), limit.ceiling - limit.floor
    found = []
    if limit.high is not None:
        found.append(_most(limit.element, counted, limit.ceiling, width, guard))
    if limit.low is not None:
        helped, name = counted, limit.element
        if limit.element == "Cu" and alloy.copper_plus_nickel:
            nickel = next(x for x in limits if x.element == "Ni")
            helped, name = (*counted, *_counted(nickel)), "Cu + Ni"
        found.append(_least(name, helped, limit.floor, width, guard))
    return found


def _counted(limit: Limit) -> tuple[str, ...]:
    """Return the element limited and those counted with it."""
    return (limit.element, *limit.includes)


def _most(
    name: str, elements: tuple[str, ...], limit: Decimal, width: Decimal, guard: Decimal
) -> Row:
    bound = limit - guard * width
    return Row(name=name, elements=elements, end="at most", bound=bound, limit=limit, width=width)


def _least(
    name: str, elements: tuple[str, ...], limit: Decimal, width: Decimal, guard: Decimal
) -> Row:
    bound = limit + guard * width
    return Row(name=name, elements=elements, end="at least", bound=bound, limit=limit, width=width)
