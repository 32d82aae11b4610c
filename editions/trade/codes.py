"""Codes of the registry, tags of the shop, and ranges of either.

A code is a letter, a hyphen and the rest: ``P-0412``.  The letter says what the code names: Y a
party, D a model, K a work, R a run, M a mold, W a wax, H a heat, P a piece, C a recipe, A an alloy
of the foundry's own, L a lot of metal.  The rest begins with a digit or a letter and holds digits,
letters and hyphens, nineteen at most.  A tag is what hangs on a wax or a shell in the shop: up to
24 digits, letters, points, slashes and hyphens.  Both are read in any case and kept in capitals.

A list names several at once: ``T-0101..T-0112, T-0120``.  A range counts its last digits up and
keeps their width.

>>> expand("t-0099..t-0101")
['T-0099', 'T-0100', 'T-0101']
>>> next_code("P", 9999)
'P-10000'
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from editions.errors import Unreadable
from editions.trade.text import shown

LETTERS = {
    "Y": "party",
    "D": "model",
    "K": "work",
    "R": "run",
    "M": "mold",
    "W": "wax",
    "H": "heat",
    "P": "piece",
    "C": "recipe",
    "A": "alloy",
    "L": "lot",
}

MOST = 500
_LONGEST_LIST = 16_000

_CODE = re.compile(rf"[{''.join(LETTERS)}]-[0-9A-Z][0-9A-Z-]{{0,18}}")
_TAG = re.compile(r"[0-9A-Z][0-9A-Z./-]{0,23}")
_COUNTED = re.compile(r"(?P<stem>.*?)(?P<digits>[0-9]+)")


def read_code(text: str, letter: str | None = None) -> str:
    """Read a registry code, of one kind where ``letter`` names it.

    Raises:
        Unreadable: Not a code, or the code of something else.
    """
    code = text.strip().upper()
    if not text.isascii() or not _CODE.fullmatch(code):
        raise Unreadable(
            f"{shown(text)} is not a code.",
            f"A code is a letter, a hyphen and a number, such as {letter or 'P'}-0001.",
        )
    if letter is not None and code[0] != letter:
        raise Unreadable(
            f"{code} names a {LETTERS[code[0]]}; the code of a {LETTERS[letter]} is wanted.",
            f"Such a code begins with {letter}-.",
        )
    return code


def read_tag(text: str) -> str:
    """Read a shop tag.

    Raises:
        Unreadable: Not a tag; two points together are kept for ranges.
    """
    tag = text.strip().upper()
    if not text.isascii() or not _TAG.fullmatch(tag) or ".." in tag:
        raise Unreadable(
            f"{shown(text)} is not a tag.",
            "A tag is up to 24 digits, letters, points, slashes and hyphens, such as T-0101.",
        )
    return tag


def next_code(letter: str, last: int) -> str:
    """Return the code after the ``last`` one given, of four digits or more.

    Raises:
        Unreadable: The letter names no kind, or ``last`` is below zero.
    """
    if letter not in LETTERS or last < 0:
        raise Unreadable(
            f"No code follows {shown(letter)} {last}.", f"Letters: {' '.join(LETTERS)}."
        )
    return f"{letter}-{last + 1:04d}"


def expand(text: str) -> list[str]:
    """Return every code or tag that a list with ranges names, in the order written.

    Raises:
        Unreadable: An empty place, a range that runs backwards or between different stems or
            widths, a name given twice, or more than 500 names.
    """
    if len(text) > _LONGEST_LIST:
        raise Unreadable(
            f"The list is {len(text)} characters long.", f"Name at most {MOST} at once."
        )
    names: dict[str, None] = {}
    for part in text.split(","):
        for name in _range(part):
            if name in names:
                raise Unreadable(f"{name} is named twice in the list.", "Name each one once.")
            names[name] = None
            if len(names) > MOST:
                raise Unreadable(f"The list names more than {MOST}.", "Split it into several.")
    return list(names)


def nearest(code: str, known: Iterable[str], n: int = 3) -> list[str]:
    """Return up to ``n`` known codes written most like this one, the likeliest first."""
    return difflib.get_close_matches(code.strip().upper()[:64], list(known), n=n, cutoff=0.6)


def _range(part: str) -> Iterable[str]:
    """Return the names of one part of a list, counted lazily."""
    first_text, dots, last_text = part.partition("..")
    first = read_tag(first_text)
    if not dots:
        return [first]
    return _counted(first, read_tag(last_text))


def _both_ends(first: str, last: str) -> str:
    """The remedy for a range whose ends differ: of digits alone, what was probably meant."""
    start = _COUNTED.fullmatch(first)
    if start and last.isdecimal() and len(last) <= len(start["digits"]):
        whole = start["digits"][: len(start["digits"]) - len(last)] + last
        return f"Write {first}..{start['stem']}{whole}."
    return "Both ends have the same beginning and end in digits, such as T-0101..T-0112."


def _counted(first: str, last: str) -> Iterable[str]:
    """Count from the first name to the last; the digits at the end count, the stem stays."""
    start, end = _COUNTED.fullmatch(first), _COUNTED.fullmatch(last)
    written = f"The range {first}..{last}"
    if not start or not end or start["stem"] != end["stem"]:
        raise Unreadable(
            f"{written} does not count.",
            _both_ends(first, last),
        )
    low, high, width = int(start["digits"]), int(end["digits"]), len(start["digits"])
    if end["digits"] != f"{high:0{width}d}":
        raise Unreadable(f"{written} has ends of different widths.", "Write T-0099..T-0101.")
    if high < low:
        raise Unreadable(f"{written} runs backwards.", f"Write {last}..{first}.")
    return (f"{start['stem']}{number:0{width}d}" for number in range(low, high + 1))
