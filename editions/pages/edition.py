"""The run as far as its artist publishes it, and who says what of it.

By default the size and the proofs; sales, rejects and stock never, whatever was chosen.
"""

from __future__ import annotations

from editions.pages.desk import Desk
from editions.pages.values import Assertion, RunView
from editions.trade.runs import Declaration, Run
from editions.trade.works import Work

_NEVER = frozenset({"sales"})
# A lock by an offer or a sale would tell of the offer or the sale.
_MAY_TELL = frozenset({"first cast", "first certificate"})


def edition(desk: Desk, run: Run) -> RunView:
    """What may be shown of a run."""
    declared = run.declared
    published = frozenset(declared.publishes) - _NEVER
    pieces = "pieces" in published
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
        cast=run.poured if pieces else None,
        elsewhere=tuple(e.designation for e in declared.elsewhere) if pieces else (),
    )


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
