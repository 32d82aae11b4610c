"""Stations of two bronzes as people write them: in words, ``tail=300mm:292.6mm``, or in a CSV file.

>>> mine, theirs = typed_stations(["tail=300mm:292.6mm/with", "beak=204.5mm"])
>>> [str(one.length) for one in mine], str(theirs[0].length), theirs[0].base
(['292.6 mm', '204.5 mm'], '300 mm', 'with')
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from editions.errors import Unreadable
from editions.trade.statement import Station
from editions.trade.stations import read_station
from editions.trade.text import shown

if TYPE_CHECKING:
    from editions.exchange.rows import Row


def typed_stations(words: list[str]) -> tuple[tuple[Station, ...], tuple[Station, ...]]:
    """Stations as typed: of the bronze, and of the reference where both lengths are given."""
    mine: list[Station] = []
    theirs: list[Station] = []
    for word in words:
        name, _, rest = word.partition("=")
        before, colon, after = rest.partition(":")
        bronze = read_station(f"{name}={after if colon else rest}")
        reference = read_station(f"{name}={before}") if colon else None
        if reference is not None:
            bronze, reference = _of_one_base(bronze, reference)
            theirs.append(reference)
        mine.append(bronze)
    _refuse_twice(mine)
    return tuple(mine), tuple(theirs)


def _of_one_base(bronze: Station, reference: Station) -> tuple[Station, Station]:
    """Both lengths of a pair, with the base that either says.

    Raises:
        Unreadable: If one was measured with its base and the other without.
    """
    said = {bronze.base, reference.base} - {""}
    if len(said) > 1:
        raise Unreadable(
            f"{shown(bronze.name)} is measured {reference.base} base on the reference and"
            f" {bronze.base} on the bronze.",
            "Measure both alike.",
        )
    base = said.pop() if said else ""
    return replace(bronze, base=base), replace(reference, base=base)


def _refuse_twice(stations: list[Station]) -> None:
    names = [(station.name.casefold(), station.base) for station in stations]
    for name in names:
        if names.count(name) > 1:
            raise Unreadable(f"{shown(name[0])} is given twice.", "Give each station once.")


def stations_in_file(place: str) -> tuple[tuple[Station, ...], tuple[Station, ...]]:
    """Stations of both from a CSV file, a row each: columns ``station``, ``reference``, ``bronze``.

    ``base``, ``uncertainty`` (of both) and ``reference uncertainty`` may stand beside them.

    Raises:
        FileUnusable: If the file cannot be read, or has other columns.
        Unreadable: If a row holds what is no station; it is named.
    """
    from editions.cli.words import read_bytes
    from editions.exchange.rows import LARGEST, Layout, read_rows

    layout = Layout(
        "stations",
        {"station", "reference", "bronze"},
        {"base", "uncertainty", "reference uncertainty"},
    )
    rows = read_rows(read_bytes(Path(place), LARGEST), (layout,)).rows
    both = [_row(row) for row in rows]
    _refuse_twice([mine for mine, _ in both])
    return tuple(mine for mine, _ in both), tuple(theirs for _, theirs in both)


def _row(row: Row) -> tuple[Station, Station]:
    try:
        return _station(row, "bronze", "uncertainty"), _station(
            row, "reference", "reference uncertainty"
        )
    except Unreadable as fault:
        raise Unreadable(f"Row {row.number}: {fault.message}", fault.remedy) from None


def _station(row: Row, column: str, unsure: str) -> Station:
    spread = row.get(unsure) or row.get("uncertainty")
    sure = f"±{spread}" if spread else ""
    base = f"/{row['base']}" if "base" in row else ""
    return read_station(f"{row.get('station', '')}={row.get(column, '')}{sure}{base}")
