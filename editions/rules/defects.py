"""Casting defects by the classes of the International Atlas of Casting Defects.

Classes A to G and the defects that a bronze foundry names daily (source: the ASM handbook's account
of the atlas; the letters from memory, high confidence).  A class letter alone is a defect too: what
was seen may be known before its name is.

>>> str(read_defect("cold shut"))
'C cold shut'
>>> str(read_defect("b"))
'B cavities'
"""

from __future__ import annotations

import difflib

import msgspec

from editions.errors import Refused, Unreadable
from editions.trade.text import shown

CLASSES = {
    "A": "metallic projections",
    "B": "cavities",
    "C": "discontinuities",
    "D": "defective surface",
    "E": "incomplete casting",
    "F": "incorrect dimension",
    "G": "inclusions and structural anomalies",
}

NAMED = {
    "flash": "A",
    "veining": "A",
    "blowhole": "B",
    "pinhole": "B",
    "shrinkage": "B",
    "porosity": "B",
    "cold shut": "C",
    "crack": "C",
    "hot tear": "C",
    "scab": "D",
    "rough": "D",
    "misrun": "E",
    "runout": "E",
    "distortion": "F",
    "slag": "G",
    "inclusion": "G",
    "shell inclusion": "G",
}

_JOINED = {name.replace(" ", ""): name for name in NAMED}


class Defect(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A defect: its class letter and its name, empty where only the class is known."""

    letter: str
    name: str

    def __str__(self) -> str:
        return f"{self.letter} {self.name or CLASSES[self.letter]}"


def read_defect(text: str) -> Defect:
    """Read a defect by class letter, by name, or by both (``B pinhole``).

    Raises:
        Unreadable: No such class or name, or a name of another class than the letter.
    """
    words = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    letter, _, rest = words.partition(" ")
    if letter.upper() in CLASSES and text.isascii():
        return _of_class(letter.upper(), rest)
    return Defect(NAMED[_name(words)], _name(words))


def agreeing(letter: str, name: str) -> None:
    """Refuse a class that is none, or a name that is known to be of another class.

    Raises:
        Refused: Naming the classes, or the class that the name is of.
    """
    if letter not in CLASSES:
        raise Refused(f"{letter} is not a class of defects.", f"Classes: {classes_text()}.")
    usual = NAMED.get(name.casefold(), letter)
    if usual != letter:
        raise Refused(f"{name} is of class {usual}, not {letter}.", f"Enter it as {usual} {name}.")


def named_of(letter: str) -> tuple[str, ...]:
    """Return the defects of a class that are known by name."""
    return tuple(name for name, own in NAMED.items() if own == letter)


def classes_text() -> str:
    """Return the classes in a line, each letter with its title."""
    return "; ".join(f"{letter} {title}" for letter, title in CLASSES.items())


def _of_class(letter: str, rest: str) -> Defect:
    """Return the defect of a class, with the name that may follow the letter."""
    if not rest or rest == CLASSES[letter]:
        return Defect(letter, "")
    name = _name(rest)
    if NAMED[name] != letter:
        raise Unreadable(
            f"{name} is of class {NAMED[name]}, not {letter}.", f"Write {NAMED[name]} {name}."
        )
    return Defect(letter, name)


def _name(words: str) -> str:
    """Return the defect's own name; ``pin hole`` and ``coldshut`` are read as well."""
    joined = words.replace(" ", "")
    for spelling in (joined, joined.removesuffix("s")):
        if spelling in _JOINED:
            return _JOINED[spelling]
    near = difflib.get_close_matches(words[:40], NAMED, n=1)
    raise Unreadable(
        f"{shown(words)} is not a defect known here.",
        f"Did you mean {near[0]}?" if near else f"Name the class alone: {classes_text()}.",
    )
