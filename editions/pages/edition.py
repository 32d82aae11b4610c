"""The run as far as its artist publishes it, and who says what of it.

By default the size and the proofs; sales, rejects and stock never, whatever was chosen.  What is
cast is counted by :mod:`editions.rules.counting`, and only where pieces are published.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from editions.charts.punches import Shape
from editions.pages.desk import Desk
from editions.pages.struck import series_of_run
from editions.pages.values import Assertion, Beside, RunView
from editions.rules import counting
from editions.rules.counts import tally
from editions.trade.pieces import Piece
from editions.trade.runs import Declaration, Run, run_said
from editions.trade.saying import Said, said
from editions.trade.statement import Statement
from editions.trade.works import Model, Work

_NEVER = frozenset({"sales"})
# A lock by an offer or a sale would tell of the offer or the sale.
_MAY_TELL = frozenset({"first cast", "first certificate"})


def open_parts(declared: Declaration) -> frozenset[str]:
    """What of a run its artist publishes; sales are never shown, whatever was chosen."""
    return frozenset(declared.publishes) - _NEVER


def edition(desk: Desk, run: Run, statement: Statement | None, *, cast: bool) -> RunView:
    """What may be shown of a run, on the record of one of its numbers or on its own page.

    Args:
        desk: Where things are looked up.
        run: The run.
        statement: What the paper prints; None on the run's own page.
        cast: Whether a bronze bears the number now: none does where it is only reserved.
    """
    shared = desk.once(("edition", run.code), lambda: _shared(desk, run)) or _shared(desk, run)
    if statement is None and "pieces" not in shared.published:
        # Where no certificate shows that there is a cast, the page must not tell of the first one,
        # nor that all were cast.
        shared = replace(shared, locked_on=None, closed_how="")
    designation = statement.designation if statement else None
    own: Shape = "this" if cast else "awaited"
    return replace(
        shared,
        series=series_of_run(run, designation, own, _pieces(desk, run)),
        own=own,
        designation=designation or "",
    )


def _shared(desk: Desk, run: Run) -> RunView:
    """What every page that shows a run tells of it."""
    declared, pieces = run.declared, _pieces(desk, run)
    published = open_parts(declared)
    work = desk.get(declared.work, Work)
    return RunView(
        code=run.code,
        published=tuple(sorted(published)),
        edition_class=declared.edition_class,
        size=declared.size if "size" in published else None,
        proofs=declared.proofs if "proofs" in published else (),
        scale=declared.scale,
        authorised_by=desk.shown(declared.authorised_by),
        capacity=_capacity(desk, declared),
        says=_says(desk, declared),
        amended=run.amended,
        locked_on=run.locked_on if run.locked_by in _MAY_TELL else None,
        closed=run.closed,
        closed_how=run.closed_how,
        exist=None if pieces is None else _exist(run, pieces),
        can_exist=tally(run, ()).declared if published >= {"size", "proofs"} else None,
        elsewhere=tuple(e.designation for e in declared.elsewhere) if pieces is not None else (),
        work=declared.work,
        artist=work.artist if work else "",
        beside=tuple(_beside(desk, run)),
    )


def _pieces(desk: Desk, run: Run) -> tuple[Piece, ...] | None:
    """The pieces of a run, looked up once; None where its artist does not publish them."""
    if "pieces" not in open_parts(run.declared):
        return None
    found = desk.once(("pieces", run.code), lambda: desk.reading.linked("run", run.code)) or ()
    return tuple(one for one in found if isinstance(one, Piece))


def _exist(run: Run, pieces: tuple[Piece, ...]) -> int:
    """How many casts of the run the book knows to exist."""
    book = counting.Book(work=run.declared.work, title="", runs=(run,), pieces=pieces)
    return counting.count(book).exist


def _beside(desk: Desk, run: Run) -> Iterator[Beside]:
    """The other runs of the work, each as far as it is published itself."""
    work = run.declared.work
    found = desk.once(("work", work), lambda: desk.reading.linked("work", work)) or ()
    for other in found:
        if not isinstance(other, Run) or other.code == run.code or other.in_error:
            continue
        if open_parts(other.declared):
            model = desk.get(other.declared.model, Model)
            yield Beside(
                code=other.code,
                title=said_of(other.declared),
                scale=other.declared.scale or (model.scale if model else "") or "",
                closed=other.closed,
            )


def said_of(declared: Declaration) -> Said:
    """A run in a few words, as far as it is published: ``run of 8 + 4 AP``."""
    published = open_parts(declared)
    if "size" not in published:
        return said("run, size not published")
    proofs = declared.proofs if "proofs" in published else ()
    return run_said(replace(declared, proofs=proofs))


def _capacity(desk: Desk, declared: Declaration) -> str:
    work = desk.get(declared.work, Work)
    if work is None or work.artist == declared.authorised_by:
        return ""
    return desk.capacity(declared.authorised_by, work.artist)


def _says(desk: Desk, declared: Declaration) -> tuple[Assertion, ...]:
    """What only the artist, or who acts for the artist, can say."""
    by, capacity = desk.shown(declared.authorised_by), _capacity(desk, declared)
    return tuple(
        Assertion(text=text, by=by, capacity=capacity)
        for text in (declared.promise, declared.other_runs)
        if text
    )
