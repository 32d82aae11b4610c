"""``bronzebook drift``: how far a colour moved between casts, by measured L*a*b* values."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import explaining, options, output

if TYPE_CHECKING:
    from editions.rules.colour_difference import Lab

_LARGEST = 1_000_000


@click.command()
@click.argument("casts", nargs=-1, metavar="CAST=L,a,b …")
@click.option("--from", "file", type=click.Path(dir_okay=False), help="CSV: cast, L, a, b.")
@explaining.explain_option
@options.json_option
def command(casts: tuple[str, ...], file: str | None, explain: bool, as_json: bool) -> None:
    """Compare the colour of CASTS with the first: 1/8=42.1,8.3,12.5 2/8=41.0,8.9,13.4.

    The values are a colour meter's, all of one instrument and setting; a cast may be named again.
    """
    from editions.rules.colour_difference import drift, read_cast

    readings = [read_cast(text) for text in casts]
    if file is not None:
        readings += _from_file(file)
    found = drift(readings)
    if as_json:
        output.print_json(explaining.json_of(found))
        return
    rows = [
        (one.cast, one.readings, one.lightness, one.a, one.b, one.difference, one.says)
        for one in found.casts
    ]
    output.table(rows, ("cast", "readings", "L*", "a*", "b*", "ΔE00", "says"))
    output.say(f"Widest: {found.widest}, between {found.between[0]} and {found.between[1]}.")
    explaining.explained(found, explain)


def _from_file(path: str) -> list[tuple[str, Lab]]:
    """The rows of a CSV of four columns; a first row that names them is passed over."""
    import csv

    from editions.errors import BronzebookError, FileUnusable
    from editions.rules.colour_difference import read_cast

    place = Path(path)
    if not place.is_file() or place.stat().st_size > _LARGEST:
        raise FileUnusable(
            f"{path} is no file of measured colours.", "Four columns: cast, L, a, b."
        )
    try:
        text = place.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise FileUnusable(f"{path} is not text in UTF-8.", "Save it as CSV, UTF-8.") from None
    mark = ";" if ";" in text.partition("\n")[0] else ","
    readings = []
    for number, row in enumerate(
        csv.reader(text.replace("\0", "").splitlines(), delimiter=mark), 1
    ):
        if not row or (number == 1 and row[0].strip().casefold() == "cast"):
            continue
        try:
            readings.append(read_cast(f"{row[0]}={' '.join(cell.strip() for cell in row[1:])}"))
        except BronzebookError as fault:
            raise FileUnusable(f"{path}, row {number}: {fault.message}", fault.remedy) from None
    return readings
