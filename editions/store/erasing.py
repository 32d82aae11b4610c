"""Erasing held values: an entry names them, the index ``erasures`` finds them, the rows are gone.

The index is folded from the book like any other: a value that two entries erase belongs to the
first.  Deleting a held value is refused by the database unless the index leads to an entry that
names it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, and_, bindparam, delete, insert, select

from editions.errors import BronzebookError, Contradiction
from editions.ledger.envelope import Entry, decode
from editions.store.tables import entries, erasures, held
from editions.trade.held import HeldErased
from editions.trade.kinds import facts_from

ERASURE = HeldErased.kind
Erased = dict[str, set[str]]


def erases(entry: Entry) -> tuple[tuple[str, str], ...]:
    """Leaf and field of each value that an entry erases; nothing for any other kind.

    Raises:
        Unreadable: If its facts cannot be read.
    """
    if entry.kind != ERASURE:
        return ()
    facts = facts_from(entry.kind, entry.facts)
    assert isinstance(facts, HeldErased)  # noqa: S101 - that is its kind
    return facts.erases()


def index_erasures(connection: Connection, erasing: Iterable[tuple[int, Entry]]) -> None:
    """Write the index of the values that these entries erase; the entries are in the table.

    Args:
        connection: A writer's.
        erasing: Positions and entries, in the order of the book.

    Raises:
        Contradiction: If an erased entry is not in the book.
    """
    for erased, entry in erasing:
        for leaf, field in erases(entry):
            row = {"position": _position(connection, leaf), "field": field, "erased": erased}
            if not _is_indexed(connection, row["position"], field):
                connection.execute(insert(erasures), [row])


def destroy(connection: Connection, erased: Iterable[int]) -> None:
    """Delete the salts and values that the entries at these positions erase."""
    look = select(erasures.c.position, erasures.c.field)
    same = and_(held.c.position == bindparam("at"), held.c.field == bindparam("name"))
    for position in erased:
        for row in connection.execute(look.where(erasures.c.erased == position)).all():
            gone = {"at": row.position, "name": row.field}
            connection.execute(delete(held).where(same), gone)


def is_erased(connection: Connection, leaf: str, field: str) -> bool:
    """Whether a held field of the entry with this leaf was erased."""
    look = (
        select(erasures.c.field)
        .join(entries, entries.c.position == erasures.c.position)
        .where(entries.c.leaf == bytes.fromhex(leaf), erasures.c.field == field)
    )
    return connection.execute(look).first() is not None


def erased_in(connection: Connection) -> Erased:
    """The held fields that entries of the book erase, by leaf; read from the entries alone."""
    erased: Erased = {}
    look = select(entries.c.bytes).where(entries.c.kind == ERASURE)
    for row in connection.execute(look):
        for leaf, field in _readable(row.bytes):
            erased.setdefault(leaf, set()).add(field)
    return erased


def _readable(raw: bytes) -> tuple[tuple[str, str], ...]:
    try:
        return erases(decode(raw))
    except BronzebookError:
        return ()  # the audit names an entry that cannot be read, where it lies


def _position(connection: Connection, leaf: str) -> int:
    look = select(entries.c.position).where(entries.c.leaf == bytes.fromhex(leaf))
    position: int | None = connection.execute(look).scalar()
    if position is None:
        raise Contradiction(f"A held value of entry {leaf[:16]}… was erased; it is not here.")
    return position


def _is_indexed(connection: Connection, position: Any, field: str) -> bool:
    look = select(erasures.c.erased)
    look = look.where(erasures.c.position == position, erasures.c.field == field)
    return connection.execute(look).first() is not None
