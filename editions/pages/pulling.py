"""The pulls of the molds a piece came from, by the condition found at inspections between them.

A pull has the condition of the last inspection before it; a repair ends what was found.  Pulls made
before the book knew the mold, or away from the shop, count and were not inspected here.
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.charts.bars import Pulled
from editions.pages.casting import PullsView
from editions.pages.desk import Desk
from editions.trade.kinds import fold
from editions.trade.molds import Mold, MoldInspected, MoldRepaired
from editions.trade.pieces import Piece

_UNSEEN = "not inspected"


def pulls(desk: Desk, piece: Piece) -> Iterator[PullsView]:
    """The pulls of each section's mold, with the one that this piece's wax was."""
    for section in piece.sections:
        mold = desk.get(section.mold, Mold)
        known = mold.section(section.name) if mold else None
        if mold and known and known.pulls:
            changes = _conditions(desk, mold.code).get(section.name, [])
            yield PullsView(
                mold=mold.code,
                section=section.name,
                pulls=tuple(_stretches(changes, known.pulls)),
                at_least=known.at_least,
                own=section.pull,
            )


def _conditions(desk: Desk, code: str) -> dict[str, list[tuple[int, str]]]:
    """By section, after which pull which condition was found; read once a mold."""
    return desk.once(("conditions", code), lambda: _read(desk, code)) or {}


def _read(desk: Desk, code: str) -> dict[str, list[tuple[int, str]]]:
    found: dict[str, list[tuple[int, str]]] = {}
    mold: Mold | None = None
    for _, happened in desk.reading.history(code):
        state = fold(mold, code, happened)
        mold = state if isinstance(state, Mold) else mold
        facts = happened.facts
        if isinstance(facts, MoldInspected | MoldRepaired) and mold:
            section = mold.section(facts.section)
            if section:
                word = section.condition if isinstance(facts, MoldInspected) else _UNSEEN
                found.setdefault(section.name, []).append((section.pulls, word))
    return found


def _stretches(changes: list[tuple[int, str]], count: int) -> Iterator[Pulled]:
    """Pulls in stretches of one condition, from the first to the last."""
    first, condition = 1, _UNSEEN
    for after, word in [*changes, (count, "")]:
        if word != condition and after >= first:
            yield Pulled(condition, first, min(after, count))
            first = after + 1
        condition = word
