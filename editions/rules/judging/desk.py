"""What a judge is given: the draft of an entry, and a desk to look things up at."""

from __future__ import annotations

import datetime
from typing import Protocol

import msgspec

from editions.trade.kinds import Facts, Happened, State


class Draft(msgspec.Struct, frozen=True, kw_only=True):
    """An entry before it is written: what is said, of what, when, and by whom.

    ``recorded`` is today's date, by which "in the future" is judged; ``on`` is the claimed EDTF
    date; ``late`` marks records taken from an older book, whose gaps are not held against them.
    """

    facts: Facts
    subject: str
    on: str
    by: str
    recorded: datetime.date
    late: bool = False


class Desk(Protocol):
    """Look-ups in the book as it stands, the entries of this batch included."""

    def state(self, code: str) -> State | None:
        """The folded state of a subject, or None."""

    def named(self, name: str) -> str | None:
        """The code that a shop tag or heat number belongs to, or None."""

    def linked(self, role: str, target: str) -> tuple[State, ...]:
        """The subjects whose index links them to ``target`` in that role, ordered by code."""

    def bearer(self, run: str, number: str) -> str | None:
        """The piece that bears a number of a run now, or None."""

    def erased(self, leaf: str, field: str) -> bool:
        """Whether the held field of the entry with this leaf was erased."""

    def told(self, code: str) -> tuple[Happened, ...]:
        """The entries that touch a subject, in order, as corrected; without those struck."""

    def naming(self, code: str) -> tuple[Happened, ...]:
        """The entries that name a code anywhere, in order, as corrected; without those struck."""

    def spent(self, code: str) -> bool:
        """Whether a code that nothing bears was given once, to what was struck since."""
