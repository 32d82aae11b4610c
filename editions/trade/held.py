"""Held facts erased: one held field of one entry, destroyed for a reason that stays in the book.

The erased entry keeps its digest, which opens no more, so the book proves as before.  Where the
field was restated by corrections, their values go with it: each correction is named by its leaf::

    HeldErased(entry=leaf, entry_kind="piece_released", field="to", authority="Y-0007",
               because="request", touches=("P-0003",))

What is said here is open, but for ``reason``: an authority is named by its code or its office,
never by the name of a private person.
"""

from __future__ import annotations

from typing import Literal

from editions.trade.kinds import (
    Digest,
    Facts,
    Happened,
    HeldText,
    Line,
    State,
    When,
    Word,
    folds,
    kind,
)

Because = Literal["request", "court order", "error", "duty ended"]
Answer = Literal["ended", "court order", "does not apply"]

RESTATED = "held_value"  # the field in which a correction holds the new value


class Duty(Line, frozen=True, kw_only=True):
    """A duty to keep the field: the rule, the day it counts from, and why it does not stand now."""

    rule: Word
    counted_from: When
    answer: Answer


@kind("held_erased")
class HeldErased(Facts, frozen=True, kw_only=True):
    """One held field of an earlier entry was erased; the entry is named by its leaf."""

    entry: Digest
    entry_kind: Word
    field: Word
    authority: Word
    because: Because
    restated: tuple[Digest, ...] = ()
    duty: Duty | None = None
    touches: tuple[str, ...] = ()
    reason: HeldText = None

    def touched(self) -> tuple[str | None, ...]:
        """The subjects that the erased entry touched."""
        return self.touches

    def erases(self) -> tuple[tuple[str, str], ...]:
        """Leaf and field of each value that goes: the entry's own, then its corrections'."""
        return ((self.entry, self.field), *((leaf, RESTATED) for leaf in self.restated))


@folds(HeldErased, State)
def _erased(state: State, _: Happened) -> State:
    # A state never held what is gone; the entry is in the history of all it touched.
    return state
