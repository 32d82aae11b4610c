"""Designations: the number a run gives a cast, as people write it and in one canonical form.

===================  =================================================================
canonical            read too
===================  =================================================================
``3/8``              ``3 of 8``, ``No. 3/8``, ``Nº 3/8``, ``# 3/8``, ``3 / 8``
``III/VIII``         ``iii/viii``; both sides in Roman numerals of the usual form
``AP I/IV``          ``A.P. I/IV``, ``A/P I/IV``, ``artist's proof I/IV``, ``I/IV AP``
``EA 2/4``           ``E.A. 2/4``, ``épreuve d'artiste 2/4``
``HC 1/2``           ``H.C. 1/2``, ``hors commerce 1/2``
``TP 1``             a trial proof; a series outside the run may go without its total
``A``                a single letter, A to T
``PU``               ``P.U.``, ``pièce unique``
===================  =================================================================

Anything else is **unparsed** (None) and stays as it was written: ``00/1``, ``AC/1``, ``III/8``,
``IIII/VIII``, ``03/8``, a bare ``3``.  A legacy mark is never guessed at.  A position above its
total is read, because it may truly stand in the metal; ``within_total`` tells.

>>> str(read_designation("artist’s proof II of IV"))
'AP II/IV'
>>> read_designation("III/8") is None
True
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Literal

import msgspec

from editions.errors import Unreadable

Numerals = Literal["arabic", "roman", "letter"]

SERIES = {
    "": "numbered run",
    "AP": "artist's proof",
    "EA": "épreuve d'artiste",
    "HC": "hors commerce",
    "TP": "trial proof",
    "FP": "foundry proof",
    "AC": "artist's copy",
    "PU": "pièce unique",
}
HIGHEST = 3999
LETTERS = "ABCDEFGHIJKLMNOPQRST"

_ROMAN = (
    (1000, "M"), (900, "CM"), (500, "D"), (400, "CD"), (100, "C"), (90, "XC"),
    (50, "L"), (40, "XL"), (10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"),
)  # fmt: skip

_SPOKEN = {
    "AP": r"a\.? ?p\.?|a/p|artist'?s?'? proof",
    "EA": r"e\.? ?a\.?|e/a|[ée]preuve d'artiste",
    "HC": r"h\.? ?c\.?|h/c|hors commerce",
    "TP": r"t\.? ?p\.?|t/p|trial proof",
    "FP": r"f\.? ?p\.?|f/p|foundry proof",
    "AC": r"a\.? ?c\.?|artist'?s?'? copy",
}
_UNIQUE = re.compile(r"p\.? ?u\.?|pi[èe]ce unique|unique", re.IGNORECASE)
_NUMBER = r"[1-9][0-9]{0,3}|[IVXLCDM]{1,15}"
_COUNT = rf"(?P<position>{_NUMBER})(?: ?/ ?| of | sur )(?P<total>{_NUMBER})"
_NAMED = "|".join(f"(?P<{series}>{words})" for series, words in _SPOKEN.items())

_RUN = re.compile(rf"(?:(?:n(?:[o°º]\.?|r?\.)|№|#|ed\.|edition) ?)?{_COUNT}", re.IGNORECASE)
# A Roman numeral needs a space or a stop before it: EAI/IV could be split in two ways.
_BEFORE = re.compile(rf"(?:{_NAMED})(?: |(?<=\.)|(?=[0-9]))(?:n[o°º]\.? )?{_COUNT}", re.IGNORECASE)
_AFTER = re.compile(rf"{_COUNT} (?:{_NAMED})", re.IGNORECASE)
_ALONE = re.compile(rf"(?:{_NAMED}) (?P<position>{_NUMBER})", re.IGNORECASE)

_LONGEST = 60
_MARKS = str.maketrans({"’": "'", "`": "'", "⁄": "/", "∕": "/"})


class Designation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One designation; ``series`` is empty for the numbered run, ``total`` None where not said.

    Raises:
        Unreadable: On making one that no text could mean.
    """

    series: str
    position: int | str
    total: int | None
    numerals: Numerals

    def __post_init__(self) -> None:
        if not _means_something(self):
            raise Unreadable(
                f"No designation has the series “{self.series}”, the position {self.position!r}"
                f" and the total {self.total!r} in {self.numerals} numerals.",
                "Write it as 3/8, III/VIII, AP I/IV, EA 2/4, HC 1/2, A or PU.",
            )

    def __str__(self) -> str:
        if self.series == "PU":
            return "PU"
        if self.total is None:
            return f"{self.series} {self._numeral(self.position)}".strip()
        return f"{self.series} {self._numeral(self.position)}/{self._numeral(self.total)}".strip()

    def _numeral(self, number: int | str) -> str:
        """Return a number in this designation's numerals."""
        return (
            roman(number) if self.numerals == "roman" and isinstance(number, int) else str(number)
        )

    @property
    def outside_run(self) -> bool:
        """Whether it stands outside the numbered run."""
        return self.series not in ("", "PU")

    def within_total(self) -> bool:
        """Tell whether the position is not above the total, where there is a total."""
        if self.total is None or isinstance(self.position, str):
            return True
        return self.position <= self.total


