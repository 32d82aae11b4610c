"""Entries struck: one that tells of what never happened, crossed out and left legible.

A binder has its slips crossed out with a ruler: the line stays to be read, and beside it stands who
crossed it out, when and why.  Here a further entry does so.  Nothing is deleted: the struck entry
keeps its place and its proof, and every subject that it touched is folded again without it::

    EntryStruck(entry=leaf, entry_kind="section_taken", touches=("P-0003", "W-0009"),
                reason="hung on the wrong tree")

Only what a slip of the pen may well make is ever struck (:data:`STRIKABLE`), while nothing stands
on it.  A code that was struck is never given again, nor is a pull's number.
"""

from __future__ import annotations

from editions.trade.certificates import CertificateIssued
from editions.trade.kinds import (
    Digest,
    Facts,
    Happened,
    HeldText,
    State,
    Word,
    folds,
    kind,
    open_part,
    texts_in,
)
from editions.trade.runs import NumberGiven, NumberPromised

STRIKE = "entry_struck"

# What is entered twice: nothing else of it is in the book, so nothing is left when it goes.
BEGINNINGS = frozenset(
    {
        "party_entered", "work_entered", "model_entered", "mold_made", "run_declared",
        "piece_started",
    }
)  # fmt: skip
STRIKABLE = BEGINNINGS | {
    "wax_judged", "section_taken", "number_promised", "number_given", "step_done", "run_offered",
}  # fmt: skip

# The field in which an entry about another one repeats the subjects of that.
_ABOUT_ANOTHER = "touches"


@kind(STRIKE)
class EntryStruck(Facts, frozen=True, kw_only=True):
    """Strikes an earlier entry, named by its leaf; ``reason`` says in words what was wrong."""

    entry: Digest
    entry_kind: Word
    touches: tuple[str, ...] = ()
    reason: HeldText = None

    def touched(self) -> tuple[str | None, ...]:
        """The subjects that the struck entry touched."""
        return self.touches


@folds(EntryStruck, State)
def _struck(state: State | None, _: Happened) -> State | None:
    # The state is as if the entry had never been made; where that began the subject, there is none.
    return state


def names(one: Happened, code: str) -> bool:
    """Whether an entry names a subject, as its own or in its facts, or was made by it.

    One that is about another entry (a correction, an erasing, a strike) touches what that one did
    and names nothing by it.
    """
    facts = open_part(one.facts)
    about = facts.pop(_ABOUT_ANOTHER, None) is not None
    own = () if about else (one.subject,)
    return code in (one.by, *own, *texts_in(facts))


def relies(issued: Happened, on: Happened) -> bool:
    """Whether a certificate that was issued after an entry draws on it.

    Args:
        issued: The entry that issues the certificate.
        on: The earlier entry.
    """
    paper: CertificateIssued = issued.facts
    facts = on.facts
    if facts.kind in BEGINNINGS:
        return names(issued, on.subject)
    if isinstance(facts, NumberPromised) and facts.held_for == "sale":
        # A sale may have locked the declaration, of which every paper of the run prints something.
        return paper.run == on.subject
    if isinstance(facts, NumberGiven | NumberPromised):
        same = (paper.run, paper.statement.designation) == (on.subject, facts.designation)
        return same or (isinstance(facts, NumberGiven) and paper.piece == facts.piece)
    return on.subject in (paper.piece, paper.run)
