"""Certificates of analysis as they come: typed by hand, or a CSV file of a laboratory.

A figure is per cent by weight unless it says ``ppm`` (1 ppm = 0.0001 %), by itself or in the
heading of its column.  ``<0.005`` is kept as it stands.  A decimal comma is refused, or read where
the file is said to have them; then a point is refused.  ``trace`` and ``balance`` are no figures.

By hand, in one line::

    Cu=94.60 Si=4.10 Pb<0.005 Fe=800ppm

From a file, a sample a row, or an element a row; the first row names the columns::

    lot,Cu,Si,Pb ppm            lot,element,result,unit
    881,94.60,4.10,<50          881,Cu,94.60,%

>>> read_figures("Cu 94.60 Si 4.10 Pb <50ppm")
{'Cu': '94.60', 'Si': '4.10', 'Pb': '<0.0050'}
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal

from editions.errors import FileUnusable, Unreadable
from editions.rules.alloys.analysis import ELEMENTS, read_element, read_percentages
from editions.rules.explaining import Figures
from editions.trade.text import clean, shown

MOST_ROWS = 2000
_MILLIONTHS = ("ppm", "mg/kg")
_UNITS = ("%", "wt%", "wt.%", *_MILLIONTHS)
_LONGEST_NAME = 120

_NUMBER = re.compile(
    r"(?P<below><)?\s*(?P<figure>[0-9]{0,9}(?:[.][0-9]{1,9})?)\s*(?P<unit>%|wt\.? ?%|ppm|mg/kg)?",
    re.IGNORECASE,
)
_TYPED = re.compile(
    r"(?P<symbol>[A-Za-z]+)\s*[=:]?\s*(?P<figure><?\s*[0-9.,]*[0-9.])\s*(?P<unit>%|ppm\b)?",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"[\s;]*(?:,(?=\s|$))?[\s;]*")
_COLUMN = re.compile(
    r"(?P<symbol>[A-Za-z]{1,2})\s*[\[(,]?\s*(?P<unit>%|wt\.? ?%|ppm|mg/kg)?\s*[\])]?",
    re.IGNORECASE,
)
_NO_FIGURE = frozenset({"", "-", "–", "n/a", "na", "not reported"})
_NAMES = ("lot", "name", "sample", "heat", "melt")
_RESULTS = ("result", "value", "figure", "percent", "%", "ppm")


class Report(Figures, frozen=True, kw_only=True):
    """One sample's analysis by per cent, and what else its row says: ``{"mass": "250 kg"}``."""

    name: str
    figures: dict[str, str]
    more: dict[str, str]


def read_figures(text: str) -> dict[str, str]:
    """Read an analysis typed in a line.

    Raises:
        Unreadable: What cannot be read is repeated; decimal commas, unknown symbols, one element
            twice, figures above 100 or adding to more.
    """
    figures: dict[str, str] = {}
    place = _skip(text, 0)
    while place < len(text):
        found = _TYPED.match(text, place)
        if not found:
            raise Unreadable(
                f"{shown(text[place:])} is not an element and its figure.",
                "Write Cu=94.60 Si=4.10 Pb<0.005 Fe=800ppm.",
            )
        _add(figures, found["symbol"], found["figure"] + (found["unit"] or ""), "%")
        place = _skip(text, found.end())
    return _sound(figures)


def write_figures(figures: Mapping[str, str]) -> str:
    """Return an analysis as it is typed; the inverse of :func:`read_figures`."""
    return " ".join(f"{element}={figure}" for element, figure in figures.items())


def read_figure(element: str, text: str, unit: str = "%", *, decimal_comma: bool = False) -> str:
    """Return one figure as per cent: ``120 ppm`` is ``0.0120``, ``<50 ppm`` is ``<0.0050``.

    Raises:
        Unreadable: No figure, one with a decimal comma, or finer than 0.000001 %.
    """
    found = _NUMBER.fullmatch(_pointed(element, text.strip(), decimal_comma))
    if not found or not found["figure"]:
        raise Unreadable(
            f"{element} has {shown(text)}, which is not a figure.",
            "Write 4.05, <0.005 or 120 ppm; leave out what was not reported, a balance too.",
        )
    figure, scale = found["figure"], (found["unit"] or unit).casefold().replace(" ", "")
    if scale not in _UNITS:
        raise Unreadable(f"{element} is given in {shown(unit)}.", "Give per cent or ppm.")
    if scale in _MILLIONTHS:
        figure = f"{Decimal(figure).scaleb(-4):f}"
    figure = f"0{figure}" if figure.startswith(".") else figure
    if len(figure.partition(".")[2]) > 6:
        raise Unreadable(f"{element} has {shown(text)}, finer than 0.01 ppm.", "Round it.")
    return f"<{figure}" if found["below"] else figure


def read_sheet(text: str, *, decimal_comma: bool = False) -> tuple[Report, ...]:
    """Read a file of analyses, in the order of its samples.

    Args:
        text: CSV with a comma, semicolon or tab between its cells.
        decimal_comma: Whether its figures are written 94,60; its cells are then parted otherwise.

    Raises:
        FileUnusable: No rows, too many, a column that is none, a row longer than the first.
        Unreadable: A figure that cannot be read, with its row.
    """
    rows = _rows(text)
    columns = _columns(rows[0])
    tall = "element" in columns
    reports: dict[str, Report] = {}
    for number, row in enumerate(rows[1:], start=2):
        try:
            _take(reports, dict(zip(columns, row, strict=True)), tall, decimal_comma)
        except Unreadable as fault:
            raise Unreadable(f"Row {number}: {fault.message}", fault.remedy) from None
        except ValueError:
            raise FileUnusable(
                f"Row {number} has {len(row)} cells, the first {len(columns)}.", "Mend the row."
            ) from None
    for report in reports.values():
        _sound(report.figures, f"{report.name}: ")
    return tuple(reports.values())


