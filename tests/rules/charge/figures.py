"""Charges that several tests reckon with, in the figures of the foundry's known answers."""

from __future__ import annotations

from decimal import Decimal

from editions.rules.charge.losses import Loss, loss
from editions.rules.charge.melt import Part, Source
from editions.rules.charge.stock import Lot


def analysis(text: str) -> dict[str, str]:
    """An analysis typed as ``Cu 94.60 Si 4.10``."""
    words = text.split()
    return dict(zip(words[::2], words[1::2], strict=True))


def part(name: str, mass: str, text: str, source: Source = "ingot") -> Part:
    return Part(name=name, source=source, mass=Decimal(mass), figures=analysis(text))


def given(**percent: str) -> dict[str, Loss]:
    """Losses without a range."""
    return {element: loss(element, x, x, "given") for element, x in percent.items()}


def lot(
    name: str,
    text: str,
    *,
    stock: str | None = None,
    price: str | None = None,
    source: Source = "ingot",
) -> Lot:
    return Lot(
        name=name,
        source=source,
        figures=analysis(text),
        stock=None if stock is None else Decimal(stock),
        price=None if price is None else Decimal(price),
    )


# Known answer 2: 60 kg ingot, 40 kg returns, .5 kg silicon.
CHARGE = (
    part("LOT 881", "60", "Cu 94.60 Si 4.10 Mn 1.10 Fe .08 Zn .05 Pb .01"),
    part("26-014", "40", "Cu 94.90 Si 3.70 Mn .95 Fe .15 Zn .10 Pb .03", "returns"),
    part("silicon", ".5", "Si 98.5 Fe .5", "addition"),
)
LOSSES = given(Cu=".5", Si="4", Mn="5", Zn="3", Pb="1", Fe="0")

FLOOR = (
    lot("LOT 881", "Cu 94.60 Si 4.10 Mn 1.10 Fe .08 Zn .05 Pb .01", stock="250", price="9.20"),
    lot(
        "26-014",
        "Cu 94.90 Si 3.70 Mn .95 Fe .15 Zn .10 Pb .03",
        stock="80",
        price="0",
        source="returns",
    ),
    lot("copper", "Cu 99.9", stock="50", price="8.10", source="addition"),
    lot("silicon", "Si 98.5 Fe .5", stock="5", price="4.50", source="addition"),
    lot("manganese", "Mn 99.0 Fe .5", stock="5", price="4.50", source="addition"),
)
