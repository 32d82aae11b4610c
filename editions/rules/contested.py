"""Numbers that more than one bronze of a run bears in its metal.

The number a run gives is unique; the mark on a bronze is what someone cut, and two may bear one.
The book says so and decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from editions.trade.pieces import Piece


class Contest(msgspec.Struct, frozen=True, kw_only=True):
    """A number, the pieces that bear it in the metal, and the one the run gave it to, if any."""

    number: str
    borne_by: tuple[str, ...]
    given_to: str | None = None

    def __str__(self) -> str:
        says = f"{self.number} is borne by {' and '.join(self.borne_by)}"
        return f"{says}; given to {self.given_to}" if self.given_to else f"{says}; given to none"


def contested(pieces: Iterable[Piece]) -> tuple[Contest, ...]:
    """Return each number that two or more of the pieces of one run bear, in order of first bearing.

    A piece that was scrapped no longer bears a mark.
    """
    borne: dict[str, dict[str, None]] = {}
    given: dict[str, str] = {}
    for piece in pieces:
        if piece.scrapped:
            continue
        for mark in piece.marks:
            if mark.number:
                borne.setdefault(mark.number, {})[piece.code] = None
        if piece.number:
            given[piece.number] = piece.code
    return tuple(
        Contest(number=number, borne_by=tuple(codes), given_to=given.get(number))
        for number, codes in borne.items()
        if len(codes) > 1
    )
