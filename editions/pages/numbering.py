"""What a site needs of every certificate at once, in one look over them all.

A few fields are read of each; only what no longer stands is read whole.  A row that cannot be read
so is looked up as any other, from the entries if need be.
"""

from __future__ import annotations

import msgspec

from editions.errors import BronzebookError
from editions.pages.view import Room
from editions.store import queries
from editions.trade.certificates import Certificate
from editions.trade.numbers import read_number


class _Words(msgspec.Struct):
    photograph: str | None = None


class _Brief(msgspec.Struct):
    statement: _Words
    piece: str | None = None
    run: str | None = None
    standing: str = "stands"


_BRIEF = msgspec.json.Decoder(_Brief)


class Counted(msgspec.Struct, frozen=True):
    """Every certificate's number, what photographs they print, and those that do not stand.

    Numbers come by run, since the pages of a run share most of what they tell.
    """

    numbers: tuple[str, ...]
    pieces: dict[str, str]
    photographs: tuple[str, ...]
    printed: frozenset[str]
    ended: tuple[Certificate, ...]


def counted(room: Room) -> Counted:
    """All certificates, looked over once for a state of the book."""
    return room.once("certificates", lambda: _count(room))


def _count(room: Room) -> Counted:
    rows = queries.subjects_of(room.desk.reading.connection, "")
    known = {code: _brief(room, code, text) for code, text in rows if _is_number(code)}
    printed = {one.statement.photograph for one in known.values() if one}
    over = [code for code, one in known.items() if one and one.standing != "stands"]
    digests = frozenset(digest for digest in printed if digest)
    return Counted(
        numbers=tuple(sorted(known, key=lambda code: _after(known[code], code))),
        pieces={code: one.piece for code, one in known.items() if one and one.piece},
        photographs=tuple(sorted(digests)),
        printed=digests,
        ended=tuple(filter(None, (room.desk.get(code, Certificate) for code in over))),
    )


def _after(one: _Brief | Certificate | None, code: str) -> tuple[str, str, str]:
    return (one.run or "", one.piece or "", code) if one else ("", "", code)


def _brief(room: Room, code: str, text: str) -> _Brief | Certificate | None:
    try:
        return _BRIEF.decode(text)
    except msgspec.MsgspecError:
        return room.desk.get(code, Certificate)


def _is_number(code: str) -> bool:
    try:
        return read_number(code) == code
    except BronzebookError:
        return False
