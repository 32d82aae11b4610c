"""Looking things up for pages, in a book that may have been tampered with.

A page must say that something is wrong, not fall over it: what cannot be read is None here, and the
code is remembered among ``unreadable``.  A table that cannot be read is folded again from the book.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from editions.errors import Contradiction
from editions.ledger.logkeys import LogKeys
from editions.registry import Reading
from editions.registry.proving import recalled
from editions.registry.reading import DAMAGED, log_keys_of
from editions.trade.book import Book
from editions.trade.kinds import BOOK, State
from editions.trade.parties import Party

StateT = TypeVar("StateT", bound=State)
Found = TypeVar("Found")


class Desk:
    """Look-ups in one moment of the book, each made once."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.unreadable: dict[str, None] = {}
        self._states: dict[str, State | None] = {}
        self._found: dict[tuple[str, str], object] = {}

    @property
    def book(self) -> Book:
        """What the book says of itself.

        Raises:
            Contradiction: If neither the tables nor entry 0 can be read.
        """
        book = self.get(BOOK, Book)
        if book is None:
            raise Contradiction("What the book says of itself cannot be read.", "Run an audit.")
        return book

    def log_keys(self) -> LogKeys | None:
        """The keys of the log, or None where one of them cannot be read.

        Raises:
            Contradiction: If the book does not tell whose it is.
        """
        book = self.book
        try:
            return log_keys_of(self.reading, book, self.get(book.foundry, Party))
        except DAMAGED:
            return None

    def get(self, code: str | None, kind: type[StateT]) -> StateT | None:
        """The state of a subject of this kind, or None where there is none that can be read."""
        if code is None:
            return None
        if code not in self._states:
            self._states[code] = self._read(code)
        state = self._states[code]
        if isinstance(state, kind):
            return state
        if state is not None or code in self.unreadable:
            self.unreadable[code] = None
        return None

    def _read(self, code: str) -> State | None:
        state = self.attempt(code, lambda: self.reading.state(code))
        if state is None and code in self.unreadable:
            state = self.attempt(code, lambda: recalled(self.reading, code))
        return state

    def attempt(self, code: str, look: Callable[[], Found]) -> Found | None:
        """What a look-up finds, or None with the code among the unreadable."""
        try:
            return look()
        except DAMAGED:
            self.unreadable[code] = None
            return None

    def once(self, what: tuple[str, str], look: Callable[[], Found]) -> Found | None:
        """What a look-up about a subject finds, made once for all pages of this moment.

        Args:
            what: What is asked, and the code of the subject it is asked about.
            look: Makes the look-up.
        """
        if what not in self._found:
            self._found[what] = self.attempt(what[1], look)
        return self._found[what]  # type: ignore[return-value]

    def shown(self, code: str | None) -> str:
        """A party as it may be named openly, or its code."""
        party = self.get(code, Party)
        return party.shown if party else code or ""

    def capacity(self, holder: str, artist: str) -> str:
        """In which capacity a party speaks for an artist; empty for the artist."""
        party = self.get(holder, Party)
        held = party.authorities if party else ()
        return next((a.capacity for a in reversed(held) if a.artist == artist), "")
