"""Words in this book's spelling: those of other English shops are read wherever it has words.

An option, a command, a step or a field may be written ``color``, ``analyze`` or ``mould``; what a
person writes in free text stays as it is.

>>> as_spelled("approved-in-color")
'approved-in-colour'
"""

from __future__ import annotations

_SPELLINGS = (
    ("color", "colour"),
    ("analyz", "analys"),
    ("authoriz", "authoris"),
    ("mould", "mold"),
)


def as_spelled(word: str) -> str:
    """Return a word, in small letters, as it is spelled here."""
    for other, own in _SPELLINGS:
        word = word.replace(other, own)
    return word
