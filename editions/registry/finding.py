"""Finding subjects by words: for someone who holds a bronze and no paper.

Every word must occur somewhere on the way up from what is found: a cast answers to the number it
was given, to the words of its marks, of its run, of its work's titles and of its artist's name::

    find(reading, ["varga", "heron", "3/8"])  ->  (Found("P-0003", "piece", "3/8", …),)
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from editions.registry.reading import Reading
from editions.rules.designations import read_designation
from editions.trade.certificates import Certificate
from editions.trade.codes import LETTERS
from editions.trade.kinds import State
from editions.trade.numbers import show_number

_DOWN = ("artist", "work", "run")
_UP = ("piece", "run", "work", "artist")
# What someone looks for, in this order; a wax is never what is held in the hand.
_ORDER = "YKDRPMHLAC"


class Found(msgspec.Struct, frozen=True):
    """A subject that answers: its code, what it is, its title, and the titles of what it is of."""

    code: str
    what: str
    title: str
    of: str


def find(reading: Reading, words: Sequence[str]) -> tuple[Found, ...]:
    """Subjects that answer to every word: parties, works, models, runs, casts, papers."""
    reached = [_reached(reading, word) for word in words if word.strip()]
    if not reached:
        return ()
    codes = sorted(filter(_wanted, set.intersection(*reached)), key=_place)
    states = (reading.state(code) for code in codes)
    return tuple(_found(reading, state) for state in states if state is not None)


def _is_paper(code: str) -> bool:
    return code[1:2] != "-"


def _wanted(code: str) -> bool:
    return _is_paper(code) or code[0] in _ORDER


def _place(code: str) -> tuple[int, int, str]:
    return (len(_ORDER) if _is_paper(code) else _ORDER.index(code[0]), len(code), code)


def _reached(reading: Reading, word: str) -> set[str]:
    """Everything that one word leads to: what bears it, and what belongs to that."""
    word = word.strip()
    found = {code for code, _, _ in reading.search(word)}
    found.update(reading.bearing(word, str(read_designation(word) or "")))
    for role in _DOWN:
        for code in sorted(found):
            found |= {state.code for state in reading.linked(role, code)}
    return found


def _found(reading: Reading, state: State) -> Found:
    paper = _is_paper(state.code)
    what = _paper(state) if paper else LETTERS[state.code[0]]
    title = show_number(state.code) if paper else state.index().title
    return Found(state.code, what, title, ", ".join(_above(reading, state)))


def _paper(state: State) -> str:
    """What a paper is called; a reservation is no certificate."""
    reserves = isinstance(state, Certificate) and state.reserves
    return "reservation" if reserves else "certificate"


def _above(reading: Reading, state: State) -> list[str]:
    """The titles of what a subject belongs to, the nearest first."""
    titles: list[str] = []
    links = dict(reversed(state.index().links))
    while upper := reading.state(next((links[role] for role in _UP if role in links), "")):
        titles.append(upper.index().title)
        links = dict(reversed(upper.index().links))
    return titles
