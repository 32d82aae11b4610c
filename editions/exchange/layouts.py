"""The layouts an older book comes in by, and the entries that each row becomes.

=====================  =================================================================
works and runs         needs ``title`` and ``artist``; may have ``artist born``,
                       ``artist died``, ``year``, ``work code``, ``run code``, ``size``,
                       ``proofs`` (``4 AP roman; 2 HC``), ``numbering``, ``scale``, ``route``,
                       ``alloy``, ``class``, ``authorised by``, ``paper``, ``declared``,
                       ``elsewhere`` (``1/5=another shop; 2/5=…``), ``note``
molds and pulls        needs ``mold``, ``section``, ``material`` and ``title``; may have
                       ``model``, ``model material``, ``made``, ``pulls``
                       (``14`` or ``at least 14``), ``place``, ``note``; one row a section
earlier casts          needs ``title`` and ``mark``; may have ``run code``, ``code``, ``tag``,
                       ``cast``, ``alloy``, ``foundry``, ``colour``, ``mark place``,
                       ``mark method``, ``height``, ``mass``, ``seen``, ``owner``, ``note``
=====================  =================================================================

``note`` and ``owner`` are held.  An artist, a work or a model that a row names and the book does
not hold is entered with it; of one that it holds, the row says the same or nothing.  Dates are
EDTF, quantities as everywhere: ``450 mm``, ``18 1/2 in``, ``12.4 kg``.
"""

from __future__ import annotations

from collections.abc import Callable

from editions.errors import Unreadable
from editions.exchange.incoming import Incoming, agreed, same, the_one
from editions.exchange.rows import Layout, Row
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import make_mold
from editions.registry.acts.pieces import measure_piece, register_cast
from editions.registry.acts.runs import declare_run
from editions.registry.acts.works import enter_model
from editions.trade.codes import read_code
from editions.trade.dates import read_when
from editions.trade.quantities import read_quantity
from editions.trade.statement import Station
from editions.trade.text import shown
from editions.trade.works import Model

WORKS = Layout(
    "works and runs",
    {"title", "artist"},
    {
        "artist born", "artist died", "year", "work code", "run code", "size", "proofs",
        "numbering", "scale", "route", "alloy", "class", "authorised by", "paper", "declared",
        "elsewhere",
        "note",
    },
)  # fmt: skip
MOLDS = Layout(
    "molds and pulls",
    {"mold", "section", "material", "title"},
    {"model", "model material", "made", "pulls", "place", "note"},
)
CASTS = Layout(
    "earlier casts",
    {"title", "mark"},
    {
        "run code", "code", "tag", "cast", "alloy", "foundry", "colour", "mark place",
        "mark method", "height", "mass", "seen", "owner", "note",
    },
)  # fmt: skip
LAYOUTS = (WORKS, MOLDS, CASTS)

_RUN_COLUMNS = {"run code", "size", "proofs", "numbering", "scale", "alloy", "class", "declared"}

Take = Callable[[Incoming, list[Row]], None]


def take_work(incoming: Incoming, rows: list[Row]) -> None:
    """One row of works and runs."""
    (row,) = rows
    artist = incoming.artist(row)
    known = incoming.work_of(artist, row)
    work = known or incoming.enter_work(
        artist, row, code=_code(row, "work code", "K"), on=_date(row, "declared")
    )
    if _RUN_COLUMNS & row.keys():
        # A note on a row that brings a work with it is the work's; it is not kept twice.
        _take_run(incoming, row, work, note=row.get("note") if known else None)
    elif known:
        raise Unreadable(
            f"{shown(row['title'])} is in the book already, as {known}, and the row declares no"
            " run of it.",
            "Leave the row out, or say the size of a run.",
        )