# A run's numbers are read again for each page that counts them.
@lru_cache(maxsize=4096)
def read_designation(text: str) -> Designation | None:
    """Read a designation; None where it is not surely one of the forms above."""
    if len(text) > _LONGEST:
        return None
    plain = " ".join(unicodedata.normalize("NFC", text).translate(_MARKS).split())
    if len(plain) == 1 and plain.upper() in LETTERS:
        return Designation("", plain.upper(), None, "letter")
    if _UNIQUE.fullmatch(plain):
        return Designation("PU", 1, 1, "arabic")
    for form in (_RUN, _BEFORE, _AFTER, _ALONE):
        if found := form.fullmatch(plain):
            return _counted(found.groupdict())
    return None


def roman(number: int) -> str:
    """Return a number from 1 to 3999 in Roman numerals.

    Raises:
        Unreadable: The number is outside that range.
    """
    if not 1 <= number <= HIGHEST:
        raise Unreadable(f"{number} has no Roman numeral.", f"They run from 1 to {HIGHEST}.")
    written = ""
    for value, letters in _ROMAN:
        count, number = divmod(number, value)
        written += letters * count
    return written


def read_roman(text: str) -> int | None:
    """Return the number of a Roman numeral in its usual form, or None (``IIII`` is none)."""
    values = {letters: value for value, letters in _ROMAN}
    upper = text.upper()
    if not text.isascii() or not set(upper) <= set("IVXLCDM") or not 1 <= len(upper) <= 15:
        return None
    number = 0
    for here, after in zip(upper, [*upper[1:], "I"], strict=True):
        number += values[here] if values[here] >= values[after] else -values[here]
    return number if 1 <= number <= HIGHEST and roman(number) == upper else None


def _counted(found: dict[str, str | None]) -> Designation | None:
    """Return the designation that a form matched, or None where its numerals are mixed."""
    series = next((name for name in _SPOKEN if found.get(name)), "")
    written = [text for text in (found["position"], found.get("total")) if text]
    if all(text.isdigit() for text in written):
        return _made(series, [int(text) for text in written], "arabic")
    return _made(series, [read_roman(text) for text in written], "roman")


def _made(series: str, numbers: list[int | None], numerals: Numerals) -> Designation | None:
    """Return the designation, or None where a numeral did not read."""
    position, total = numbers[0], numbers[1] if len(numbers) > 1 else None
    if position is None or None in numbers or not _sure(position, total, numerals):
        return None
    return Designation(series, position, total, numerals)


def _sure(position: int, total: int | None, numerals: Numerals) -> bool:
    """Tell whether a Roman numeral without a total is surely one: AP C may be a letter."""
    return total is not None or numerals == "arabic" or position < 40


def _means_something(made: Designation) -> bool:
    """Tell whether some text reads as this designation."""
    if made.numerals == "letter":
        return made.series == "" and made.total is None and str(made.position) in list(LETTERS)
    if isinstance(made.position, str) or made.series not in SERIES:
        return False
    if made.series == "PU":
        return (made.position, made.total, made.numerals) == (1, 1, "arabic")
    highest = HIGHEST if made.numerals == "roman" else 9999
    if not 1 <= made.position <= highest or (made.series == "" and made.total is None):
        return False
    in_range = made.total is None or 1 <= made.total <= highest
    return in_range and _sure(made.position, made.total, made.numerals)
