"""Strikes: an entry that tells of what never happened is struck, and stays to be read.

Nothing is deleted: the entry keeps its place, its proof and what is held of it; its subjects are
folded again without it, and the history shows it struck, by whom, when and why::

    strike_entry(w, "P-0003#4", reason="hung on the wrong tree")
"""

from __future__ import annotations

from editions.errors import Refused, Unreadable
from editions.registry.acts.corrections import find_entry
from editions.registry.acts.typed import confided
from editions.registry.writing import Entered, Writing
from editions.trade.kinds import touched_codes
from editions.trade.strikes import EntryStruck


def strike_entry(w: Writing, entry: str, *, reason: str, on: str | None = None) -> Entered:
    """Strike an earlier entry.

    Args:
        w: The writing.
        entry: The entry's leaf, its number in the book, or its place in a history: ``P-0003#4``.
        reason: Why, in words; held.
        on: When it was found to be wrong, EDTF; today when absent.

    Raises:
        NotKnown: If there is no such entry.
        Refused: If it is struck already, is of a kind that is not struck, or something stands on
            it.
        Unreadable: If no reason is given, or the text names no entry.
    """
    told = confided(reason)
    if told is None:
        raise Unreadable("Why the entry is struck is not said.", "Say it in a few words.")
    stored, now = find_entry(w, entry)
    if now.leaf not in {one.leaf for one in w.told(now.subject)}:
        raise Refused(
            f"Entry {stored.position} is struck already.",
            "To undo a strike, make the entry anew, as it would be made today.",
        )
    facts = EntryStruck(
        entry=now.leaf,
        entry_kind=now.facts.kind,
        touches=touched_codes(now.subject, now.facts),
        reason=told,
    )
    return w.enter(facts, now.subject, on=on)
