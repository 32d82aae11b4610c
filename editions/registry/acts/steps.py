"""What people do along the route: a step for one piece, or for a whole rack at once."""

from __future__ import annotations

from collections.abc import Iterable

from editions.registry.acts.typed import confided, party, piece_and_section, section_of
from editions.registry.writing import Entered, Writing
from editions.rules.routes import read_step
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
    named, by, declared = read_step(step), party(w, hand), party(w, declared_by)
    entered = []
    for text in pieces:
        piece, own = piece_and_section(w, text)
        part = own or section_of(piece, section)
        facts = StepDone(
            step=named,
            section=part,
            coat=coat or _next_coat(piece, part, named, how),
            hand=by,
            how=how,
            declared_by=declared,
            note=confided(note),
        )
        entered.append(w.enter(facts, piece.code, on=on))
    return tuple(entered)


def _next_coat(piece: Piece, section: str | None, step: str, how: How) -> int | None:
    """The coat after the last; none where the coats were not counted here."""
    if step != SHELLED or how != "done":
        return None
    counted = [
        done.coat or 0
        for done in piece.steps
        if done.step == SHELLED and (section is None or done.covers(section))
    ]
    return max(counted, default=0) + 1
