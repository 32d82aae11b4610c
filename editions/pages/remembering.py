"""Answers remembered for a moment, so that a page asked for often is not made each time.

A page tells what the book says *now*, its proof included, so memory must never hide a change:

- An answer holds only while the book's *state* is the one it was made from.  On SQLite that is the
  size and time of writing of the database's files, which change whoever writes to them and however:
  a byte altered behind the book's back is on the next page asked for.  On PostgreSQL it is the size
  of the newest checkpoint, which tampering need not change.
- It holds for ten seconds at most.  That bounds what the state does not show: rows of PostgreSQL
  altered in place, and the files beside the book (a certificate's PDF, a photograph, the keys).
- It holds for the day it was made on, which the page names.
- What says when it was made (the status note) holds for an hour.
- What lies under a digest is not remembered: it is large, and read from its file.

Memory is bounded by bytes; what was asked for longest ago goes first.
"""

from __future__ import annotations

import datetime
import hashlib
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from threading import Lock
from typing import Any

import msgspec

from editions.pages.addresses import Address
from editions.registry import Registry

State = tuple[object, ...]

MOST_BYTES = 32_000_000
_LIVES = {
    "asked": datetime.timedelta(seconds=10),
    "dated": datetime.timedelta(hours=1),
}


class Kept(msgspec.Struct, frozen=True):
    """Bytes with their tag, and of which state of the book and when they were made."""

    data: bytes
    etag: str
    state: State
    since: datetime.datetime

    def holds(self, state: State, now: datetime.datetime, life: datetime.timedelta) -> bool:
        """Whether it may still be given."""
        return state == self.state and self.since <= now < self.since + life


def state_of(registry: Registry) -> State:
    """What tells that a book is no longer as it was; see above."""
    if registry.engine.dialect.name == "sqlite":
        database = Path(registry.home.database)
        return tuple(map(_written, (database, database.with_name(f"{database.name}-wal"))))
    with registry.reading() as reading:
        return (reading.size,)


def _written(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return (found.st_ino, found.st_size, found.st_mtime_ns)


class Memory:
    """Answers by address, and what pages of one state of the book share."""

    def __init__(self, most: int = MOST_BYTES) -> None:
        self._most = most
        self._kept: OrderedDict[tuple[str, str], Kept] = OrderedDict()
        self._bytes = 0
        self._lock = Lock()
        self._shared: tuple[State | None, dict[str, Any]] = (None, {})

    def shared(self, registry: Registry) -> dict[str, Any]:
        """What pages made from the same state of the book may share."""
        state = state_of(registry)
        if self._shared[0] != state:
            self._shared = (state, {})
        return self._shared[1]

    def of(
        self, address: Address, member: str, registry: Registry, make: Callable[[], bytes]
    ) -> Kept:
        """The answer remembered for an address, or made now."""
        now, key = registry.clock(), (address.path, member)
        # Before it is made: what changes meanwhile must not pass as known.
        state = (*state_of(registry), now.astimezone().date())
        life = _LIVES.get(address.keep)
        with self._lock:
            found = self._kept.get(key)
            if found and life and found.holds(state, now, life):
                self._kept.move_to_end(key)
                return found
        data = make()
        made = Kept(data, hashlib.sha256(data).hexdigest()[:32], state, now)
        if life:
            self._keep(key, made)
        return made

    def _keep(self, key: tuple[str, str], made: Kept) -> None:
        with self._lock:
            self._forget(key)
            self._kept[key] = made
            self._bytes += len(made.data)
            while self._bytes > self._most:
                self._forget(next(iter(self._kept)))

    def _forget(self, key: tuple[str, str]) -> None:
        old = self._kept.pop(key, None)
        self._bytes -= len(old.data) if old else 0
