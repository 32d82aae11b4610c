"""What people type, read against the book: pieces by tag, sections by name, hands by code, words.

Every free text passes through here, so that nothing hidden or over-long reaches an entry.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from editions.errors import NotKnown, Unreadable
from editions.registry.reading import Reading, StateT
from editions.registry.writing import Writing
from editions.trade.codes import nearest, read_code
from editions.trade.heats import Heat
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.spelling import as_spelled
from editions.trade.text import a, clean, meant, shown

LONGEST_WORD = 120
ChoiceT = TypeVar("ChoiceT", bound=str)


def word(text: str, what: str) -> str:
    """A short text that may not be empty; ``what`` names it in the message.

    Raises:
        Unreadable: If it is empty, over-long, or holds what may not be kept.
    """
    kept = clean(text, LONGEST_WORD)
    if not kept:
        raise Unreadable(f"The {what} is empty.", "Say it in a few words.")
    return kept


def confided(text: str | None) -> str | None:
    """A held text, which may run over lines; None where nothing was said."""
    return None if text is None else clean(text, lines=True) or None


def one_of(text: str, choices: tuple[ChoiceT, ...], what: str) -> ChoiceT:
    """The choice that was typed, in any case, with spaces, hyphens or underscores.

    Raises:
        Unreadable: If it is none of them; the likely one and all are named.
    """
    plain = as_spelled(" ".join(text.casefold().replace("-", " ").replace("_", " ").split()))
    spoken = {choice.casefold().replace("_", " "): choice for choice in choices}
    if plain in spoken:
        return spoken[plain]
    typed = [choice.replace("_", "-").replace(" ", "-") for choice in choices]
    remedy = f"{meant(plain.replace(' ', '-'), typed)} One of: {listed(typed)}.".strip()
    raise Unreadable(f"{shown(text)} is not {a(what)}.", remedy)


def found(reading: Reading, code: str, kind: type[StateT]) -> StateT:
    """The subject of that code, typed in any case, which must be of this kind."""
    return reading.get(code.strip().upper(), kind)


def fresh(w: Writing, letter: str, code: str | None) -> str:
    """The code given for a new subject, or the next free one of the letter."""
    return read_code(code, letter) if code else w.next_code(letter)


def party(reading: Reading, code: str | None) -> str | None:
    """The code of a party that is in the book; None stays None."""
    return None if code is None else reading.get(code.strip().upper(), Party).code


def run_of(reading: Reading, code: str) -> Run:
    """The run of that code."""
    return reading.get(code.strip().upper(), Run)


def piece_of(reading: Reading, text: str) -> Piece:
    """The piece that a code or a shop tag means."""
    return reading.get(reading.resolve(text), Piece)


def heat_of(reading: Reading, text: str) -> Heat:
    """The heat that a code or the foundry's own number means."""
    # A shop tag may look like a heat number, and is not meant here.
    numbered = reading.named(f"heat {text.strip().upper()}")
    if numbered is None and not _answers(reading, text):
        known = [heat.number for heat in reading.all_of(Heat)]
        near = listed(nearest(text, known))
        remedy = f"The nearest: {near}." if near else "Open it: bronzebook heat open NUMBER."
        raise NotKnown(f"No heat {shown(text)} in this book.", remedy)
    return reading.get(numbered or reading.resolve(text), Heat)


def section_of(piece: Piece, text: str | None) -> str | None:
    """The piece's own spelling of a section's name.

    Raises:
        NotKnown: If the piece has no such section; those it has are named.
    """
    if text is None:
        return None
    wanted = clean(text).casefold()
    for section in piece.sections:
        if section.name.casefold() == wanted:
            return section.name
    raise NotKnown(f"{label(piece)} has no section {shown(text)}.", sections_of(piece, wanted))


def piece_and_section(reading: Reading, text: str) -> tuple[Piece, str | None]:
    """The piece, and the section where one is named: ``T-0101`` or ``T-0101/head``.

    A tag may hold a slash itself, so the whole is looked for first.
    """
    before, slash, after = text.strip().rpartition("/")
    if slash and not _answers(reading, text) and _answers(reading, before):
        piece = piece_of(reading, before)
        return piece, section_of(piece, after)
    return piece_of(reading, text), None


def label(piece: Piece) -> str:
    """What the shop calls a piece: its tag, or its code."""
    return piece.tag or piece.code


def listed(names: Iterable[str]) -> str:
    """Names in a line, as a message gives them."""
    return ", ".join(names)


def sections_of(piece: Piece, wanted: str = "") -> str:
    """The remedy where a section was named wrongly: the likely one, or how to say them anew.

    Sections may be stated again while nothing is made of them.
    """
    names = listed(section.name for section in piece.sections)
    if not names:
        return "It has no sections."
    likely = meant(wanted, (section.name for section in piece.sections))
    if likely:
        return f"{likely} Its sections: {names}."
    anew = (
        ""
        if piece.poured or piece.scrapped
        else (f' Where that is wrong: bronzebook correct {label(piece)}#1 sections="head; torso".')
    )
    return f"Its sections: {names}.{anew}"


def _answers(reading: Reading, text: str) -> bool:
    try:
        reading.resolve(text)
    except NotKnown:
        return False
    return True
