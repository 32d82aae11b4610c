"""Marks in the metal, entered as found; a mark is not the number that the run gave."""

from __future__ import annotations

from editions.errors import Unreadable
from editions.registry.acts.typed import confided, piece_of, word
from editions.registry.writing import Entered, Writing
from editions.rules.designations import read_designation
from editions.trade.casting import MarkFound
from editions.trade.text import clean, shown


def record_mark(
    w: Writing,
    piece: str,
    text: str,
    *,
    number: str | None = None,
    place: str = "",
    method: str = "",
    photograph: str | None = None,
    on: str | None = None,
    note: str | None = None,
    row: int | None = None,
) -> Entered:
    """Enter a mark found on a piece, verbatim, with its reading where it surely has one.

    Args:
        w: The writing.
        piece: The piece's tag or code.
        text: The mark, as it stands in the metal.
        number: Which number it bears, where the mark holds more than that.
        place: Where on the piece.
        method: How it was made: stamped, cold cut, cast in.
        photograph: SHA-256 of the photograph's publishable derivative.
        on: When it was found, EDTF; today when absent.
        note: A held note.
        row: The row of the writing's source, where it was taken from an older record.

    Raises:
        Unreadable: If ``number`` is no designation.
    """
    verbatim = word(text, "mark")
    facts = MarkFound(
        text=verbatim,
        number=_reading(verbatim, number),
        place=clean(place),
        method=clean(method),
        photograph=photograph,
        note=confided(note),
    )
    return w.enter(facts, piece_of(w, piece).code, on=on, row=row)


def _reading(verbatim: str, number: str | None) -> str | None:
    found = read_designation(number or verbatim)
    if number and found is None:
        raise Unreadable(
            f"{shown(number)} is not a designation.", "Write it as 3/8, III/VIII, AP I/IV or A."
        )
    return str(found) if found else None
