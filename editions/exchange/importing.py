"""Importing an older book: rehearsed first, every fault with its row, then all or nothing.

The file's SHA-256 is the source of every entry it becomes, with the row; it can come in only once.
The entries are recorded today and say when things happened, so that nobody mistakes an import for a
record made at the time.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import msgspec

from editions.errors import BronzebookError, FileUnusable, Refused
from editions.exchange.incoming import Incoming
from editions.exchange.layouts import LAYOUTS, MOLDS, TAKES
from editions.exchange.rows import LARGEST, Row, Sheet, read_rows
from editions.registry import Registry, Writing


class RowFault(NamedTuple):
    """What is wrong with a row, and what to do."""

    row: int
    message: str
    remedy: str


class Imported(msgspec.Struct, frozen=True, kw_only=True):
    """What an import entered, or would enter, or why it did not."""

    layout: str
    digest: str
    rows: int
    entries: int
    codes: tuple[str, ...]
    remarks: tuple[str, ...]
    faults: tuple[RowFault, ...]
    written: bool


def import_csv(
    registry: Registry, path: str | Path, *, by: str | None = None, rehearse: bool = False
) -> Imported:
    """Take a CSV file of an older book in.

    Args:
        registry: The registry.
        path: The file, in one of the layouts of :mod:`editions.exchange.layouts`.
        by: The party who records.
        rehearse: Only say what would be entered.

    Returns:
        What was entered; where ``faults`` is not empty, nothing was.

    Raises:
        FileUnusable: If the file cannot be read or is of no layout.
        Refused: If this very file was imported before.
    """
    sheet = read_rows(_data(Path(path)), LAYOUTS)
    if not sheet.rows:
        raise FileUnusable("The file names its columns and has no row.", "Nothing was imported.")
    rehearsed = _take_in(registry, sheet, by, rehearse=True)
    if rehearse or rehearsed.faults:
        return rehearsed
    return _take_in(registry, sheet, by, rehearse=False)


def _data(path: Path) -> bytes:
    try:
        # Asked first: opening a pipe would wait for ever, and a device never ends.
        if path.exists() and not path.is_file():
            raise FileUnusable(f"{path} is not a file.", "Check the path.")
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "its name cannot be read"
        raise FileUnusable(f"{path} cannot be read: {reason}.", "Check the path.") from None
    if len(data) > LARGEST:
        raise FileUnusable(f"{path} is larger than 20 MB.", "Import it in parts.")
    return data


def _take_in(registry: Registry, sheet: Sheet, by: str | None, *, rehearse: bool) -> Imported:
    with registry.writing(by, rehearse=rehearse) as writing:
        _mark(writing, sheet)
        faults = tuple(_take_rows(writing, sheet))
        if faults and not rehearse:
            # The book changed between the rehearsal and now; the lock is held, so give all up.
            raise Refused(f"Row {faults[0].row}: {faults[0].message}", faults[0].remedy)
        return Imported(
            layout=sheet.layout.name,
            digest=sheet.digest,
            rows=len(sheet.rows),
            entries=len(writing.entered),
            codes=tuple(dict.fromkeys(entered.code for entered in writing.entered)),
            remarks=tuple(dict.fromkeys(r for entered in writing.entered for r in entered.remarks)),
            faults=faults,
            written=not rehearse,
        )


def _mark(writing: Writing, sheet: Sheet) -> None:
    """Make the file's digest the source, and the batch, so that it cannot come in twice."""
    writing.source = sheet.digest
    writing.batch = sheet.digest[:32]
    before = writing.batch_entered(writing.batch)
    if before:
        raise Refused(f"This very file was imported before, on {before[:10]}.", "Nothing to do.")


def _take_rows(writing: Writing, sheet: Sheet) -> Iterator[RowFault]:
    incoming = Incoming(writing)
    take = TAKES[sheet.layout.name]
    for rows in _together(sheet):
        empty = tuple(_empty(sheet, rows))
        yield from empty
        try:
            if not empty:
                take(incoming, rows)
        except BronzebookError as fault:
            yield RowFault(rows[0].number, fault.message, fault.remedy)


def _empty(sheet: Sheet, rows: list[Row]) -> Iterator[RowFault]:
    """A fault for every cell that a row must fill and does not."""
    for row in rows:
        for column in sorted(sheet.layout.needs - row.keys()):
            yield RowFault(row.number, f"The column {column} is empty.", "Fill it in.")


def _together(sheet: Sheet) -> Iterator[list[Row]]:
    """Rows that become one thing: those of one mold together, every other row alone."""
    if sheet.layout is not MOLDS:
        yield from ([row] for row in sheet.rows)
        return
    molds: dict[str, list[Row]] = {}
    for row in sheet.rows:
        molds.setdefault(row.get("mold", f"row {row.number}"), []).append(row)
    yield from molds.values()
