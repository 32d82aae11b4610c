"""What lies on the floor: ingot lots, returns and additions, with their analyses.

A lot has a stock in kg, or none where it is bought as needed, and a price for a kg, or none.  A
file of the floor is a file of analyses (:mod:`editions.rules.alloys.reports`) with the columns
``kind``, ``mass`` and ``price`` before its elements::

    lot,kind,mass,price,Cu,Si,Mn,Fe,Zn,Pb
    881,ingot,250 kg,9.20,94.60,4.10,1.10,.08,.05,.01
    26-014,returns,80 kg,0,94.90,3.70,.95,.15,.10,.03
    silicon,addition,5 kg,4.50,,98.5,,.5,,
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from editions.errors import Refused, Unreadable
from editions.rules.alloys.reports import Report, read_sheet
from editions.rules.charge.melt import Part, Source, complete
from editions.rules.explaining import Figures
from editions.trade.quantities import Quantity, decimal_text, read_quantity
from editions.trade.text import shown

_KINDS: dict[str, Source] = {
    "ingot": "ingot",
    "ingots": "ingot",
    "return": "returns",
    "returns": "returns",
    "addition": "addition",
    "additions": "addition",
}
_PRICE = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,6})?")


class Lot(Figures, frozen=True, kw_only=True):
    """Metal that can be charged: its stock in kg and price for a kg, None where not limited."""

    name: str
    source: Source
    figures: dict[str, str]
    stock: Decimal | None = None
    price: Decimal | None = None

    def part(self, mass: Decimal) -> Part:
        """Return so much of it, in kg, as a part of a charge.

        Raises:
            Unreadable: Its certificate is not a full analysis.
        """
        return complete(Part(name=self.name, source=self.source, mass=mass, figures=self.figures))


def kilograms(mass: Quantity) -> Decimal:
    """Return a mass in kg, to the milligram."""
    return in_kilograms(mass.exact())


def in_kilograms(exact: Fraction) -> Decimal:
    """Return an exact mass in kg as a decimal, to the milligram."""
    return Decimal(round(exact * 1_000_000)).scaleb(-6)


def as_quantity(kilograms_: Decimal) -> Quantity:
    """Return a mass in kg as a quantity, to the milligram."""
    return Quantity(decimal_text(Fraction(kilograms_), 6), "kg")


def read_floor(text: str, *, decimal_comma: bool = False) -> tuple[Lot, ...]:
    """Read a file of the floor.

    Raises:
        FileUnusable: The file is no table of analyses.
        Unreadable: A figure, a kind, a mass or a price that cannot be read.
    """
    return tuple(lot_of_report(one) for one in read_sheet(text, decimal_comma=decimal_comma))


def read_price(name: str, text: str) -> Decimal:
    """Return the price of a kg of a lot.

    Raises:
        Unreadable: Not a plain figure.
    """
    if not _PRICE.fullmatch(text):
        raise Unreadable(
            f"{name} has the price {shown(text)}.", "Give the figure for a kg alone: 9.20."
        )
    return Decimal(text)


def in_stock(parts: Iterable[Part], lots: Iterable[Lot]) -> None:
    """Check that no lot is used beyond its stock, however often it is named.

    Raises:
        Refused: A lot is; how much there is and how much is wanted are said.
    """
    stocks = {lot.name: lot.stock for lot in lots}
    wanted: dict[str, Decimal] = {}
    for part in parts:
        wanted[part.name] = wanted.get(part.name, Decimal(0)) + part.mass
        stock = stocks.get(part.name)
        if stock is not None and wanted[part.name] > stock:
            raise Refused(
                f"{part.name} has {_plain(stock)} kg in stock; the charge takes"
                f" {_plain(wanted[part.name])} kg.",
                "Take less, or weigh the stock again.",
            )


def lot_of_report(report: Report) -> Lot:
    """Return a row of the file as a lot.

    Raises:
        Unreadable: Its kind, mass or price cannot be read.
    """
    said = report.more.get("kind", "ingot").casefold()
    if said not in _KINDS:
        raise Unreadable(
            f"{shown(report.name)} is of kind {shown(said)}.", "Say ingot, returns or addition."
        )
    return Lot(
        name=report.name,
        source=_KINDS[said],
        figures=report.figures,
        stock=_mass(report.name, report.more.get("mass")),
        price=_price(report.name, report.more.get("price")),
    )


def _mass(name: str, text: str | None) -> Decimal | None:
    """Read a lot's stock."""
    if text is None:
        return None
    try:
        return kilograms(read_quantity(text, "mass"))
    except Unreadable as fault:
        raise Unreadable(f"{name}: {fault.message}", fault.remedy) from None


def _price(name: str, text: str | None) -> Decimal | None:
    """Read a lot's price for a kg."""
    return None if text is None else read_price(name, text)


def _plain(number: Decimal) -> str:
    """Return a number without the zeros at its end."""
    return f"{number.normalize():f}"
