"""Figures and letters as strokes, as a punch leaves them: one width of line, round ends.

Each stands in a field 12 high and is written in relative steps from its upper left corner, so that
any number of them makes one path.

>>> stroked("1", 10, 5)
'M10 5m1 3l3-3v12'
>>> width("14"), width("III")
(18, 10)
"""

from __future__ import annotations

from editions.charts.drawing import Number, number

HEIGHT = 12
_GAP = 2
_WIDE, _NARROW = 8, 2
# Every stroke of one letter; a letter that is not here is left out, as a punch set lacks some.
_STROKES = {
    "0": "m4 0c-3 0-4 3-4 6s1 6 4 6 4-3 4-6-1-6-4-6z",
    "1": "m1 3l3-3v12",
    "2": "m0 3c0-2 2-3 4-3s4 1 4 3.5c0 2.5-8 5-8 8.5h8",
    "3": "m0 1c1-.7 2.5-1 4-1 2 0 3.5 1 3.5 3s-1.5 2.5-4.5 2.5"
    "c3 0 5 1 5 3.2s-2 3.3-4 3.3-3-.5-4-1.5",
    "4": "m6 12v-12l-6 8.5h8",
    "5": "m7 0h-5.5l-.5 5.5c1-.8 2-1.1 3-1.1 2.5 0 4 1.6 4 3.6s-1.7 4-4 4-3-.5-4-1.5",
    "6": "m7 1c-1-.7-2-1-3-1-3 0-4 4-4 7.5 0 3 1.7 4.5 4 4.5s4-1.5 4-3.8-1.7-3.5-4-3.5-4 1.3-4 3.3",
    "7": "m0 0h8l-5 12",
    "8": "m4 5.5c-2 0-3.3-1-3.3-2.8s1.3-2.7 3.3-2.7 3.3 1 3.3 2.7-1.3 2.8-3.3 2.8"
    "c-2.3 0-4 1.2-4 3.2s1.7 3.3 4 3.3 4-1.2 4-3.3-1.7-3.2-4-3.2",
    "9": "m1 11c1 .7 2 1 3 1 3 0 4-4 4-7.5 0-3-1.7-4.5-4-4.5s-4 1.5-4 3.8"
    " 1.7 3.5 4 3.5 4-1.3 4-3.3",
    "A": "m0 12l4-12 4 12m-6.5-4h5",
    "B": "m0 0v12h4.5c4.5 0 4.5-6.5 0-6.5h-4.5 4c4 0 4-5.5 0-5.5z",
    "C": "m8 2c-1-1.3-2.3-2-4-2-2.5 0-4 2.5-4 6s1.5 6 4 6c1.7 0 3-.7 4-2",
    "D": "m0 0v12h3c3.5 0 5-2.5 5-6s-1.5-6-5-6z",
    "E": "m7 0h-7v12h7m-7-6h6",
    "F": "m7 0h-7v12m0-6h6",
    "G": "m8 2c-1-1.3-2.3-2-4-2-2.5 0-4 2.5-4 6s1.5 6 4 6 4-1.5 4-5h-4",
    "H": "m0 0v12m8-12v12m-8-6h8",
    "I": "m1 0v12",
    "J": "m6 0v9c0 4-6 4-6 0",
    "K": "m0 0v12m8-12l-8 7m3-2.5l5 7.5",
    "L": "m0 0v12h7",
    "M": "m0 12v-12l4 7 4-7v12",
    "N": "m0 12v-12l8 12v-12",
    "O": "m4 0c-3 0-4 3-4 6s1 6 4 6 4-3 4-6-1-6-4-6z",
    "P": "m0 12v-12h4.5c4.5 0 4.5 6.5 0 6.5h-4.5",
    "Q": "m4 0c-3 0-4 3-4 6s1 6 4 6 4-3 4-6-1-6-4-6zm1 9l3 3",
    "R": "m0 12v-12h4.5c4.5 0 4.5 6.5 0 6.5h-4.5m4 0l4 5.5",
    "S": "m7.5 1.5c-2-2-7-2-7 1.5 0 4 7.5 2 7.5 6 0 4-6 4-8 1.5",
    "T": "m0 0h8m-4 0v12",
    "V": "m0 0l4 12 4-12",
    "X": "m0 0l8 12m0-12l-8 12",
}


def stroked(text: str, x: Number, y: Number) -> str:
    """Return the path of a line of figures or letters, its upper left corner at a place."""
    steps = []
    for letter in text:
        if letter in _STROKES:
            steps.append(f"M{number(x)} {number(y)}{_STROKES[letter]}")
        x = float(x) + _width(letter) + _GAP
    return "".join(steps)


def width(text: str) -> int:
    """Return how wide a line of them is."""
    return sum(map(_width, text)) + _GAP * max(len(text) - 1, 0)


def _width(letter: str) -> int:
    return _NARROW if letter == "I" else _WIDE
