"""Replaying: the whole book folded, without judging anything.

:class:`Replay` fills a fresh database from raw bytes; :func:`rebuild` makes the projections of a
book anew where it lies.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Connection, delete, insert

from editions.errors import Contradiction
from editions.ledger.envelope import Entry, decode
from editions.ledger.tree import Frontier, leaf_hash
from editions.store import erasing, queries
from editions.store.connection import plain_errors
from editions.store.effective import Changes, Stored, happened
from editions.store.journal import entry_row
from editions.store.shelf import Shelf
from editions.store.tables import PROJECTIONS, entries, nodes, touches
from editions.trade.kinds import touched_codes

BATCH = 1000
Item = TypeVar("Item")


class Replay:
    """Folds entries, in order, into an empty database; remembers the frontier at each size.

    Where the book is there already, ``index_only`` leaves it alone and fills the projections.
    """

    def __init__(self, target: Connection, changes: Changes, *, index_only: bool = False) -> None:
        self._target = target
        self._changes = changes
        self._index_only = index_only
        self._shelf = Shelf(target, empty=True)
        self.frontier = Frontier(0, ())

    def take(self, stored: list[Stored]) -> None:
        """Fold one batch of entries and write it.

        Raises:
            BronzebookError: If an entry cannot be read or folded.
        """
        rows: list[dict[str, Any]] = []
        touching: list[dict[str, Any]] = []
        read: list[tuple[int, Entry]] = []
        for place, one in enumerate(stored, self.frontier.size):
            if one.position != place:
                raise Contradiction(f"position {place} was expected")
            entry = decode(one.raw)
            leaf = leaf_hash(one.raw)
            seen = happened(entry, leaf, self._changes)
            codes = touched_codes(entry.subject, seen.facts)
            if self._changes.leave_out(seen.leaf, seen.facts):
                self._shelf.count(codes)
            else:
                self._shelf.fold(codes, seen)
            rows.append(entry_row(one.position, entry, leaf, one.raw))
            touching += [{"code": code, "position": one.position} for code in codes]
            read.append((one.position, entry))
        with plain_errors():
            self._grow(rows)
            self._target.execute(insert(touches), touching)
            erasing.index_erasures(self._target, read)
            self._shelf.flush()

    def _grow(self, rows: list[dict[str, Any]]) -> None:
        self.frontier, closed = self.frontier.grown([row["leaf"] for row in rows])
        if not self._index_only:
            written = [{"level": n.level, "place": n.index, "hash": n.hash} for n in closed]
            self._target.execute(insert(nodes), written)
            self._target.execute(insert(entries), rows)


def rebuild(book: Connection) -> None:
    """Empty the projections of a book and fold them anew from its entries.

    Raises:
        BronzebookError: If an entry cannot be read or folded.
    """
    with plain_errors():
        for table in PROJECTIONS:
            book.execute(delete(table))
    replay = Replay(book, queries.all_corrections(book), index_only=True)
    for batch in in_batches(queries.stored_entries(book)):
        replay.take(batch)


def in_batches(items: Iterable[Item], size: int = BATCH) -> Iterator[list[Item]]:
    """Lists of up to ``size`` items, in order."""
    stream = iter(items)
    while batch := list(islice(stream, size)):
        yield batch
