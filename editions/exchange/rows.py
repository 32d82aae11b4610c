r"""Reading a CSV file of an older book: one of the documented layouts, row by row.

The first row names the columns, in any order and in upper or lower case.  The file is UTF-8, with
or without a byte-order mark, separated by commas or semicolons.  A cell left empty says nothing.

>>> layout = Layout("works", {"title"}, {"artist"})
>>> sheet = read_rows(b"Title;Artist\nHeron;Ilvane Toresk\n", (layout,))
>>> sheet.rows[0].number, sheet.rows[0]["artist"]
(2, 'Ilvane Toresk')
"""

from __future__ import annotations

import csv
import difflib
import hashlib
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from editions.errors import BronzebookError, FileUnusable
from editions.trade.spelling import as_spelled
from editions.trade.text import clean, shown

LARGEST = 20 * 1024 * 1024
MOST_ROWS = 100_000


class Layout(NamedTuple):
    """A documented layout: its name, the columns it must have and those it may have."""

    name: str
    needs: frozenset[str] | set[str]
    may: frozenset[str] | set[str]


class Row(Mapping[str, str]):
    """One row: its number in the file, and the cells that say something."""

    def __init__(self, number: int, cells: dict[str, str]) -> None:
        self.number = number
        self._cells = cells

    def __getitem__(self, column: str) -> str:
        return self._cells[column]

    def __iter__(self) -> Iterator[str]:
        return iter(self._cells)

    def __len__(self) -> int:
        return len(self._cells)


class Sheet(NamedTuple):
    """A file read: its layout, its SHA-256 in hex, its rows."""

    layout: Layout
    digest: str
    rows: tuple[Row, ...]


def read_rows(data: bytes, layouts: Sequence[Layout]) -> Sheet:
    """The rows of a CSV file in one of the layouts.

    Raises:
        FileUnusable: If it is too large, not UTF-8, of no layout, or has a row that does not fit
            its columns.
    """
    text = _text(data)
    lines = list(_lines(text))
    if not lines:
        raise FileUnusable("The file is empty.", "Its first row names the columns.")
    columns = [_column(cell) for cell in lines[0][1]]
    layout = _layout(columns, layouts)
    rows = tuple(_row(number, cells, columns) for number, cells in lines[1:])
    return Sheet(layout, hashlib.sha256(data).hexdigest(), rows)


def _text(data: bytes) -> str:
    if len(data) > LARGEST:
        raise FileUnusable("The file is larger than 20 MB.", "Import it in parts.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise FileUnusable(
            f"The file is not UTF-8: byte {fault.start + 1} cannot be read.",
            "Save it as CSV in UTF-8.",
        ) from None


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    """Rows that hold something, each with the number of the line it ends on."""
    first = text.partition("\n")[0]
    separator = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, cells
            if reader.line_num > MOST_ROWS:
                raise FileUnusable(
                    f"The file has more than {MOST_ROWS} rows.", "Import it in parts."
                )
    except csv.Error as fault:
        raise FileUnusable(
            f"Row {reader.line_num} cannot be read: {fault}.", "Is a quotation mark left open?"
        ) from None


def _column(cell: str) -> str:
    return as_spelled(" ".join(cell.replace("_", " ").casefold().split()))


def _layout(columns: list[str], layouts: Sequence[Layout]) -> Layout:
    twice = sorted(column for column, times in Counter(columns).items() if times > 1)
    if twice:
        raise FileUnusable(f"The column {shown(twice[0])} stands twice.", "Name each once.")
    fitting = [layout for layout in layouts if layout.needs <= set(columns)]
    if not fitting:
        wanted = "; ".join(f"{each.name}: {', '.join(sorted(each.needs))}" for each in layouts)
        raise FileUnusable("The columns are of no layout that is known.", f"Needed for {wanted}.")
    layout = max(fitting, key=lambda each: len(each.needs))
    for column in columns:
        _refuse_unknown(column, layout)
    return layout


def _refuse_unknown(column: str, layout: Layout) -> None:
    known = layout.needs | layout.may
    if column not in known:
        close = difflib.get_close_matches(column, sorted(known), n=1)
        meant = f"Did you mean {close[0]}?" if close else f"Known: {', '.join(sorted(known))}."
        raise FileUnusable(f"{shown(column)} is no column of the layout {layout.name}.", meant)


def _row(number: int, cells: list[str], columns: list[str]) -> Row:
    if len(cells) != len(columns):
        raise FileUnusable(
            f"Row {number} has {len(cells)} cells, the first row has {len(columns)}.",
            "Is a separator missing, or a quotation mark?",
        )
    try:
        said = {name: clean(cell) for name, cell in zip(columns, cells, strict=True)}
    except BronzebookError as fault:
        raise FileUnusable(f"Row {number}: {fault.message}", fault.remedy) from None
    return Row(number, {name: cell for name, cell in said.items() if cell})
