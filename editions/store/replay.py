"""Replaying: the whole book folded into a fresh database, without judging anything."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Connection, insert

from editions.errors import Contradiction
from editions.ledger.envelope import decode
from editions.ledger.tree import Frontier, leaf_hash
from editions.store.connection import plain_errors
from editions.store.effective import Changes, Stored, happened
from editions.store.journal import entry_row
from editions.store.shelf import Shelf
from editions.store.tables import entries, nodes, touches
from editions.trade.kinds import touched_codes

BATCH = 1000
Item = TypeVar("Item")


class Replay:
    """Folds entries, in order, into an empty database; remembers the frontier at each size."""

    def __init__(self, target: Connection, changes: Changes) -> None:
        self._target = target
        self._changes = changes
        self._shelf = Shelf(target, empty=True)
        self.frontier = Frontier(0, ())

    def take(self, stored: list[Stored]) -> None:
        """Fold one batch of entries and write it.

        Raises:
            BronzebookError: If an entry cannot be read or folded.
        """
        rows: list[dict[str, Any]] = []
        touching: list[dict[str, Any]] = []
        for place, one in enumerate(stored, self.frontier.size):
            if one.position != place:
                raise Contradiction(f"position {place} was expected")
            entry = decode(one.raw)
            leaf = leaf_hash(one.raw)
            seen = happened(entry, leaf, self._changes)
            codes = touched_codes(entry.subject, seen.facts)
            self._shelf.fold(codes, seen)
            rows.append(entry_row(one.position, entry, leaf, one.raw))
            touching += [{"code": code, "position": one.position} for code in codes]
        with plain_errors():
            self._grow([row["leaf"] for row in rows])
            self._target.execute(insert(entries), rows)
            self._target.execute(insert(touches), touching)
            self._shelf.flush()

    def _grow(self, leaves: list[bytes]) -> None:
        self.frontier, closed = self.frontier.grown(leaves)
        written = [{"level": n.level, "place": n.index, "hash": n.hash} for n in closed]
        self._target.execute(insert(nodes), written)


def in_batches(items: Iterable[Item], size: int = BATCH) -> Iterator[list[Item]]:
    """Lists of up to ``size`` items, in order."""
    stream = iter(items)
    while batch := list(islice(stream, size)):
        yield batch
