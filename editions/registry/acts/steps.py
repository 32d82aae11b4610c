"""What people do along the route: a step for one piece, or for a whole rack at once."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from editions.registry.acts.typed import (
    confided,
    party,
    piece_and_section,
    run_of,
    section_of,
)
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing
from editions.rules.routes import counts_coats, read_step, route
from editions.trade.casting import How, StepDone
from editions.trade.pieces import Piece

SHELLED = "shelled"


def record_step(
    w: Writing,
    step: str,
    pieces: Iterable[str],
    *,
    section: str | None = None,
    coat: int | None = None,
    hand: str | None = None,
    how: How = "done",
    declared_by: str | None = None,
    on: str | None = None,
    note: str | None = None,
) -> tuple[Entered, ...]:
    """Record a step for every piece named; refused for one, refused for all.

    Args:
        w: The writing.
        step: The step, in the words of any route: ``shelled``, ``invested``, ``metal chased``.
        pieces: Pieces by tag or code, each with a section where only that was worked on:
            ``T-0101/head``.
        section: The section, for every piece alike.
        coat: The coat of shell; the one after the last recorded when absent.
        hand: Code of whoever did it.
        how: ``not recorded`` where nobody wrote it down, ``elsewhere`` where another shop did it.
        declared_by: Who declares a step done elsewhere.
        on: When, EDTF; today when absent.
        note: A held note, kept with each.

    Raises:
        Unreadable: If there is no such step.
    """
    facts = StepDone(
        step=read_step(step),
        hand=party(w, hand),
        how=how,
        declared_by=party(w, declared_by),
        note=confided(note),
    )
    entered = []
    for text in pieces:
        piece, own = piece_and_section(w, text)
        part = own or section_of(piece, section)
        laid = coat or _next_coat(w, piece, part, facts)
        entered.append(w.enter(replace(facts, section=part, coat=laid), piece.code, on=on))
    return tuple(entered)


def _next_coat(reading: Reading, piece: Piece, section: str | None, facts: StepDone) -> int | None:
    """The coat after the last; none where coats were not counted here, or the route has none."""
    if facts.step != SHELLED or facts.how != "done" or not _dips(reading, piece):
        return None
    counted = [
        done.coat or 0
        for done in piece.steps
        if done.step == SHELLED and (section is None or done.covers(section))
    ]
    return max(counted, default=0) + 1


def _dips(reading: Reading, piece: Piece) -> bool:
    """Whether the route builds a shell coat by coat; a block is invested once."""
    return piece.run is None or counts_coats(route(run_of(reading, piece.run).declared.route))
