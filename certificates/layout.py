"""Where things stand on the paper: positions as data, in millimetres from the top left corner.

Both papers share one plan, from the top: mark, kind of paper and number; artist, title and
designation with the photograph beside them; the facts in two columns; the places for ink; and at
the foot the code, the words that go with it, and the place kept for the artist's own proof.  What
does not fit flows to further pages in two columns.

>>> SHEETS["A4"].reserved.right == SHEETS["A4"].facts.right
True
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import msgspec

Page = Literal["A4", "letter"]

POINTS = 72 / 25.4
"""Points to a millimetre."""

CODE_LEAST = 26.0
"""The least side of the code's modules, without its quiet zone."""

CODE_USUAL = 36.0
"""The side of the code with its quiet zone, where the smallest module allows it."""

MODULE_LEAST = 0.4
"""The least side of a module."""


class Box(NamedTuple):
    """A place on the paper: left and top edge, width and height."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The bottom edge."""
        return self.top + self.height


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """Every place of one paper size."""

    width: float
    height: float
    frame: Box
    mark: Box
    heading: Box
    number: Box
    head_rule: float
    title: Box
    photograph: Box
    facts: Box
    more: Box
    gutter: float
    foot_rule: float
    signatures: tuple[Box, Box]
    code: Box
    words: Box
    reserved: Box
    page_line: float


A4 = Sheet(
    width=210.0,
    height=297.0,
    frame=Box(9.0, 9.0, 192.0, 279.0),
    mark=Box(24.0, 18.0, 17.0, 17.0),
    heading=Box(46.0, 18.0, 90.0, 17.0),
    number=Box(138.0, 18.0, 48.0, 17.0),
    head_rule=40.0,
    title=Box(24.0, 44.0, 162.0, 58.0),
    photograph=Box(134.0, 45.0, 52.0, 56.0),
    facts=Box(24.0, 108.0, 162.0, 96.0),
    more=Box(24.0, 48.0, 162.0, 226.0),
    gutter=9.0,
    foot_rule=209.0,
    signatures=(Box(24.0, 211.0, 76.5, 20.0), Box(109.5, 211.0, 76.5, 20.0)),
    code=Box(24.0, 236.0, 44.0, 44.0),
    words=Box(24.0, 236.0, 162.0, 44.0),
    reserved=Box(150.0, 236.0, 36.0, 36.0),
    page_line=283.5,
)

LETTER = Sheet(
    width=215.9,
    height=279.4,
    frame=Box(9.0, 9.0, 197.9, 261.4),
    mark=Box(24.0, 17.0, 17.0, 17.0),
    heading=Box(46.0, 17.0, 96.0, 17.0),
    number=Box(143.9, 17.0, 48.0, 17.0),
    head_rule=38.0,
    title=Box(24.0, 41.0, 167.9, 54.0),
    photograph=Box(139.9, 42.0, 52.0, 52.0),
    facts=Box(24.0, 99.0, 167.9, 89.0),
    more=Box(24.0, 46.0, 167.9, 210.0),
    gutter=9.0,
    foot_rule=192.0,
    signatures=(Box(24.0, 194.0, 79.4, 20.0), Box(112.5, 194.0, 79.4, 20.0)),
    code=Box(24.0, 218.5, 44.0, 44.0),
    words=Box(24.0, 218.5, 167.9, 44.0),
    reserved=Box(155.9, 218.5, 36.0, 36.0),
    page_line=266.0,
)

SHEETS: dict[Page, Sheet] = {"A4": A4, "letter": LETTER}


def code_module(modules: int) -> float:
    """The side of one module for a code of so many to a side, in millimetres."""
    quiet_too = modules + 8
    return max(MODULE_LEAST, CODE_LEAST / modules, CODE_USUAL / quiet_too)