def _take_run(incoming: Incoming, row: Row, work: str, *, note: str | None) -> None:
    said = {
        "numerals": row.get("numbering"),
        "scale": row.get("scale"),
        "route": row.get("route"),
        "alloy": row.get("alloy"),
        "edition_class": row.get("class"),
        "paper": row.get("paper"),
        "size": _count(row, "size"),
        "proofs": _parts(row, "proofs"),
        "elsewhere": _parts(row, "elsewhere"),
        "authorised_by": _authority(incoming, row),
    }
    declare_run(
        incoming.writing,
        work,
        code=_code(row, "run code", "R"),
        on=_date(row, "declared"),
        note=note,
        row=row.number,
        **{name: value for name, value in said.items() if value not in (None, [])},  # type: ignore[arg-type]
    )


def _authority(incoming: Incoming, row: Row) -> str | None:
    name = row.get("authorised by")
    if name is None:
        return None
    return incoming.artists.get(name) or incoming.writing.resolve(name)


def take_mold(incoming: Incoming, rows: list[Row]) -> None:
    """All rows of one mold: a section each."""
    first, writing = agreed(rows, ("section", "pulls")), incoming.writing
    work = incoming.work(first["title"])
    sections = [row["section"] for row in rows]
    pulls = [f"{row['section']} {row['pulls']}" for row in rows if "pulls" in row]
    make_mold(
        writing,
        _model(incoming, first, work),
        sections,
        material=first["material"],
        place=first.get("place", ""),
        earlier=pulls,
        code=read_code(first["mold"], "M"),
        on=_date(first, "made"),
        note=first.get("note"),
        row=first.number,
    )


def _model(incoming: Incoming, row: Row, work: str) -> str:
    """The model the mold was taken from: the work's own of that stage, entered now if need be."""
    stage = row.get("model", "original")
    linked = incoming.writing.linked("work", work)
    known = [one for one in linked if isinstance(one, Model) and one.stage == stage]
    if known:
        code = the_one(f"the {stage} model of {work}", [model.code for model in known])
        same(row, "model material", known[0].material, f"The {stage} model {code}")
        return code
    made = enter_model(
        incoming.writing,
        work,
        stage,
        material=row.get("model material"),
        on=_date(row, "made"),
        row=row.number,
    )
    return made.code


def take_cast(incoming: Incoming, rows: list[Row]) -> None:
    """One earlier cast, with the mark that it bears."""
    (row,) = rows
    on = _date(row, "seen")
    made = register_cast(
        incoming.writing,
        incoming.work(row["title"]),
        run=row.get("run code"),
        tag=row.get("tag"),
        cast=row.get("cast"),
        alloy=row.get("alloy"),
        foundry=row.get("foundry", ""),
        colour=row.get("colour", ""),
        owner=row.get("owner"),
        code=_code(row, "code", "P"),
        on=on,
        note=row.get("note"),
        row=row.number,
    )
    record_mark(
        incoming.writing,
        made.code,
        row["mark"],
        place=row.get("mark place", ""),
        method=row.get("mark method", ""),
        on=on,
        row=row.number,
    )
    _take_measures(incoming, row, made.code, on)


def _take_measures(incoming: Incoming, row: Row, piece: str, on: str | None) -> None:
    stations = []
    if "height" in row:
        length = read_quantity(row["height"], "length")
        stations.append(Station(name="height", length=length, base="without"))
    mass = read_quantity(row["mass"], "mass") if "mass" in row else None
    if stations or mass:
        measure_piece(incoming.writing, piece, stations, mass=mass, on=on, row=row.number)


def _code(row: Row, column: str, letter: str) -> str | None:
    return read_code(row[column], letter) if column in row else None


def _date(row: Row, column: str) -> str | None:
    return read_when(row[column]) if column in row else None


def _parts(row: Row, column: str) -> list[str]:
    return [part.strip() for part in row.get(column, "").split(";") if part.strip()]


def _count(row: Row, column: str) -> int | None:
    if column not in row:
        return None
    if not row[column].isascii() or not row[column].isdigit():
        raise Unreadable(
            f"{shown(row[column])} in column {column} is not a whole number.",
            "Write a count, such as 12.",
        )
    return int(row[column])


TAKES: dict[str, Take] = {
    WORKS.name: take_work,
    MOLDS.name: take_mold,
    CASTS.name: take_cast,
}
