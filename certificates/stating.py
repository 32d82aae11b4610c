"""What a certificate will say: the statement of a piece, or of a reservation, read from the book.

Only open facts are read.  What the book does not hold stays None, and prints as "not recorded".
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.errors import NotKnown
from editions.registry import Reading
from editions.rules.designations import read_designation
from editions.rules.posthumous import posthumous
from editions.rules.routes import route
from editions.trade.dates import say_when
from editions.trade.heats import Heat
from editions.trade.molds import Mold
from editions.trade.paper import Paper
from editions.trade.parties import Party
from editions.trade.pieces import Approval, Piece
from editions.trade.runs import Declaration, Run
from editions.trade.statement import (
    Assertion,
    HeatLine,
    MoldLine,
    RunLine,
    SectionLine,
    Statement,
)
from editions.trade.works import Model, Work

_APPROVED = {"metal": "approved in metal", "colour": "approved in colour", "release": "released"}


def state_piece(
    reading: Reading, code: str, *, number: str, issued: str, paper: Paper
) -> Statement:
    """The statement of a piece as the book holds it now.

    Raises:
        NotKnown: If the piece, or the work it is a cast of, is not in the book.
    """
    piece = reading.get(code, Piece)
    run = reading.get(piece.run, Run) if piece.run else None
    work = reading.get(_work_of(piece, run), Work)
    artist = reading.get(work.artist, Party)
    declared = run.declared if run else None
    found = paper == "from_object"
    return Statement(
        paper=paper,
        number=number,
        issued=issued,
        artist=artist.shown,
        artist_life=artist.life,
        title=work.title,
        piece=piece.code,
        designation=_as_found(piece) if found else piece.number,
        designation_note="as found on the metal" if found else "",
        run=_run_line(reading, run) if run else None,
        foundry=_foundry(reading, piece),
        foundry_place="" if found else reading.book.foundry_place,
        issuer=_own_name(reading) if found else "",
        cast=piece.cast_on,
        posthumous=posthumous(artist.died, piece.cast_on),
        route=route(declared.route).title if declared and not found else None,
        alloy=piece.alloy if found else _alloy(reading, piece, declared),
        heats=tuple(_heats(reading, piece)),
        sections=tuple(_sections(reading, piece)),
        stations=piece.stations,
        mass=piece.mass,
        marks=tuple(mark.line for mark in piece.marks),
        colour=piece.colours[-1].words or None if piece.colours else None,
        molds=tuple(_molds(reading, piece)),
        approvals=tuple(_approvals(reading, piece)),
        photograph=piece.photographs[-1].digest if piece.photographs else None,
        remarks=tuple(_remarks(piece)),
    )


def state_reservation(
    reading: Reading, run_code: str, designation: str, *, number: str, issued: str
) -> Statement:
    """The statement of a number reserved before its cast is finished."""
    run = reading.get(run_code, Run)
    work = reading.get(run.declared.work, Work)
    artist = reading.get(work.artist, Party)
    return Statement(
        paper="reservation",
        number=number,
        issued=issued,
        artist=artist.shown,
        artist_life=artist.life,
        title=work.title,
        designation=designation,
        run=_run_line(reading, run),
        foundry=reading.book.foundry_name,
        foundry_place=reading.book.foundry_place,
        route=route(run.declared.route).title,
        alloy=run.declared.alloy,
    )


def _work_of(piece: Piece, run: Run | None) -> str:
    work = run.declared.work if run else piece.work
    if work is None:
        raise NotKnown(
            f"{piece.code} is of no work in this book.", "Only what belongs to a work is certified."
        )
    return work


def _as_found(piece: Piece) -> str | None:
    """The mark on an earlier cast that reads as a number; else the first mark, verbatim."""
    readable = [m.line.text for m in piece.marks if m.number or read_designation(m.line.text)]
    return next(iter(readable), piece.marks[0].line.text if piece.marks else None)


def _run_line(reading: Reading, run: Run) -> RunLine:
    declared = run.declared
    return RunLine(
        code=run.code,
        size=declared.size if "size" in declared.publishes else None,
        proofs=declared.proofs if "proofs" in declared.publishes else (),
        edition_class=declared.edition_class,
        scale=declared.scale,
        says=tuple(_said_of_run(reading, declared)),
    )


def _said_of_run(reading: Reading, declared: Declaration) -> Iterator[Assertion]:
    """What only the artist, or who acts for the artist, can say of the run."""
    by = reading.get(declared.authorised_by, Party).shown
    for text in (declared.promise, declared.other_runs):
        if text:
            yield Assertion(text=text, by=by)


def _foundry(reading: Reading, piece: Piece) -> str:
    return (piece.foundry or "unknown") if piece.from_object else reading.book.foundry_name


def _own_name(reading: Reading) -> str:
    book = reading.book
    return ", ".join(filter(None, (book.foundry_name, book.foundry_place)))


def _heats_of(reading: Reading, piece: Piece) -> Iterator[Heat]:
    for code in dict.fromkeys(section.heat for section in piece.sections if section.heat):
        yield reading.get(code, Heat)


def _alloy(reading: Reading, piece: Piece, declared: Declaration | None) -> str | None:
    alloys = dict.fromkeys(heat.alloy for heat in _heats_of(reading, piece))
    return " and ".join(alloys) or (declared.alloy if declared else None)


def _heats(reading: Reading, piece: Piece) -> Iterator[HeatLine]:
    for heat in _heats_of(reading, piece):
        yield HeatLine(
            number=heat.number,
            alloy=heat.alloy,
            poured=heat.poured or "",
            verdict=_verdict_words(heat),
        )


def _verdict_words(heat: Heat) -> str:
    if heat.verdict in ("within", "outside"):
        return f"composition {heat.verdict} the limits of {heat.edition or heat.alloy}"
    return "analysis indeterminate" if heat.verdict == "indeterminate" else heat.verdict


def _sections(reading: Reading, piece: Piece) -> Iterator[SectionLine]:
    for section in piece.sections:
        heat = reading.get(section.heat, Heat).number if section.heat else None
        yield SectionLine(name=section.name, mold=section.mold, pull=section.pull, heat=heat)


def _molds(reading: Reading, piece: Piece) -> Iterator[MoldLine]:
    for code in dict.fromkeys(section.mold for section in piece.sections if section.mold):
        mold = reading.get(code, Mold)
        yield MoldLine(
            code=mold.code,
            material=mold.material,
            taken_from=_source_words(reading, mold.taken_from),
            generation=mold.generation,
        )


def _source_words(reading: Reading, code: str) -> str:
    source = reading.state(code)
    return f"{source.stage} model" if isinstance(source, Model) else f"bronze {code}"


def _approvals(reading: Reading, piece: Piece) -> Iterator[Assertion]:
    """The last word that each party said of each thing, where it is an approval that counts."""
    last = {(said.of, said.party): said for said in piece.approvals}
    for approval in last.values():
        if approval.approved and not approval.lapsed:
            by = reading.get(approval.party, Party).shown
            yield Assertion(text=_approval_words(approval), by=by)


def _approval_words(approval: Approval) -> str:
    return f"{_APPROVED[approval.of]} {approval.how}, {say_when(approval.on)}"


def _remarks(piece: Piece) -> Iterator[str]:
    for mark in piece.marks:
        if piece.number and mark.number and mark.number != piece.number:
            yield f"The metal bears {mark.line.text}; the number given is {piece.number}."
    for section in piece.sections:
        if section.scrapped and not piece.from_object:
            times = len(section.scrapped) + 1
            yield f"Section {section.name} was cast {times} times; the last stands."
