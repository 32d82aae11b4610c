"""The run as marks: which designations it has, and what may be told of each.

By default a run shows its numbers, its proofs, and the one that the page is about; what is cast,
and what was allotted outside the book, only where the artist publishes pieces.  A designation that
is outside what was declared is no mark of the run, and is told in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from editions.charts.punches import Shape, Stretch
from editions.pages.values import Series
from editions.rules.counts import NUMBERED
from editions.rules.designations import LETTERS, Designation, read_designation
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration, Run

# No designation has a larger total.
_MOST = 9_999


def series_of_run(
    run: Run, own: str | None, shape: Shape, pieces: Sequence[Piece] | None
) -> tuple[Series, ...]:
    """The marks of a run.

    Args:
        run: The run.
        own: The designation of the record, where it has one.
        shape: How the record's own mark is shown.
        pieces: The pieces of the run where the artist publishes them, else None.
    """
    declared = run.declared
    told = _told(declared, pieces, own, shape)
    return tuple(
        Series(name=name, of=of, numerals=numerals, stretches=tuple(_stretches(of, told, name)))
        for name, of, numerals in _declared(declared)
        if 0 < of <= _MOST
    )


def _declared(declared: Declaration) -> Iterator[tuple[str, int, str]]:
    if "size" in declared.publishes and declared.size and declared.edition_class != "unique":
        yield NUMBERED, declared.size, declared.numerals
    if "proofs" in declared.publishes:
        for series in declared.proofs:
            yield series.series, series.count, series.numerals


def _told(
    declared: Declaration, pieces: Sequence[Piece] | None, own: str | None, shape: Shape
) -> dict[tuple[str, int], Shape]:
    """By series and position, what is told beyond the declaration; the record's own last."""
    told: dict[tuple[str, int], Shape] = {}
    if pieces is not None:
        told |= _placed((e.designation for e in declared.elsewhere), "outside")
        told |= _placed((p.number for p in pieces if _exists(p)), "known")
    return told | _placed((own,), shape)


def _exists(piece: Piece) -> bool:
    """Whether a piece counts as one that exists, as :mod:`editions.rules.counting` has it."""
    made = piece.poured or piece.from_object
    return made and piece.purpose == "run" and piece.scrapped is None


def _placed(numbers: Iterable[str | None], shape: Shape) -> dict[tuple[str, int], Shape]:
    read = (read_designation(number) for number in numbers if number)
    return {(one.series, _position(one)): shape for one in read if one}


def _position(one: Designation) -> int:
    if isinstance(one.position, str):
        return LETTERS.index(one.position) + 1
    return one.position


def _stretches(of: int, told: dict[tuple[str, int], Shape], name: str) -> Iterator[Stretch]:
    """A series from its first mark to its last, neighbours of one shape together."""
    marks = sorted((at, shape) for (series, at), shape in told.items() if series == name)
    first = 1
    row: Stretch | None = None
    for at, shape in marks:
        if not first <= at <= of:
            continue
        if row and (at > first or row.shape != shape):
            yield row
            row = None
        if at > first:
            yield Stretch("declared", first, at - 1)
        row = Stretch(shape, row.first if row else at, at)
        first = at + 1
    if row:
        yield row
    if first <= of:
        yield Stretch("declared", first, of)
