"""What waits in a whole registry, and for whom: the bench of the day.

Only what is still open is looked at, so a long book with little open work answers at once::

    for wait in waiting(reading):
        print(wait)  # P-0003 waits for approval in metal (Y-0002)
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from editions.errors import NotKnown, Unreadable
from editions.registry.reading import Reading
from editions.rules.waiting import FOUNDRY, LABORATORY, PATINEUR, Wait, waits
from editions.trade.certificates import Certificate
from editions.trade.heats import Heat
from editions.trade.kinds import State
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.text import shown
from editions.trade.waxes import Wax

_KINDS: tuple[type[State], ...] = (Piece, Wax, Heat, Mold, Run, Certificate)
_HANDS = (FOUNDRY, LABORATORY, PATINEUR)


def waiting(reading: Reading, whose: Iterable[str] = ()) -> tuple[Wait, ...]:
    """Everything that waits, pieces first, each subject once for each whose turn it is.

    Args:
        reading: The book.
        whose: Only what waits for these, as :func:`turns_of` gives them; everyone when empty.
    """
    wanted = frozenset(whose)
    return tuple(
        wait
        for state in _open(reading)
        for wait in waits(state, _run(reading, state), tuple(_heats(reading, state)))
        if not wanted or wait.whose in wanted
    )


def turns_of(reading: Reading, text: str) -> tuple[str, ...]:
    """Whose turns a word, a code or a name means: ``foundry``, ``Y-0002``, ``Maren Ostrow``.

    A party with the role of the patineur or the laboratory is meant by that word too, and so is
    the foundry whose book this is.

    Raises:
        NotKnown: If nobody is called so; the nearest are named.
        Unreadable: If several are.
    """
    word = " ".join(text.casefold().split())
    if word in _HANDS:
        return (word,)
    party = _party(reading, text.strip())
    also = {FOUNDRY} if party.code == reading.book.foundry else set()
    also |= {hand for hand in (LABORATORY, PATINEUR) if hand in party.roles}
    return (party.code, *sorted(also))


def _party(reading: Reading, text: str) -> Party:
    """The party of a code, or of the words of an open name."""
    parties, word = reading.all_of(Party), text.casefold()
    meant = [one for one in parties if word == one.code.casefold()] or [
        one for one in parties if one.name and set(word.split()) <= set(one.name.casefold().split())
    ]
    if len(meant) == 1 and word:
        return meant[0]
    if word and meant:
        named = ", ".join(f"{one.code} {one.shown}" for one in meant)
        raise Unreadable(f"{shown(text)} names several: {named}.", "Give the code.")
    raise NotKnown(f"Nobody called {shown(text)} is in this book.", _nearest(parties, word))


def _nearest(parties: Iterable[Party], word: str) -> str:
    known = {name.casefold(): name for name in _HANDS}
    for party in parties:
        known[party.code.casefold()] = party.code
        known[party.shown.casefold()] = party.shown
    near = difflib.get_close_matches(word[:60], known, n=3)
    if near:
        return f"The nearest: {', '.join(known[one] for one in near)}."
    return f"Say {', '.join(_HANDS)}, or a party's code or name."


def _open(reading: Reading) -> Iterator[State]:
    """Whatever is open, and the heats from which open pieces were poured."""
    poured: dict[str, Heat] = {}
    for kind in _KINDS:
        for state in reading.all_of(kind, only_open=True):
            poured |= {heat.code: heat for heat in _heats(reading, state)}
            poured.pop(state.code, None)
            yield state
        if kind is Heat:
            yield from poured.values()


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