def write_sheet(reports: tuple[Report, ...]) -> str:
    """Return analyses as a file, a sample a row; the inverse of :func:`read_sheet`."""
    more = list(dict.fromkeys(name for one in reports for name in one.more))
    elements = list(dict.fromkeys(name for one in reports for name in one.figures))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["name", *more, *elements])
    for one in reports:
        cells = [one.more.get(x, "") for x in more] + [one.figures.get(x, "") for x in elements]
        writer.writerow([one.name, *cells])
    return out.getvalue()


def _rows(text: str) -> list[list[str]]:
    """Return the rows that are not empty, cells stripped."""
    text = text.removeprefix("\ufeff")
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    try:
        read = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
        rows = [[cell.strip() for cell in row] for row in read if any(map(str.strip, row))]
    except csv.Error as fault:
        raise FileUnusable(f"The file is not CSV: {fault}.", "Save it as CSV.") from None
    if not 2 <= len(rows) <= MOST_ROWS:
        raise FileUnusable(
            f"The file has {len(rows)} rows; wanted are a row of headings and 1 to {MOST_ROWS - 1}"
            " of samples.",
            "The first row names the columns: lot,Cu,Si,Pb ppm.",
        )
    return rows


def _columns(headings: list[str]) -> list[str]:
    """Return the columns' names, an element's with its unit: ``Pb ppm``."""
    columns = [_heading(text) for text in headings]
    doubled = next((x for n, x in enumerate(columns) if x in columns[:n]), None)
    if doubled is not None:
        raise FileUnusable(f"Two columns are called {shown(doubled)}.", "Keep one.")
    if "name" not in columns:
        raise FileUnusable("No column names the samples.", f"Call one {' or '.join(_NAMES)}.")
    return columns


def _heading(text: str) -> str:
    """Return a column's name as it is used here."""
    plain = " ".join(text.casefold().split())
    if plain in _NAMES:
        return "name"
    found = _COLUMN.fullmatch(text)
    if found and found["symbol"].capitalize() in ELEMENTS:
        return f"{found['symbol'].capitalize()} {(found['unit'] or '%').casefold()}"
    if found:
        raise FileUnusable(
            f"The column {shown(text)} is not an element.", "Write symbols: Cu, Sn, Si, Pb ppm."
        )
    return plain


def _take(reports: dict[str, Report], row: dict[str, str], tall: bool, decimal_comma: bool) -> None:
    """Take one row in: a sample, or one element of one."""
    name = clean(row.pop("name"), _LONGEST_NAME)
    if not name:
        raise Unreadable("no sample is named.", "Name the lot in its first cell.")
    known = reports.get(name)
    if known and not tall:
        raise Unreadable(f"{shown(name)} stands in an earlier row.", "Name each sample once.")
    figures = dict(known.figures) if known else {}
    for element, figure, unit in _told(row, tall):
        _add(figures, element, figure, unit, decimal_comma)
    more = {x: clean(y) for x, y in row.items() if y and not _is_figure(x, tall)}
    reports[name] = Report(name=name, figures=figures, more=more or (known.more if known else {}))


def _told(row: Mapping[str, str], tall: bool) -> Iterator[tuple[str, str, str]]:
    """Return symbol, figure and unit of what a row reports."""
    if tall:
        result = next((x for x in _RESULTS if x in row), None)
        if result is None:
            raise Unreadable("no column holds the result.", f"Call it {_RESULTS[0]}.")
        unit = row.get("unit") or ("ppm" if result == "ppm" else "%")
        cells = [(row["element"], row[result], unit)]
    else:
        cells = [
            (symbol, row[column], unit)
            for column in row
            for symbol, _, unit in [column.partition(" ")]
            if symbol in ELEMENTS
        ]
    return (cell for cell in cells if cell[1].casefold() not in _NO_FIGURE)


def _is_figure(column: str, tall: bool) -> bool:
    """Whether a column holds what is reported, and not something else of the row."""
    if tall and column in ("element", "unit", *_RESULTS):
        return True
    return column.partition(" ")[0] in ELEMENTS


def _add(
    figures: dict[str, str], symbol: str, text: str, unit: str, decimal_comma: bool = False
) -> None:
    """Add one element to an analysis."""
    element = read_element(symbol)
    if element in figures:
        raise Unreadable(f"{element} is given twice.", "Give each element once.")
    figures[element] = read_figure(element, text, unit, decimal_comma=decimal_comma)


def _pointed(element: str, text: str, decimal_comma: bool) -> str:
    """Return a figure with a decimal point."""
    if decimal_comma:
        if "." in text:
            raise Unreadable(
                f"{element} has {shown(text)}, with a point among decimal commas.",
                "Write 94,60 throughout, with no thousands mark.",
            )
        return text.replace(",", ".")
    if "," in text:
        raise Unreadable(
            f"{element} has {shown(text)}, with a decimal comma.",
            "Write 94.60; a file that has them throughout is read with --decimal-comma.",
        )
    return text


def _skip(text: str, place: int) -> int:
    """Return where the next element begins."""
    found = _BETWEEN.match(text, place)
    return found.end() if found else place


def _sound(figures: dict[str, str], of: str = "") -> dict[str, str]:
    """Return the figures, refused where they cannot be an analysis."""
    if not figures:
        raise Unreadable(f"{of}The analysis names no element.", "Give them as Cu=94.44 Si=4.26.")
    try:
        read_percentages(figures)
    except Unreadable as fault:
        raise Unreadable(f"{of}{fault.message}", fault.remedy) from None
    return figures
