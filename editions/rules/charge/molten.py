"""The melt in the crucible, and what it is after something was added to it.

The sample is taken after the melt's own losses; only what is added loses more.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from editions.errors import Unreadable
from editions.rules.charge.losses import Loss
from editions.rules.charge.melt import Expected, Part, expected
from editions.rules.charge.stock import Lot
from editions.rules.explaining import Figures


class Melt(Figures, frozen=True, kw_only=True):
    """What is in the crucible: kg, and its sample's analysis by per cent as reported."""

    mass: Decimal
    figures: dict[str, str]


def sound(melt: Melt) -> None:
    """Refuse a melt that is none.

    Raises:
        Unreadable: It weighs nothing.
    """
    if melt.mass <= 0:
        raise Unreadable(f"A melt of {melt.mass} kg is none.", "Weigh it, or reckon it: 99.8 kg.")


def after(melt: Melt, used: Sequence[tuple[Lot, Decimal]], losses: Mapping[str, Loss]) -> Expected:
    """Return the melt after the additions, kg of each lot: they lose, the melt does not."""
    there = Part(name="the melt", source="returns", mass=melt.mass, figures=melt.figures)
    return expected([lot.part(mass) for lot, mass in used], losses, molten=there)
