"""Writing: lock, judge, append, fold, commit.

A writing holds the writers' lock from its beginning.  Every entry is judged against the book as it
stands with the entries before it in the same writing, then appended and folded.  If anything is
refused, the whole writing is given up and nothing is written.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable

import msgspec

from editions.errors import Refused
from editions.ledger import held as sealing
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.envelope import Entry, Source
from editions.ledger.keys import PrivateKey
from editions.registry.reading import Reading
from editions.rules.judging import Draft, judge
from editions.store import queries
from editions.store.connection import Connection
from editions.store.effective import Changes, happened
from editions.store.journal import Journal
from editions.store.shelf import Shelf
from editions.trade.book import EntryCorrected
from editions.trade.codes import next_code
from editions.trade.kinds import Facts, State, fold, held_part, open_part, touched_codes
from editions.trade.strikes import EntryStruck

Clock = Callable[[], datetime.datetime]
Random = Callable[[int], bytes]


class Entered(msgspec.Struct, frozen=True):
    """An entry as written: its subject, kind, date, place in the book, and its judges' remarks."""

    code: str
    leaf: str
    position: int
    remarks: tuple[str, ...] = ()
    kind: str = ""
    on: str = ""


class Writing(Reading):
    """One batch of entries under the lock."""

    def __init__(
        self, connection: Connection, clock: Clock, random: Random, by: str | None
    ) -> None:
        super().__init__(connection, Shelf(connection))
        self._journal = Journal(connection)
        self._random = random
        self._now = clock().astimezone(datetime.UTC)
        # The shop's day is that of its own clock on the wall, not that of Greenwich.
        self._day = self._now.astimezone().date()
        self._by = by
        self.batch = random(16).hex()
        self.source: str | None = None
        self.line: int | None = None  # of a day sheet; unlike a row, it is recorded in time
        self.entered: list[Entered] = []

    @property
    def today(self) -> str:
        """Today's date, by which an omitted date is filled."""
        return self._day.isoformat()

    @property
    def size(self) -> int:
        """How many entries the book holds, those of this writing included."""
        return self._journal.size

    def next_code(self, letter: str) -> str:
        """The next free code of a letter."""
        return next_code(letter, self._shelf.next_number(letter) - 1)

    def random(self, count: int) -> bytes:
        """Random bytes from the registry's source."""
        return self._random(count)

    def enter(
        self,
        facts: Facts,
        subject: str,
        *,
        on: str | None = None,
        by: str | None = None,
        row: int | None = None,
    ) -> Entered:
        """Judge an entry, append it and fold it.

        Args:
            facts: What is said; its class is the kind.
            subject: The code of the subject.
            on: When it happened, EDTF; today when absent.
            by: The party who records; the writing's own when absent.
            row: The row of the writing's ``source`` that this was taken from.

        Raises:
            NotKnown: If a code is not in the book.
            Refused: If a rule of the trade forbids it.
        """
        on = on or self.today
        by = by or self._by or self.book.foundry
        codes = touched_codes(subject, facts)
        self._shelf.load(codes)
        remarks = self.judge(facts, subject, on=on, by=by, late=row is not None)
        return self._append(facts, subject, codes, on=on, by=by, row=row, remarks=remarks)

    def judge(
        self,
        facts: Facts,
        subject: str,
        *,
        on: str | None = None,
        by: str | None = None,
        late: bool = False,
    ) -> tuple[str, ...]:
        """The remarks on an entry that might be made now; nothing is entered.

        Raises:
            NotKnown: If a code is not in the book.
            Refused: If a rule of the trade forbids it.
        """
        draft = Draft(
            facts=facts,
            subject=subject,
            on=on or self.today,
            by=by or self._by or self.book.foundry,
            recorded=self._day,
            late=late,
        )
        return judge(draft, self)

    def _append(
        self,
        facts: Facts,
        subject: str,
        codes: tuple[str, ...],
        *,
        on: str,
        by: str,
        row: int | None,
        remarks: tuple[str, ...],
    ) -> Entered:
        salted = {name: (self._random(32), value) for name, value in held_part(facts).items()}
        entry = Entry(
            # The first entry bears the batch's own id, so a batch cannot come in twice.
            id=self._random(16).hex() if self.entered else self.batch,
            batch=self.batch,
            at=self._at(),
            by=by,
            kind=facts.kind,
            on=on,
            subject=subject,
            facts=open_part(facts),
            held={name: sealing.seal(name, value, salt) for name, (salt, value) in salted.items()},
            source=self._source(row),
        )
        position = self._journal.size
        leaf = self._journal.add(entry, codes, salted)
        if isinstance(facts, EntryCorrected | EntryStruck):
            self._fold_again(codes)
        else:
            self._shelf.fold(codes, happened(entry, leaf, Changes()))
        entered = Entered(subject, leaf.hex(), position, remarks, facts.kind, on)
        self.entered.append(entered)
        return entered

    def _source(self, row: int | None) -> Source | None:
        row = self.line if row is None else row
        if row is None or self.source is None:
            return None
        return {"digest": self.source, "row": row}

    def _at(self) -> str:
        # The book's own time never runs backwards, whatever the machine's clock does.
        now = self._now.strftime("%Y-%m-%dT%H:%M:%SZ")
        return max(now, self._journal.last_at)

    def _fold_again(self, codes: tuple[str, ...]) -> None:
        """After a correction or a strike: every subject it touches, folded from its first entry."""
        self._settle()
        for code in codes:
            state: State | None = None
            for _, one in queries.history(self.connection, code):
                state = fold(state, code, one)
            self._shelf.put(code, state)

    def _settle(self) -> None:
        """Before a query: what was entered in this writing is in the tables."""
        self._journal.flush()
        if self._shelf.dirty:
            self._shelf.flush()

    def seal(self, origin: str, key: PrivateKey) -> None:
        """Write what is left, and the checkpoint of the whole signed by the log key.

        Raises:
            Refused: If nothing was entered.
        """
        if not self.entered:
            raise Refused("Nothing was entered.", "Enter something first.")
        self._settle()

        def sign(checkpoint: Checkpoint) -> str:
            return sign_checkpoint(checkpoint, key)

        self._journal.seal(origin, sign)
