"""What the book knows of metal: alloys, lots, analyses of heats, and the losses its heats tell.

Nothing here needs a registry: where none is named and none lies in the folder, the book knows
nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from typing import TYPE_CHECKING

from editions.errors import NotKnown, RegistryUnusable

if TYPE_CHECKING:
    from editions.cli.desk import Desk
    from editions.registry import Reading
    from editions.rules.alloys import Alloy
    from editions.rules.charge.learned import Learned, PastHeat
    from editions.rules.charge.melt import Part, Source
    from editions.rules.charge.stock import Lot
    from editions.trade.heats import ChargeLine, Heat


@contextmanager
def if_there(desk: Desk) -> Iterator[Reading | None]:
    """A moment of the book, or None where there is no registry."""
    if desk.sheet is None and not _somewhere(desk):
        yield None
        return
    with desk.reading() as reading:
        yield reading


def alloy_meant(desk: Desk, name: str, edition: str | None = None) -> Alloy:
    """An alloy by its published name, or one of the foundry's own where there is a book.

    Raises:
        Unreadable: If nobody holds limits of that name.
    """
    from editions.rules.alloys.own import NoBook, find_alloy

    with if_there(desk) as reading:
        return find_alloy(name, reading or NoBook(), edition)


def lot_known(desk: Desk, source: Source, name: str, figures: dict[str, str] | None) -> Lot:
    """Something that can be charged, with its analysis as given or as the book has it.

    Raises:
        NotKnown: If nobody says what it is made of.
    """
    from editions.rules.charge.stock import Lot

    if figures is not None:
        return Lot(name=name, source=source, figures=figures)
    with if_there(desk) as reading:
        found = None if reading is None else _in_book(reading, source, name)
    if found is None:
        raise NotKnown(
            f"What {name} is made of is not known.",
            f"Give --analysis '{name}: Cu=94.60 …', a file with --floor, or enter it in the book.",
        )
    return found


def learned(desk: Desk) -> Learned:
    """The losses that the heats of the book tell; none where there is no book."""
    from editions.rules.charge.learned import learn
    from editions.rules.charge.losses import published

    with if_there(desk) as reading:
        return learn([] if reading is None else past_heats(reading), published())


def past_heats(reading: Reading) -> list[PastHeat]:
    """The heats of the book that were analysed and whose charge is known part by part."""
    from editions.rules.charge.learned import PastHeat
    from editions.rules.charge.stock import kilograms
    from editions.trade.heats import Heat

    found = []
    for heat in reading.all_of(Heat):
        parts = parts_of(reading, heat)
        if heat.percentages and parts:
            melt = None if heat.melt is None else kilograms(heat.melt)
            found.append(
                PastHeat(number=heat.number, parts=parts, analysed=heat.percentages, melt=melt)
            )
    return found


def parts_of(reading: Reading, heat: Heat) -> tuple[Part, ...] | None:
    """The charge of a heat as parts; None where a mass or an analysis is not in the book."""
    parts = [_part(reading, line) for line in heat.charge]
    known = [part for part in parts if part is not None]
    return tuple(known) if known and len(known) == len(parts) else None


def _somewhere(desk: Desk) -> bool:
    try:
        desk.place()
    except RegistryUnusable:
        return False
    return True


def _in_book(reading: Reading, source: Source, name: str) -> Lot | None:
    from editions.registry.acts.metal import lot_named
    from editions.registry.acts.typed import heat_of
    from editions.rules.charge.stock import Lot

    if source == "returns":
        heat = heat_of(reading, name)
        if not heat.percentages:
            raise NotKnown(f"Heat {heat.number} was not analysed.", "Enter its analysis first.")
        return Lot(name=heat.number, source=source, figures=heat.percentages)
    lot = lot_named(reading, name)
    if lot is None:
        return None
    return Lot(
        name=lot.name,
        source=source,
        figures=lot.percentages,
        stock=left_in_kilograms(reading, lot.code),
    )


def left_in_kilograms(reading: Reading, code: str) -> Decimal | None:
    """What is left of a lot; None where what came in was not weighed."""
    from editions.rules.charge.stock import in_kilograms
    from editions.rules.judging.lots import left_of
    from editions.trade.heats import Heat
    from editions.trade.metal import Lot

    took = reading.linked("charged from", code)
    left = left_of(reading.get(code, Lot), tuple(x for x in took if isinstance(x, Heat)))
    return None if left is None else max(in_kilograms(left), Decimal(0))


def _part(reading: Reading, line: ChargeLine) -> Part | None:
    from editions.rules.charge.melt import Part
    from editions.rules.charge.stock import kilograms

    figures = _figures(reading, line)
    if line.mass is None or not figures:
        return None
    return Part(
        name=line.name, source=line.source, mass=kilograms(line.mass), figures=dict(figures)
    )


def _figures(reading: Reading, line: ChargeLine) -> Mapping[str, str]:
    from editions.trade.heats import Heat
    from editions.trade.metal import Lot

    if line.heat is not None:
        return reading.get(line.heat, Heat).percentages
    if line.lot is not None:
        return reading.get(line.lot, Lot).percentages
    return {}
