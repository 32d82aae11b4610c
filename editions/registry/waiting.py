"""What waits in a whole registry, and for whom: the bench of the day.

Only what is still open is looked at, so a long book with little open work answers at once::

    for wait in waiting(reading):
        print(wait)  # P-0003 waits for approval in metal (Y-0002)
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.registry.reading import Reading
from editions.rules.waiting import Wait, waits
from editions.trade.certificates import Certificate
from editions.trade.heats import Heat
from editions.trade.kinds import State
from editions.trade.molds import Mold
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.waxes import Wax

_KINDS: tuple[type[State], ...] = (Piece, Wax, Heat, Mold, Run, Certificate)


def waiting(reading: Reading) -> tuple[Wait, ...]:
    """Everything that waits, pieces first, each subject's next thing first."""
    return tuple(
        wait
        for kind in _KINDS
        for state in reading.all_of(kind, only_open=True)
        for wait in waits(state, _run(reading, state), tuple(_heats(reading, state)))
    )


def _run(reading: Reading, state: State) -> Run | None:
    """The run a subject belongs to; of a heat's several, one that asks for its analysis."""
    if isinstance(state, Heat):
        runs = [_run_named(reading, shell.run) for shell in state.shells]
        asking = (run for run in runs if run and "analysis" in run.declared.needs)
        return next(asking, None)
    return _run_named(reading, state.run) if isinstance(state, (Piece, Wax)) else None


def _run_named(reading: Reading, code: str | None) -> Run | None:
    run = reading.state(code) if code else None
    return run if isinstance(run, Run) else None


def _heats(reading: Reading, state: State) -> Iterator[Heat]:
    if isinstance(state, Piece):
        for code in dict.fromkeys(section.heat for section in state.sections if section.heat):
            heat = reading.state(code)
            if isinstance(heat, Heat):
                yield heat
