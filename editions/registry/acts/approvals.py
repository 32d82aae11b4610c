"""Approvals, with the way in which they were given; nobody signed anything here."""

from __future__ import annotations

from typing import get_args

from editions.errors import Unreadable
from editions.registry.acts.typed import confided, listed, party, piece_of
from editions.registry.writing import Entered, Writing
from editions.trade.casting import ApprovalGiven, ApprovalHow, ApprovalOf
from editions.trade.text import meant, shown

HOWS: tuple[ApprovalHow, ...] = get_args(ApprovalHow)
OF: tuple[ApprovalOf, ...] = get_args(ApprovalOf)

_SPOKEN: dict[str, ApprovalHow] = {
    "person": "in person",
    "writing": "in writing",
    "telephone": "by telephone",
    "phone": "by telephone",
    "photograph": "by photograph",
    "photo": "by photograph",
}


def approve_piece(
    w: Writing,
    piece: str,
    of: ApprovalOf,
    *,
    by: str,
    how: str,
    approved: bool = True,
    on: str | None = None,
    note: str | None = None,
) -> Entered:
    """Enter an approval of the metal, the colour or the release, or a refusal of it.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        of: What was approved.
        by: Code of the one entitled: the artist, or who holds the authority.
        how: How it was said: ``in person``, ``in writing``, ``by telephone``, ``by photograph``.
        approved: False where it was refused.
        on: When it was said, EDTF; today when absent.
        note: A held note.
    """
    facts = ApprovalGiven(
        of=of,
        party=party(w, by) or "",
        how=read_how(how),
        approved=approved,
        note=confided(note),
    )
    return w.enter(facts, piece_of(w, piece).code, on=on)


def read_how(text: str) -> ApprovalHow:
    """Read the way an approval was given; ``telephone`` alone is enough.

    Raises:
        Unreadable: If it is none of the four ways.
    """
    words = text.casefold().replace("-", " ").replace("_", " ").split()
    last = words[-1] if len(words) == 1 or words[:-1] in (["in"], ["by"], ["on", "the"]) else ""
    if last not in _SPOKEN:
        raise Unreadable(
            f"{shown(text)} is not a way in which an approval is given.",
            f"{meant(text, [*HOWS, *_SPOKEN])} One of: {listed(HOWS)}.".strip(),
        )
    return _SPOKEN[last]
