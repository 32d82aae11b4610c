"""One entry of the book, by any of its names.

=================  =============================================================
``entry 41``       its number, as papers print it: the first entry is number 0
``leaf 41  #41``   the same
``P-0003#4``       its place in the history of a subject, counted from 1
``9f86d081…``      its digest in the tree, eight hexadecimal digits or more
=================  =============================================================
"""

from __future__ import annotations

import re

from editions.errors import NotKnown, Unreadable
from editions.registry.reading import Reading
from editions.store.effective import Stored
from editions.trade.text import shown

_NUMBER = re.compile(r"(?:(?:entry|leaf)\s*#?|#)(?P<number>[0-9]{1,9})", re.IGNORECASE)
_PLACE = re.compile(r"(?P<subject>.+)#(?P<place>[1-9][0-9]{0,8})")
_LEAF = re.compile(r"[0-9a-f]{8,64}")


def entry_named(reading: Reading, text: str) -> Stored:
    """The entry that a number, a place in a history or a digest names.

    Raises:
        NotKnown: If there is none.
        Unreadable: If the text names no entry, or more than one.
    """
    name = text.strip()
    numbered = _NUMBER.fullmatch(name)
    if numbered:
        return reading.entry_at(int(numbered["number"]))
    placed = _PLACE.fullmatch(name)
    if placed:
        return _at_place(reading, placed["subject"], int(placed["place"]))
    return _with_leaf(reading, name)


def names_entry(text: str) -> bool:
    """Whether a text has one of the forms that name an entry."""
    name = text.strip()
    return any(form.fullmatch(name) for form in (_NUMBER, _PLACE)) or is_digest(name)


def is_digest(text: str) -> bool:
    """Whether a text may be a digest in the tree, or the beginning of one."""
    return bool(_LEAF.fullmatch(text.strip().lower()))


def _at_place(reading: Reading, subject: str, place: int) -> Stored:
    code = _subject(reading, subject)
    history = reading.stored_of(code)
    if place > len(history):
        raise NotKnown(
            f"The history of {code} has {len(history)} entries; there is no {code}#{place}.",
            f"See them: bronzebook show {code}.",
        )
    return history[place - 1]


def _subject(reading: Reading, text: str) -> str:
    """The subject that a text means; one that was struck by its code alone."""
    code = text.strip().upper()
    return code if reading.spent(code) else reading.resolve(text)


def _with_leaf(reading: Reading, text: str) -> Stored:
    leaf = text.lower()
    if not is_digest(leaf):
        raise Unreadable(
            f"{shown(text)} names no entry.",
            "Write “entry 41” for a number in the book, P-0003#4 for a place in a history as"
            " bronzebook show P-0003 counts it, or eight digits or more of its digest.",
        )
    found = reading.beginning(leaf)
    if not found:
        raise NotKnown(f"No entry has a leaf that begins {leaf[:16]}.", "See bronzebook show CODE.")
    if len(found) > 1:
        raise Unreadable(f"Several entries have leaves that begin {leaf}.", "Give more digits.")
    return found[0]
