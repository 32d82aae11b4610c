"""Edition arithmetic of a whole work: how many exist, can exist, are promised, are free.

Counted over every run of the work, at every scale, in every alloy and colour, with the casts made
before the book.  A run of eight and four proofs of which three were poured and one is promised has
three that exist, twelve that can exist, one promised and, its numbers given, eight free.  What
counts together before a law is another question: :mod:`editions.rules.casts`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from editions.rules.casts import Cast, Group, Quality, grouped, life_of
from editions.rules.counts import NUMBERED, Tally, series_of, tally
from editions.rules.explaining import Explained, Figures
from editions.trade.pieces import Piece
from editions.trade.runs import Run

SHOWN: tuple[Quality, ...] = ("scale", "alloy", "colour", "life")


class RunCount(Figures, frozen=True, kw_only=True):
    """One run: declared with its proofs, cast here, elsewhere, promised, free, still possible."""

    code: str
    title: str
    scale: str
    declared: int | None
    exist: int
    elsewhere: int
    promised: int
    free: int | None
    can_exist: int | None
    closed: bool


class EditionCount(Explained, frozen=True, kw_only=True):
    """The work as a whole.

    ``can_exist`` is None where a run that is open declares no size; ``elsewhere`` counts numbers
    said to have been cast elsewhere, which this book has not seen; ``trials`` stand beside.
    """

    work: str
    title: str
    exist: int
    can_exist: int | None
    promised: int
    free: int | None
    elsewhere: int
    outside_runs: int
    destroyed: int
    trials: int
    runs: tuple[RunCount, ...]
    groups: tuple[Group, ...]
    remarks: tuple[str, ...]


class Book(NamedTuple):
    """What the book holds of a work: its runs, every piece, the artist's death, generations."""

    work: str
    title: str
    runs: Sequence[Run]
    pieces: Sequence[Piece]
    died: str | None = None
    scales: dict[str, str] = {}  # noqa: RUF012 - by model, read and never written
    generations: dict[str, int] = {}  # noqa: RUF012 - by mold


def count(book: Book) -> EditionCount:
    """Return the edition arithmetic of a work."""
    casts = casts_of(book)
    runs = tuple(_run(run, book, casts) for run in book.runs)
    own = [one for one in casts if not one.trial]
    standing = [one for one in own if not one.destroyed]
    outside = [one for one in standing if not one.run]
    can = _sum(run.can_exist for run in runs)
    return EditionCount(
        work=book.work,
        title=book.title,
        exist=len(standing),
        can_exist=None if can is None else can + len(outside),
        promised=sum(run.promised for run in runs),
        free=_sum(run.free for run in runs),
        elsewhere=sum(run.elsewhere for run in runs),
        outside_runs=len(outside),
        destroyed=len(own) - len(standing),
        trials=sum(one.trial and not one.destroyed for one in casts),
        runs=runs,
        groups=tuple(group for by in SHOWN for group in grouped(own, by)),
        remarks=_remarks(book, standing, runs),
        formula=_FORMULA,
        sources=("edition arithmetic as the trade reckons it; common practice, no source",),
    )


_FORMULA = (
    "exist: poured or registered, and not scrapped; trial casts are counted beside",
    "can exist: size and proofs of every open run; of a closed run what exists or is elsewhere",
    "elsewhere: numbers said to be elsewhere that no registered bronze bears",
    "free: neither given, promised, nor elsewhere; none in a closed run",
    "lifetime or posthumous: by the day of the pour against the artist's death, where both tell",
)


def casts_of(book: Book) -> tuple[Cast, ...]:
    """Return every cast of a work that was poured or registered, scrapped ones included."""
    runs = {run.code: run for run in book.runs}
    return tuple(
        _cast(piece, runs.get(piece.run or ""), book)
        for piece in book.pieces
        if piece.poured or piece.from_object
    )


def outside_of(run: Run, pieces: Iterable[Piece]) -> set[str]:
    """Return a run's numbers elsewhere that no bronze registered from the object bears.

    One that came back to be registered exists here; it would else be counted twice.
    """
    borne = {
        number
        for piece in pieces
        if piece.from_object and not piece.scrapped
        for number in (piece.number, *(mark.number for mark in piece.marks))
    }
    return {one.designation for one in run.declared.elsewhere} - borne


def _cast(piece: Piece, run: Run | None, book: Book) -> Cast:
    declared = run.declared if run else None
    model = (declared.model or "") if declared else ""
    molds = tuple(dict.fromkeys(s.mold for s in piece.sections if s.mold))
    generations = [book.generations[mold] for mold in molds if mold in book.generations]
    colour = piece.colours[-1].words if piece.colours else ""
    return Cast(
        code=piece.code,
        run=run.code if run else "",
        model=model,
        scale=((declared.scale if declared else "") or book.scales.get(model, "")),
        alloy=piece.alloy or (declared.alloy if declared else "") or "",
        colour=colour or (declared.colour if declared else ""),
        designation=piece.number or "",
        series=series_of(piece.number) if piece.number else NUMBERED,
        cast_on=piece.cast_on or "",
        life=life_of(piece.cast_on, book.died),
        generation=max(generations, default=None),
        molds=molds,
        trial=piece.purpose == "trial",
        destroyed=piece.scrapped is not None,
        from_object=piece.from_object,
    )


def _run(run: Run, book: Book, casts: Sequence[Cast]) -> RunCount:
    own = [piece for piece in book.pieces if piece.run == run.code]
    told: Tally = tally(run, own)
    exist = sum(1 for one in casts if one.run == run.code and not (one.trial or one.destroyed))
    elsewhere = len(outside_of(run, own))
    closed = run.closed is not None
    free = 0 if closed else _sum((told.numbered.free, *(proof.free for proof in told.proofs)))
    return RunCount(
        code=run.code,
        title=run.index().title,
        scale=run.declared.scale or book.scales.get(run.declared.model or "", ""),
        declared=told.declared,
        exist=exist,
        elsewhere=elsewhere,
        promised=told.promised,
        free=free,
        can_exist=exist + elsewhere if closed else told.declared,
        closed=closed,
    )


def _remarks(book: Book, standing: Sequence[Cast], runs: Sequence[RunCount]) -> tuple[str, ...]:
    said = [
        f"{run.code} declares no size; how many there can be is not bounded."
        for run in runs
        if run.can_exist is None
    ]
    for run in runs:
        there = run.exist + run.elsewhere
        if run.declared is not None and there > run.declared:
            said.append(
                f"{run.code}: {there} exist or are elsewhere, {run.declared} were declared; a cast"
                " registered from the object may be one of those elsewhere, its number not read."
            )
    undated = sum(not one.cast_on for one in standing)
    if undated and book.died:
        said.append(f"{undated} without a date of casting; lifetime or posthumous is not known.")
    later = sum((one.generation or 0) > 0 for one in standing)
    if later:
        said.append(f"{later} cast from a mold of a bronze: a generation further from the model.")
    return tuple(said)


def _sum(numbers: Iterable[int | None]) -> int | None:
    """The sum, or None where one of them is not known."""
    total = 0
    for number in numbers:
        if number is None:
            return None
        total += number
    return total
