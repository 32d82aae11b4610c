r"""The words of the paper: a statement as labelled lines, in a fixed order.

A fact the book does not hold is printed as "not recorded"; on a paper registered from the object
it is printed as "unknown".  Lengths appear in millimetres and inches, masses in kilograms and
pounds, whichever way they were typed; the value as typed always comes first.

>>> from editions.trade.quantities import Quantity
>>> measured(Quantity("17 1/2", "in")).replace("\xa0", " ")
'17 1/2 in (444.5 mm)'
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from editions.errors import BronzebookError
from editions.trade.dates import say_when
from editions.trade.quantities import Quantity
from editions.trade.statement import (
    Assertion,
    HeatLine,
    MarkLine,
    MoldLine,
    ProofSeries,
    RunLine,
    SectionLine,
    Statement,
    Station,
)

AUTHORITY = (
    "The address is a convenience; the key is the authority. Compare the key's fingerprint with an "
    "independent place: the artist, a museum, an earlier certificate."
)
BOX_NOTE = (
    "A square □ stands for a letter that this paper's type cannot draw; "
    "the name in its own script is in the book and in the file attached to this paper."
)
RESERVED = "Reserved for the artist’s own proof and the credential"
CHECKPOINT = "State of the book (checkpoint)"
POSTHUMOUS = "posthumous cast"
SIGNED_BY = ("Artist or estate", "For the foundry")

_HEADINGS = {
    "finished": "Certificate of casting",
    "raw_metal": "Certificate of casting",
    "reservation": "Reservation of a number",
    "from_object": "Certificate from the object",
}
_NOTICES = {
    "finished": "",
    "raw_metal": "Released in raw metal. Colour was not applied by the foundry.",
    "reservation": "This paper is a reservation of a number and not a certificate.",
    "from_object": (
        "Registered from the object: from the bronze as examined, "
        "not from a record kept at its casting."
    ),
}
_CLASSES = {
    "original": "an original edition",
    "multiple": "a multiple",
    "unique": "a unique cast",
}
_SERIES = {
    "AP": ("artist’s proof", "artist’s proofs"),
    "EA": ("épreuve d’artiste", "épreuves d’artiste"),
    "HC": ("hors commerce", "hors commerce"),
    "TP": ("trial proof", "trial proofs"),
    "FP": ("foundry proof", "foundry proofs"),
    "AC": ("artist’s copy", "artist’s copies"),
}
_LENGTHS = {"mm": ("in", 2), "in": ("mm", 1)}
_MASSES = {"kg": ("lb", 1), "lb": ("kg", 2)}


class Fact(msgspec.Struct, frozen=True, kw_only=True):
    """A label and its lines as printed."""

    label: str
    lines: tuple[str, ...]


def heading(statement: Statement) -> str:
    """What kind of paper this is."""
    return _HEADINGS[statement.paper]


def notice(statement: Statement) -> str:
    """The sentence that limits what the paper claims; empty for a finished cast."""
    return _NOTICES[statement.paper]


def absent(statement: Statement) -> str:
    """The word for a fact that the book does not hold."""
    return "unknown" if statement.paper == "from_object" else "not recorded"


def given_number(statement: Statement) -> str:
    """The designation as printed large; says so where there is none."""
    if statement.designation:
        return statement.designation
    if statement.run and statement.run.edition_class == "unique":
        return "Unique cast"
    return f"Number in the edition: {absent(statement)}"


def number_note(statement: Statement) -> str:
    """What is said of the number beside it: where it was found, and that the cast is posthumous."""
    late = POSTHUMOUS if statement.posthumous else ""
    return "; ".join(filter(None, (statement.designation_note, late)))


def dated(when: str | None, missing: str) -> str:
    """A date in English; a date that is not EDTF is printed as it stands."""
    if when is None:
        return missing
    try:
        return say_when(when)
    except BronzebookError:
        return when


def facts_of(statement: Statement) -> tuple[Fact, ...]:
    """Every labelled fact of the paper, in the order printed."""
    said = _of_number if statement.paper == "reservation" else _of_cast
    return tuple(fact for fact in said(statement, absent(statement)) if fact.lines)


def _of_number(statement: Statement, missing: str) -> tuple[Fact, ...]:
    """What a reservation says: of a number and what is meant to be cast, of no cast."""
    where = ", ".join(filter(None, (statement.foundry, statement.foundry_place)))
    meant = (("Route", statement.route), ("Alloy", statement.alloy))
    return (
        Fact(label="What is reserved", lines=_reserved(statement)),
        Fact(label="Edition", lines=_edition(statement.run, missing)),
        Fact(label="Foundry", lines=(where,)),
        Fact(label="Meant to be cast", lines=tuple(f"{k}: {v}" for k, v in meant if v)),
        Fact(label="Remarks", lines=statement.remarks),
    )


def _reserved(statement: Statement) -> tuple[str, ...]:
    run = f" of run {statement.run.code}" if statement.run else ""
    return (
        f"The number {statement.designation}{run}, until the foundry releases it.",
        "No cast is described here, and none need exist yet.",
    )


def _of_cast(statement: Statement, missing: str) -> tuple[Fact, ...]:
    return (
        Fact(label="Edition", lines=_edition(statement.run, missing)),
        Fact(label="Cast", lines=_cast(statement, missing)),
        Fact(label="Metal", lines=_metal(statement, missing)),
        Fact(label="Colour", lines=(_colour(statement, missing),)),
        Fact(label="Measurements", lines=_measurements(statement, missing)),
        Fact(label="Marks in the metal", lines=_lines(map(_mark, statement.marks), missing)),
        Fact(label="Mold and generation", lines=_lines(map(_mold, statement.molds), missing)),
        Fact(label="Approvals", lines=_lines(map(_approved, statement.approvals), missing)),
        Fact(label="Sections", lines=tuple(_section(s, missing) for s in statement.sections)),
        Fact(label="Remarks", lines=statement.remarks),
    )


def grouped(digest: str, in_row: int = 8) -> tuple[str, ...]:
    """Hexadecimal digits in capitals, in groups of four, some groups to a row."""
    groups = [digest[i : i + 4].upper() for i in range(0, len(digest), 4)]
    return tuple(" ".join(groups[i : i + in_row]) for i in range(0, len(groups), in_row))


def measured(quantity: Quantity) -> str:
    """A length or mass as typed, with its other unit in brackets."""
    others = (_in_unit(quantity, *pair) for pair in other_units(quantity))
    return f"{_together(quantity)} ({', '.join(others)})"


def other_units(quantity: Quantity) -> tuple[tuple[str, int], ...]:
    """The units that a length or mass is told in beside its own, each with its decimal places."""
    table = _LENGTHS if quantity.dimension == "length" else _MASSES
    if quantity.unit in table:
        return (table[quantity.unit],)
    return tuple(reversed(table.values()))


def _in_unit(quantity: Quantity, unit: str, places: int) -> str:
    return f"{quantity.to(unit, places)}\u00a0{unit}"


def _together(quantity: Quantity) -> str:
    """A quantity that no line break divides."""
    return str(quantity).replace(" ", "\u00a0")


def _lines(lines: Iterable[str], missing: str) -> tuple[str, ...]:
    return tuple(lines) or (missing,)


def _edition(run: RunLine | None, missing: str) -> tuple[str, ...]:
    if run is None:
        return (missing,)
    size = f"{run.size} numbered" if run.size is not None else f"Size {missing}"
    proofs = [proofs_said(series) for series in run.proofs]
    class_ = f"; {_CLASSES[run.edition_class]}" if run.edition_class else ""
    scale = f"; scale {run.scale}" if run.scale else ""
    counted = " and ".join(filter(None, (size, ", ".join(proofs))))
    return (f"{counted}{class_}{scale}; run {run.code}.", *map(_asserted, run.says))


def proofs_said(series: ProofSeries) -> str:
    """A series outside the numbered run, in words."""
    one, many = _SERIES.get(series.series, (series.series, series.series))
    numerals = "Roman" if series.numerals == "roman" else "Arabic"
    said = one if series.count == 1 else many
    mark = f"{series.series}, " if said != series.series else ""
    return f"{series.count} {said} ({mark}{numerals} numerals)"


def issued_by(statement: Statement) -> str:
    """Who issues the paper, as its head says it."""
    if statement.issuer:
        return f"issued by {statement.issuer}"
    return ", ".join(filter(None, (statement.foundry, statement.foundry_place)))


def _approved(approval: Assertion) -> str:
    return f"{approval.text} — {approval.by}"


def _asserted(assertion: Assertion) -> str:
    return f"“{assertion.text}” — {assertion.by}"


def _cast(statement: Statement, missing: str) -> tuple[str, ...]:
    where = ", ".join(filter(None, (statement.foundry, statement.foundry_place)))
    late = "; posthumous, after the artist’s death" if statement.posthumous else ""
    return (
        where,
        f"Cast: {dated(statement.cast, missing)}{late}",
        f"Route: {statement.route or missing}",
        f"Registry code of the piece: {statement.piece or missing}",
    )


def _metal(statement: Statement, missing: str) -> tuple[str, ...]:
    return (
        f"Alloy: {statement.alloy or missing}",
        *_lines(map(_heat, statement.heats), f"Heat: {missing}"),
    )


def _heat(heat: HeatLine) -> str:
    parts = (heat.alloy, f"poured {dated(heat.poured, 'not recorded')}", heat.verdict)
    return f"Heat {heat.number}: {'; '.join(filter(None, parts))}"


def _colour(statement: Statement, missing: str) -> str:
    if statement.colour:
        return statement.colour
    return "None applied by the foundry" if statement.paper == "raw_metal" else missing


def _measurements(statement: Statement, missing: str) -> tuple[str, ...]:
    mass = measured(statement.mass) if statement.mass else missing
    stations = _lines(map(_station, statement.stations), f"Lengths: {missing}")
    return (*stations, *_other_base(statement.stations, missing), f"Mass: {mass}")


def _other_base(stations: tuple[Station, ...], missing: str) -> Iterator[str]:
    """Says which of the two, with or without base, nobody measured, where a base is in question."""
    bases = {station.base for station in stations}
    if bases & {"with", "without"}:
        for base in sorted({"with", "without"} - bases):
            yield f"{base.capitalize()} base: {missing}"


def _station(station: Station) -> str:
    base = f", {station.base} base" if station.base else ""
    spread = f" ±\u00a0{_together(station.uncertainty)}" if station.uncertainty else ""
    return f"{station.name}{base}: {measured(station.length)}{spread}"


def _mark(mark: MarkLine) -> str:
    return ", ".join(filter(None, (f"“{mark.text}”", mark.place, mark.method)))


def _mold(mold: MoldLine) -> str:
    return f"{mold.code}: {mold.material}, from {mold.taken_from}; generation {mold.generation}"


def _section(section: SectionLine, missing: str) -> str:
    pull = missing if section.pull is None else section.pull
    mold, heat = section.mold or missing, section.heat or missing
    return f"{section.name}: mold {mold}, pull {pull}, heat {heat}"
