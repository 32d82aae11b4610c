"""What a reader must know beside the paper's own words: notices, and what changed since.

A paper is a snapshot.  A mark found later, a new measurement, a correction: the page sets the word
of the book today beside the printed one, so that an appraiser can tell a difference that is
explained from one that is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from editions.pages.desk import Desk
from editions.pages.values import Changed, Measure, Notice
from editions.trade.certificates import Certificate
from editions.trade.pieces import Piece
from editions.trade.statement import Statement, Station


def notices(
    desk: Desk, certificate: Certificate, piece: Piece | None, changed: Iterable[Changed]
) -> Iterator[Notice]:
    """What must be known at first glance, the gravest first."""
    if piece and piece.scrapped:
        yield Notice(name="scrapped", about=(piece.scrapped,))
    if piece:
        yield from _of_marks(desk, piece, certificate.statement)
    yield from _of_paper(certificate)
    if what := tuple(each.what for each in changed):
        yield Notice(name="changed", about=what)


def _of_paper(certificate: Certificate) -> Iterator[Notice]:
    paper = certificate.statement.paper
    if paper in ("raw_metal", "from_object", "reservation"):
        yield Notice(name=paper)
    if certificate.replaces:
        yield Notice(name="replaces")
    if certificate.pdf is None:
        yield Notice(name="undrawn")


def _of_marks(desk: Desk, piece: Piece, statement: Statement) -> Iterator[Notice]:
    numbers = tuple(dict.fromkeys(mark.number for mark in piece.marks if mark.number))
    given = piece.number or statement.designation
    for mark in piece.marks:
        if piece.number and mark.number and mark.number != piece.number:
            yield Notice(name="mark_differs", about=(mark.line.text, piece.number))
    borne = dict.fromkeys((*numbers, *((given,) if given else ())))
    contested = tuple(number for number in borne if _borne_elsewhere(desk, piece, number))
    if contested:
        yield Notice(name="contested", about=contested)


def _borne_elsewhere(desk: Desk, piece: Piece, number: str) -> bool:
    """Whether another bronze of the run, not known to be destroyed, bears this number as a mark."""
    if piece.run is None:
        return False
    role = f"{piece.run} {number}"
    marked = desk.attempt(piece.run, lambda: desk.reading.linked("marked", role)) or ()
    others = (one for one in marked if isinstance(one, Piece) and one.code != piece.code)
    return any(not one.scrapped for one in others) or _given_to_another(desk, piece, number)


def _given_to_another(desk: Desk, piece: Piece, number: str) -> bool:
    """Whether the run gave to another piece the number that this one only bears as a mark."""
    bearer = desk.reading.bearer(piece.run or "", number)
    return bearer is not None and bearer != piece.code


def changes(statement: Statement, piece: Piece) -> Iterator[Changed]:
    """What the book holds otherwise than the paper prints."""
    marks = tuple(mark.line for mark in piece.marks)
    if marks != statement.marks:
        yield Changed(what="marks", marks=marks)
    if piece.stations != statement.stations:
        yield Changed(what="measurements", measures=measures_of(piece.stations))
    if piece.mass != statement.mass:
        yield Changed(what="mass", mass=piece.mass)
    yield from _changed_words(statement, piece)


def _changed_words(statement: Statement, piece: Piece) -> Iterator[Changed]:
    colour = piece.colours[-1].words if piece.colours else ""
    if colour != (statement.colour or ""):
        yield Changed(what="colour", words=colour)
    if not piece.from_object and piece.number != statement.designation:
        yield Changed(what="number", words=piece.number or "")
    if piece.cast_on != statement.cast:
        yield Changed(what="cast", words=piece.cast_on or "")


def measures_of(stations: tuple[Station, ...]) -> tuple[Measure, ...]:
    """Each length, and where a base is in question the one that nobody measured."""
    known = [
        Measure(name=s.name, base=s.base, length=s.length, uncertainty=s.uncertainty)
        for s in stations
    ]
    bases = {station.base for station in stations}
    if bases & {"with", "without"}:
        known += [
            Measure(name="", base=base, length=None)
            for base in ("with", "without")
            if base not in bases
        ]
    return tuple(known)
