"""Everything the book holds of a work that its edition arithmetic needs."""

from __future__ import annotations

from editions.registry.reading import Reading
from editions.rules.counting import Book, EditionCount, count
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.works import Model, Work


def count_work(reading: Reading, code: str) -> EditionCount:
    """Return the edition arithmetic of a work, named by its code or by that of one of its runs.

    Raises:
        NotKnown: If the book holds no such work or run.
    """
    return count(book_of(reading, code))


def book_of(reading: Reading, code: str) -> Book:
    """Return a work's runs, pieces, scales, generations, and its artist's death."""
    plain = code.strip().upper()
    if plain.startswith("R-"):
        plain = reading.get(plain, Run).declared.work
    work = reading.get(plain, Work)
    linked = reading.linked("work", work.code)
    runs = [one for one in linked if isinstance(one, Run) and not one.in_error]
    pieces = {one.code: one for one in linked if isinstance(one, Piece)}
    for run in runs:
        own = reading.linked("run", run.code)
        pieces |= {one.code: one for one in own if isinstance(one, Piece)}
    return Book(
        work=work.code,
        title=work.title,
        runs=runs,
        pieces=list(pieces.values()),
        died=reading.get(work.artist, Party).died,
        scales={m.code: m.scale or "" for m in linked if isinstance(m, Model)},
        generations=_generations(reading, list(pieces.values())),
    )


def _generations(reading: Reading, pieces: list[Piece]) -> dict[str, int]:
    codes = {section.mold for piece in pieces for section in piece.sections if section.mold}
    molds = (reading.state(code) for code in sorted(codes))
    return {mold.code: mold.generation for mold in molds if isinstance(mold, Mold)}
