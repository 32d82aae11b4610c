"""The only appender: entries, held values, tree nodes and the checkpoint of a commit.

A journal is opened under the writers' lock.  Entries are added in memory, written in batches, and
sealed by one checkpoint::

    journal = Journal(connection)
    leaf = journal.add(entry, codes=("M-0001",), held={"note": (salt, "thin at the ear")})
    journal.seal(lambda checkpoint: sign_checkpoint(checkpoint, key))
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, insert, select

from editions.ledger.canonical import canonical
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.envelope import Entry, encode
from editions.ledger.tree import Frontier, leaf_hash
from editions.store import erasing
from editions.store.tables import checkpoints, entries, held, nodes, touches

HASH = 32


def load_frontier(connection: Connection) -> Frontier:
    """The frontier of the newest checkpoint; empty where there is none."""
    newest = select(checkpoints.c.size, checkpoints.c.frontier)
    row = connection.execute(newest.order_by(checkpoints.c.size.desc()).limit(1)).first()
    if row is None:
        return Frontier(0, ())
    hashes = tuple(row.frontier[i : i + HASH] for i in range(0, len(row.frontier), HASH))
    return Frontier(row.size, hashes)


class Journal:
    """Appends to the book within one transaction that holds the writers' lock."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._frontier = load_frontier(connection)
        self._entries: list[dict[str, Any]] = []
        self._held: list[dict[str, Any]] = []
        self._touches: list[dict[str, Any]] = []
        self._erasing: list[tuple[int, Entry]] = []
        self.size = self._frontier.size
        self.last_at = self._newest_at()

    def _newest_at(self) -> str:
        newest = select(entries.c.at).order_by(entries.c.position.desc()).limit(1)
        return self._connection.execute(newest).scalar() or ""

    def add(
        self, entry: Entry, codes: Sequence[str], held_values: Mapping[str, tuple[bytes, Any]]
    ) -> bytes:
        """Add an entry at the next position; returns its leaf hash."""
        raw = encode(entry)
        leaf = leaf_hash(raw)
        position = self.size
        self._entries.append(entry_row(position, entry, leaf, raw))
        self._held += [
            {"position": position, "field": field, "salt": salt, "value": canonical(value)}
            for field, (salt, value) in held_values.items()
        ]
        self._touches += [{"code": code, "position": position} for code in codes]
        if entry.kind == erasing.ERASURE:
            self._erasing.append((position, entry))
        self.size += 1
        self.last_at = entry.at
        return leaf

    def flush(self) -> None:
        """Write what was added, a statement a table."""
        leaves = [row["leaf"] for row in self._entries]
        self._frontier, closed = self._frontier.grown(leaves)
        written = [{"level": n.level, "place": n.index, "hash": n.hash} for n in closed]
        for table, rows in (
            (entries, self._entries),
            (held, self._held),
            (touches, self._touches),
            (nodes, written),
        ):
            if rows:
                self._connection.execute(insert(table), rows)
        self._erase()
        self._entries, self._held, self._touches = [], [], []

    def _erase(self) -> None:
        # After the entries: the database deletes a held value only where one of them says so.
        erasing.index_erasures(self._connection, self._erasing)
        erasing.destroy(self._connection, (position for position, _ in self._erasing))
        self._erasing = []

    def seal(self, origin: str, sign: Callable[[Checkpoint], str]) -> str:
        """Write what is left and the signed checkpoint of the whole; returns the note."""
        self.flush()
        note = sign(Checkpoint(origin=origin, size=self.size, root=self._frontier.root()))
        row = {"size": self.size, "frontier": b"".join(self._frontier.hashes), "note": note}
        self._connection.execute(insert(checkpoints), [row])
        return note


def entry_row(position: int, entry: Entry, leaf: bytes, raw: bytes) -> dict[str, Any]:
    """The row of an entry: its raw bytes, and what is looked up by."""
    return {
        "position": position,
        "id": entry.id,
        "kind": entry.kind,
        "subject": entry.subject,
        "at": entry.at,
        "leaf": leaf,
        "bytes": raw,
    }
