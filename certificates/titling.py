"""Artist, title and designation: set large and calm, made smaller only when they must be.

A name that is too long even for the smallest size is cut with an ellipsis and printed in full among
the facts.  Measures are millimetres on the sheet, sizes are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from certificates.layout import POINTS, Box
from certificates.pen import Ink
from certificates.typeface import Face, shortened, width, wrap
from certificates.wording import Fact, given_number, notice, number_note
from editions.trade.statement import Statement

Sizes = tuple[tuple[float, int], ...]
"""Sizes from the largest, each with the most lines it may take."""

_ARTIST: Sizes = ((19, 1), (16, 1), (13.5, 2), (11, 3))
_TITLE: Sizes = ((42, 1), (37, 2), (31, 2), (26, 3), (21, 4), (17, 5), (14, 5))
_DESIGNATION: Sizes = ((22, 1), (17, 1), (13, 2), (10.5, 3))
_NO_NUMBER: Sizes = ((12, 1), (10.5, 2))
_NOTICE: Sizes = ((13, 1), (12, 2), (10, 4))
_SMALL: Sizes = ((10.5, 2), (9, 3))


class TitleLine(NamedTuple):
    """One line in its place."""

    text: str
    x: float
    y: float
    face: Face
    size: float
    ink: Ink


class Titling(NamedTuple):
    """The lines of the block, and as facts what was too long for it."""

    lines: tuple[TitleLine, ...]
    facts: tuple[Fact, ...]


class _Part(NamedTuple):
    label: str
    text: str
    face: Face
    sizes: Sizes
    ink: Ink
    above: float
    leading: float


class _Fitted(NamedTuple):
    part: _Part
    size: float
    lines: tuple[str, ...]
    whole: bool = True

    def height(self) -> float:
        """The height of the lines without the space above them."""
        return len(self.lines) * self.size * self.part.leading / POINTS


def title_block(statement: Statement, box: Box) -> Titling:
    """Artist, title and designation within a box, centred on its height."""
    room = box.width * POINTS
    parts = [part for part in _parts(statement) if part.text]
    others = {part.label: _fit(part, room) for part in parts if part.label != "Title"}
    spaces = sum(part.above for part in parts[1:])
    left = box.height - spaces - sum(fitted.height() for fitted in others.values())
    title = next(part for part in parts if part.label == "Title")
    fitted = [others.get(part.label) or _fit(title, room, left) for part in parts]
    spare = box.height - spaces - sum(each.height() for each in fitted)
    lines = _placed(fitted, box.left, box.top + max(0.0, spare / 2))
    return Titling(lines, tuple(_in_full(each) for each in fitted if not each.whole))


def _parts(statement: Statement) -> tuple[_Part, ...]:
    number = _DESIGNATION if statement.designation else _NO_NUMBER
    return (
        _Part("Notice", notice(statement), "italic", _NOTICE, "ink", 0.0, 1.2),
        _Part("Artist", statement.artist, "roman", _ARTIST, "ink", 4.5, 1.15),
        _Part("Life dates", statement.artist_life, "italic", _SMALL, "bronze", 0.3, 1.2),
        _Part("Title", statement.title, "italic", _TITLE, "ink", 4.0, 1.06),
        _Part("Number", given_number(statement), "roman", number, "ink", 4.0, 1.15),
        _Part("Note", number_note(statement), "italic", _SMALL, "bronze", 0.6, 1.2),
    )


def _fit(part: _Part, room: float, height: float = float("inf")) -> _Fitted:
    """The largest size at which the text takes few enough lines and breaks no word."""
    for size, most in part.sizes:
        lines = wrap(part.text, part.face, size, room)
        fitted = _Fitted(part, size, tuple(lines))
        unbroken = _longest_word(part, size) <= room
        if len(lines) <= most and unbroken and fitted.height() <= height:
            return fitted
    return _cut(part, room, height)


def _cut(part: _Part, room: float, height: float) -> _Fitted:
    size, most = part.sizes[-1]
    most = max(1, min(most, int(height * POINTS / (size * part.leading)) if height < 1e6 else most))
    lines = wrap(part.text, part.face, size, room)
    if len(lines) <= most:
        return _Fitted(part, size, tuple(lines))
    last = shortened(" ".join(lines[most - 1 :]), part.face, size, room)
    return _Fitted(part, size, (*lines[: most - 1], last), whole=False)


def _longest_word(part: _Part, size: float) -> float:
    return max(width(word, part.face, size) for word in part.text.split())


def _placed(fitted: Sequence[_Fitted], x: float, y: float) -> tuple[TitleLine, ...]:
    placed = []
    for at, each in enumerate(fitted):
        y += each.part.above if at else 0.0
        step = each.size * each.part.leading / POINTS
        for text in each.lines:
            y += step
            base = y - step * 0.25
            placed.append(TitleLine(text, x, base, each.part.face, each.size, each.part.ink))
    return tuple(placed)


def _in_full(fitted: _Fitted) -> Fact:
    return Fact(label=f"{fitted.part.label} in full", lines=(fitted.part.text,))
