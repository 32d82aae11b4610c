"""What melting takes of each element: per cent of what was charged, with its range.

A loss is typed as ``Zn=4``, or with its range as ``Zn=3..5``, the middle of which is expected.

>>> write_loss(read_loss("zn=3..5"))
'Zn=3..5'
>>> published()["Zn"].usual
Decimal('3')
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal

from editions.errors import Unreadable
from editions.rules.alloys.analysis import read_element
from editions.rules.explaining import Figures
from editions.trade.text import shown

_MEMORY = "common ranges, from memory, medium to low confidence"
_TYPED = re.compile(
    r"(?P<element>[A-Za-z]{1,2})=(?P<low>[0-9]{1,3}(?:\.[0-9]{1,4})?)"
    r"(?:\.\.(?P<high>[0-9]{1,3}(?:\.[0-9]{1,4})?))?%?"
)


class Loss(Figures, frozen=True, kw_only=True):
    """What melting takes of one element, per cent of what was charged of it."""

    element: str
    low: Decimal
    usual: Decimal
    high: Decimal
    source: str

    @property
    def kept(self) -> Decimal:
        """The share that stays in the melt, as a rule."""
        return 1 - self.usual / 100

    @property
    def least_kept(self) -> Decimal:
        """The share that stays at the highest loss."""
        return 1 - self.high / 100

    @property
    def most_kept(self) -> Decimal:
        """The share that stays at the lowest loss."""
        return 1 - self.low / 100


def loss(element: str, low: str | Decimal, high: str | Decimal, source: str) -> Loss:
    """Return a loss whose expected figure is the middle of its range."""
    bottom, top = Decimal(low), Decimal(high)
    usual = (bottom + top) / 2
    return Loss(element=element, low=bottom, usual=usual, high=top, source=source)


_PUBLISHED = (
    loss("Cu", "0.5", "0.5", "published heating loss of copper (seen)"),
    loss("Zn", "1", "5", _MEMORY),
    loss("Si", "2", "5", _MEMORY),
    loss("Mn", "3", "5", _MEMORY),
    loss("Al", "1", "3", _MEMORY),
    loss("Sn", "0.5", "1", _MEMORY),
    loss("Pb", "0.5", "1", _MEMORY),
    loss("Ni", "0", "0", _MEMORY),
    loss("Fe", "0", "0", _MEMORY),
)


def published() -> dict[str, Loss]:
    """Return the losses to expect where a foundry knows none of its own; of others, nothing."""
    return {one.element: one for one in _PUBLISHED}


def with_own(own: Iterable[Loss]) -> dict[str, Loss]:
    """Return the published losses with those that the foundry knows better."""
    return published() | {one.element: one for one in own}


def of(losses: Mapping[str, Loss], element: str) -> Loss:
    """Return the loss of an element; nothing is lost of one that is not named."""
    return losses.get(element) or loss(element, "0", "0", "conserved")


def read_loss(text: str) -> Loss:
    """Read a loss as typed.

    Raises:
        Unreadable: No element, no figure, all of it or more lost, or a range that runs backwards.
    """
    found = _TYPED.fullmatch("".join(text.split()))
    if not found:
        raise Unreadable(f"{shown(text)} is not a loss.", "Write Zn=4 or Zn=3..5, in per cent.")
    element = read_element(found["element"])
    read = loss(element, found["low"], found["high"] or found["low"], "as given")
    if read.high >= 100:
        raise Unreadable(f"{element} would be lost whole.", "A loss is below 100 per cent.")
    if read.low > read.high:
        raise Unreadable(f"{shown(text)} runs backwards.", "Write the lower loss first.")
    return read


def write_loss(one: Loss) -> str:
    """Return a loss as it is typed; the inverse of :func:`read_loss`."""
    ends = f"{one.low}" if one.low == one.high else f"{one.low}..{one.high}"
    return f"{one.element}={ends}"
