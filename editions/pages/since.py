"""What a reader must know beside the paper's own words: notices, and what changed since.

A paper is a snapshot.  A mark found later, a new measurement, a correction: the page sets the word
of the book today beside the printed one, so that an appraiser can tell a difference that is
explained from one that is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from editions.pages.desk import Desk
from editions.pages.values import Changed, Correction, Measure, Notice
from editions.registry.corrected_since import NOT_RECORDED, CorrectedFact, corrected_since
from editions.trade.certificates import Certificate
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.saying import said
from editions.trade.statement import Statement, Station


def notices(
    desk: Desk,
    certificate: Certificate,
    piece: Piece | None,
    changed: Iterable[Changed],
    corrected: Iterable[Correction] = (),
) -> Iterator[Notice]:
    """What must be known at first glance, the gravest first."""
    if piece and piece.scrapped:
        yield Notice(name="scrapped", about=(piece.scrapped,))
    if piece:
        yield from _of_marks(desk, piece, certificate.statement)
    yield from _of_paper(certificate)
    if facts := tuple(dict.fromkeys(each.fact for each in corrected)):
        yield Notice(name="corrected", about=facts)
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
    for mark in piece.marks:
        if piece.number and mark.number and mark.number != piece.number:
            yield Notice(name="mark_differs", about=(mark.line.text, piece.number))
    given = piece.number or statement.designation
    numbers = dict.fromkeys(n for n in (*(m.number for m in piece.marks), given) if n)
    if piece.run and (disputed := _disputed(desk, piece, piece.run, tuple(numbers))):
        yield Notice(name="contested", about=disputed)


def _disputed(desk: Desk, piece: Piece, run: str, numbers: tuple[str, ...]) -> tuple[str, ...]:
    """The numbers that another bronze of the run bears too, or was given.

    Wider than a contest between two marks (`rules.contested`): a bronze on which nobody has read a
    mark yet must also learn that its number stands on another.
    """
    known = desk.get(run, Run)

    def disputed(number: str) -> bool:
        bearer = known.bearer(number) if known else desk.reading.bearer(run, number)
        return bearer not in (None, piece.code) or _borne_by_another(desk, piece, run, number)

    return tuple(filter(disputed, numbers))


def _borne_by_another(desk: Desk, piece: Piece, run: str, number: str) -> bool:
    marked = desk.attempt(run, lambda: desk.reading.linked("marked", f"{run} {number}")) or ()
    return any(
        isinstance(one, Piece) and one.code != piece.code and not one.scrapped for one in marked
    )


def corrections(desk: Desk, certificate: Certificate) -> tuple[Correction, ...]:
    """The facts of the paper that later entries correct; none where they cannot be read."""
    found = desk.attempt(certificate.code, lambda: corrected_since(desk.reading, certificate))
    return tuple(
        Correction(
            fact=one.fact,
            of=_subject(one),
            was=_held(one.was),
            now=_held(one.now),
            on=one.on,
            entry=one.position,
        )
        for one in found or ()
    )


def _subject(one: CorrectedFact) -> str:
    """What was corrected, as its reader knows it."""
    if one.code.startswith("P-"):
        return said("the cast")
    if one.code.startswith("K-"):
        return said("the work")
    if one.code.startswith("M-"):
        return said("mold {code}", code=one.code)
    if one.code.startswith("H-"):
        return said("heat {number}", number=one.of.removeprefix("heat "))
    return one.of if one.of == one.code else said("the artist")


def _held(lines: str) -> str:
    """The lines of a paper, which are somebody's own words; or that there are none."""
    return said("not recorded") if lines == NOT_RECORDED else lines


def unexplained(changed: Iterable[Changed], corrected: Iterable[Correction]) -> tuple[Changed, ...]:
    """The changes whose present value no correction tells already."""
    told = {each.fact: each.now for each in corrected}
    return tuple(each for each in changed if told.get(each.what, "") != _present(each))


def _present(change: Changed) -> str | None:
    """The value that a change tells, where it is one; None where it is a list."""
    if change.what == "mass":
        return str(change.mass) if change.mass else None
    return change.words or None


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
