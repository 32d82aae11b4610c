"""Where a bronze has been, as far as the book holds it openly: a line of days, gaps among them.

Who received it is held, and the book hears nothing of a bronze that left unless somebody tells it.
So a stretch without an entry is shown as what it is: a gap, and no sign of anything.
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.pages.values import Stay
from editions.trade.certificates import Certificate, Missing
from editions.trade.dates import certainly_before, earliest
from editions.trade.pieces import Piece

_GAP = Stay(event="gap")
_GONE: tuple[Missing, ...] = ("lost", "stolen")


def stays(certificate: Certificate, piece: Piece | None) -> Iterator[Stay]:
    """The line, from the casting to what was told last; nothing for a number without a cast."""
    if piece is None:
        return
    if piece.from_object:
        yield from _of_object(piece, certificate)
    elif piece.released:
        yield Stay(event="cast", on=piece.cast_on)
        raw = piece.released_as == "raw metal"
        yield Stay(event="released_raw" if raw else "released", on=piece.released)
        yield _GAP
    else:
        yield Stay(event="cast", on=piece.cast_on)
        yield Stay(event="in_foundry" if piece.scrapped is None else "gap")
    yield from _told_later(certificate, piece)


def _of_object(piece: Piece, certificate: Certificate) -> Iterator[Stay]:
    yield Stay(event="cast_before" if piece.cast else "not_recorded", on=piece.cast)
    yield _GAP
    yield Stay(event="examined", on=piece.since)
    if certainly_before(piece.since, certificate.issued):
        yield _GAP


def _told_later(certificate: Certificate, piece: Piece) -> Iterator[Stay]:
    """What was told of a bronze after it left, and of its paper, by day."""
    left = piece.released
    later = [
        Stay(event="mark_found", on=mark.on)
        for mark in piece.marks
        if left and certainly_before(left, mark.on)
    ]
    later += [
        Stay(event=word, on=certificate.ended) for word in _GONE if word == certificate.standing
    ]
    if piece.scrapped:
        later.append(Stay(event="scrapped", on=piece.scrapped))
    yield from sorted(later, key=_day)
    if later and not piece.scrapped:
        yield _GAP


def _day(stay: Stay) -> str:
    return str(earliest(stay.on or "") or "9999")
