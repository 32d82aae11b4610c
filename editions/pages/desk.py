"""Looking things up for pages, in a book that may have been tampered with.

A page must say that something is wrong, not fall over it: what cannot be read is None here, and the
code is remembered among ``unreadable``.  A table that cannot be read is folded again from the book.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from editions.errors import Contradiction
from editions.ledger.logkeys import LogKeys
from editions.pages.watching import BROKEN, Watched
from editions.registry.proving import recalled
from editions.registry.reading import DAMAGED, log_keys_of
from editions.trade.book import Book
from editions.trade.kinds import BOOK, State
from editions.trade.parties import Party

StateT = TypeVar("StateT", bound=State)
Found = TypeVar("Found")


class Desk:
    """Look-ups in one moment of the book, each made once."""

    def __init__(self, reading: Watched) -> None:
        self.reading = reading
        self._found: dict[tuple[str, str], tuple[object, dict[str, None]]] = {}

    @property
    def unreadable(self) -> tuple[str, ...]:
        """The codes of what could not be read for the page that is being made."""
        return tuple(mark[1:] for mark in self.reading.seen if mark.startswith(BROKEN))

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
        return self.once(("log keys", book.foundry), lambda: self._log_keys(book))

    def _log_keys(self, book: Book) -> LogKeys | None:
        try:
            return log_keys_of(self.reading, book, self.get(book.foundry, Party))
        except DAMAGED:
            return None

    def get(self, code: str | None, kind: type[StateT]) -> StateT | None:
        """The state of a subject of this kind, or None where there is none that can be read."""
        if code is None:
            return None
        state = self.once(("state", code), lambda: self._read(code))
        if isinstance(state, kind):
            return state
        if state is not None:
            self._note(code)
        return None

    def _read(self, code: str) -> State | None:
        try:
            return self.reading.state(code)
        except DAMAGED:
            self._note(code)
            return self.attempt(code, lambda: recalled(self.reading, code))

    def attempt(self, code: str, look: Callable[[], Found]) -> Found | None:
        """What a look-up finds, or None with the code among the unreadable."""
        try:
            return look()
        except DAMAGED:
            self._note(code)
            return None

    def _note(self, code: str) -> None:
        self.reading.saw((BROKEN + code,))

    def once(self, what: tuple[str, str], look: Callable[[], Found]) -> Found | None:
        """What a look-up about a subject finds, made once for all pages of this moment.

        Each page that asks is taken to have looked up all that the first one did.

        Args:
            what: What is asked, and the code of the subject it is asked about.
            look: Makes the look-up.
        """
        if what not in self._found:
            with self.reading.watching() as seen:
                found = self.attempt(what[1], look)
            self._found[what] = (found, seen)
        answer, marks = self._found[what]
        self.reading.saw(marks)
        return answer  # type: ignore[return-value]

    def shown(self, code: str | None) -> str:
        """A party as it may be named openly, or its code."""
        party = self.get(code, Party)
        return party.shown if party else code or ""

    def capacity(self, holder: str, artist: str) -> str:
        """In which capacity a party speaks for an artist; empty for the artist."""
        party = self.get(holder, Party)
        held = party.authorities if party else ()
        return next((a.capacity for a in reversed(held) if a.artist == artist), "")
