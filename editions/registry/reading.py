"""Reading a registry: one moment of the book, as values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

import msgspec

from editions.errors import BronzebookError, Contradiction, NotKnown, Unreadable
from editions.ledger.canonical import parse
from editions.ledger.logkeys import LogKeys
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.ledger.tree import inclusion_proof
from editions.store import erasing, queries
from editions.store.connection import Connection
from editions.store.effective import Stored, effective
from editions.store.shelf import Shelf, load_state
from editions.trade.book import Book
from editions.trade.codes import nearest
from editions.trade.kinds import BOOK, Happened, State, state_type
from editions.trade.parties import Party
from editions.trade.strikes import names
from editions.trade.text import shown

StateT = TypeVar("StateT", bound=State)


# What reading damaged rows or entries may raise; a refusal of the database itself is not among it.
DAMAGED = (
    BronzebookError,
    msgspec.MsgspecError,
    AttributeError,
    LookupError,
    TypeError,
    ValueError,
)


class Reading:
    """Look-ups in the book; also the desk that judges look things up at."""

    def __init__(self, connection: Connection, shelf: Shelf | None = None) -> None:
        self.connection = connection
        self._shelf = shelf or Shelf(connection)

    def _settle(self) -> None:
        """Before a query: nothing is pending in a reading."""

    @property
    def book(self) -> Book:
        """What the book says of itself."""
        return self.get(BOOK, Book)

    def log_keys(self) -> LogKeys:
        """The keys of the log as the book names them: that of entry 0, and each that followed.

        Raises:
            KeyUnusable: If one of them is no key.
        """
        book = self.book
        return log_keys_of(self, book, self._shelf.state(book.foundry))

    @property
    def size(self) -> int:
        """How many entries the book holds."""
        self._settle()
        return queries.size(self.connection)

    def state(self, code: str) -> State | None:
        """The folded state of a subject, or None."""
        return self._shelf.state(code)

    def get(self, code: str, kind: type[StateT]) -> StateT:
        """The state of a subject of this kind.

        Raises:
            NotKnown: If the book holds no such subject; the nearest codes are named.
        """
        if code != BOOK and not _fits(code, kind):
            raise NotKnown(f"{code} is not a {kind.__name__.lower()}.", self._suggest(code, kind))
        state = self._shelf.state(code)
        if not isinstance(state, kind):
            raise NotKnown(
                f"No {kind.__name__.lower()} {code} in this book.", self._suggest(code, kind)
            )
        return state

    def _suggest(self, code: str, kind: type[State] | None = None) -> str:
        """The nearest codes, of the kind that is wanted where it is known."""
        self._settle()
        known = queries.known_codes(self.connection)
        letter = _letter(kind) if kind else ""
        if letter:
            known = [one for one in known if one.startswith(f"{letter}-")]
        if self.spent(code):
            return f"It was entered and struck; see: bronzebook show {code}."
        close = nearest(code, known)
        return (
            f"The nearest: {', '.join(close)}." if close else "Look it up: bronzebook find WORDS."
        )

    def resolve(self, text: str) -> str:
        """The registry code that a code, shop tag, heat number or certificate number means.

        Raises:
            NotKnown: If nothing in the book answers to it.
        """
        shout = text.strip().upper()
        if self._shelf.state(shout) is not None:
            return shout
        for name in dict.fromkeys((text.strip(), shout, f"heat {shout}")):
            code = self.named(name)
            if code is not None:
                return code
        raise NotKnown(f"Nothing in this book answers to {shown(text)}.", self._suggest(shout))

    def named(self, name: str) -> str | None:
        """The code that a shop tag or heat number belongs to."""
        self._settle()
        return queries.named(self.connection, name)

    def linked(self, role: str, target: str) -> tuple[State, ...]:
        """The subjects that are linked to ``target`` in a role, ordered by code."""
        self._settle()
        return tuple(load_state(*row) for row in queries.linked(self.connection, role, target))

    def bearer(self, run: str, number: str) -> str | None:
        """The code that bears a number of a run now."""
        self._settle()
        return queries.bearer(self.connection, run, number)

    def all_of(self, kind: type[StateT], *, only_open: bool = False) -> tuple[StateT, ...]:
        """Every subject of a kind, ordered by code."""
        self._settle()
        letter = _letter(kind)
        rows = queries.subjects_of(self.connection, letter, only_open=only_open)
        states = (load_state(*row) for row in rows)
        return tuple(state for state in states if isinstance(state, kind))

    def history(self, code: str) -> list[tuple[Stored, Happened]]:
        """The effective entries that touch a subject, in the order of the book."""
        self._settle()
        return queries.history(self.connection, code)

    def told(self, code: str) -> tuple[Happened, ...]:
        """The entries that touch a subject, in order, as corrected; without those struck."""
        return tuple(one for _, one in self.history(code))

    def naming(self, code: str) -> tuple[Happened, ...]:
        """The entries that name a code anywhere, in order, as corrected; without those struck."""
        self._settle()
        changes = queries.all_corrections(self.connection)
        held = queries.entries_holding(self.connection, code)
        return tuple(one for _, one in effective(held, changes) if names(one, code))

    def spent(self, code: str) -> bool:
        """Whether a code that nothing bears was given once, to what was struck since.

        A strike is in the tables at once; and a code beyond the counter was never given.
        """
        if self._shelf.state(code) is not None or not self._shelf.counted(code):
            return False
        return queries.was_struck(self.connection, code)

    def stored_of(self, code: str) -> list[Stored]:
        """The entries that touch a subject as they lie in the book, no correction applied."""
        self._settle()
        return queries.entries_touching(self.connection, code)

    def corrected_after(self, codes: Sequence[str], position: int) -> set[str]:
        """Those of these subjects that a correction after a position touches."""
        self._settle()
        return queries.corrected_after(self.connection, codes, position)

    def held_values_of(self, position: int) -> dict[str, Any]:
        """The held values of an entry that are still kept, in plain form."""
        self._settle()
        kept = queries.held_values(self.connection, position)
        return {field: parse(value) for field, (_, value) in kept.items()}

    def erased(self, leaf: str, field: str) -> bool:
        """Whether the held field of the entry with this leaf was erased."""
        self._settle()
        return erasing.is_erased(self.connection, leaf, field)

    def known(self, letter: str | None = None) -> list[str]:
        """Every code, of one letter where named, and every shop tag and heat number."""
        self._settle()
        return queries.known_codes(self.connection, letter)

    def batch_entered(self, batch: str) -> str | None:
        """When a batch came into the book, or None if it did not."""
        self._settle()
        return queries.recorded_at(self.connection, batch)

    def search(self, *words: str) -> list[tuple[str, str, str]]:
        """Code, letter and title of subjects whose words contain all of these."""
        self._settle()
        return [tuple(row) for row in queries.search(self.connection, words)]

    def bearing(self, *words: str) -> list[str]:
        """The codes that bear a number which is one of these, or a part of which is."""
        self._settle()
        return queries.bearing(self.connection, words)

    def proof(self, leaf: str, at_least: int | None = None) -> ProofFile:
        """The proof that an entry is in the book, to the first checkpoint that covers it.

        ``at_least`` asks for a checkpoint of at least that many entries instead.

        Raises:
            NotKnown: If the book holds no such entry, or no checkpoint that covers it.
            Contradiction: If the tree or the checkpoint is damaged.
        """
        stored = self.by_leaf(leaf)
        covering = max(stored.position + 1, at_least or 0)
        note = queries.checkpoint_note(self.connection, covering)
        size = _size_said(note)
        hashes = inclusion_proof(stored.position, size, queries.node_reader(self.connection))
        return ProofFile(index=stored.position, hashes=tuple(hashes), checkpoint_note=note)

    def by_leaf(self, leaf: str) -> Stored:
        """The entry with this leaf.

        Raises:
            NotKnown: If the book holds none.
        """
        self._settle()
        return queries.entry_by_leaf(self.connection, bytes.fromhex(leaf))

    def position_of(self, leaf: str) -> int:
        """The position of the entry with this leaf."""
        return self.by_leaf(leaf).position

    def checkpoint(self) -> str:
        """The newest checkpoint's note."""
        return queries.checkpoint_note(self.connection)

    def entry_at(self, position: int) -> Stored:
        """The entry at a position of the book.

        Raises:
            NotKnown: If the book is not so long.
        """
        self._settle()
        size = self.size
        found = list(queries.stored_entries(self.connection, position, position + 1))
        if not found:
            raise NotKnown(
                f"The book holds {size} entries, numbered from 0; it has no entry {position}.",
                "See what happened to something: bronzebook show CODE.",
            )
        return found[0]

    def beginning(self, leaf: str) -> list[Stored]:
        """The entries whose leaf, in hex, begins so; three of them at most."""
        self._settle()
        return queries.entries_by_leaf_start(self.connection, leaf)

    def entry(self, leaf: str) -> bytes:
        """The raw bytes of the entry with this leaf."""
        return self.by_leaf(leaf).raw


def log_keys_of(reading: Reading, book: Book, foundry: State | None) -> LogKeys:
    """The keys of the log, from what is known of the book and of its foundry.

    Raises:
        KeyUnusable: If one of them is no key.
        NotKnown: If the entry that admitted one is gone.
    """
    held = foundry.keys if isinstance(foundry, Party) else ()
    later = ((reading.position_of(one.leaf) + 1, one.key) for one in held if one.admits("log"))
    every = ((0, book.log_key), *later)
    return LogKeys(tuple((start, VerifierKey.parse(text)) for start, text in every))


def _size_said(note: str) -> int:
    """The size that a checkpoint's note says; nothing of it is verified here."""
    try:
        return int(note.split("\n", 2)[1])
    except (IndexError, ValueError):
        raise Contradiction(
            "A checkpoint of the book cannot be read.", "Run: bronzebook audit."
        ) from None


def _letter(kind: type[State]) -> str:
    from editions.trade.catalogue import STATES

    for letter, state in STATES.items():
        if state is kind:
            return letter if len(letter) == 1 else ""
    raise Unreadable(f"{kind.__name__} is not a subject.")


def _fits(code: str, kind: type[State]) -> bool:
    try:
        return state_type(code) is kind
    except Contradiction:
        return False
