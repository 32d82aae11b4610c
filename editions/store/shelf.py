"""The shelf: states of subjects folded in memory over the projections.

Recording, import and replay fold on the same shelf.  States are read once, changed in memory, and
written in batches; index rows are the difference between a subject's index before and after.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

import msgspec
from sqlalchemy import Connection, Table, and_, bindparam, delete, insert, select, update

from editions.errors import Contradiction
from editions.store.tables import counters, links, names, numbers, subjects
from editions.trade.catalogue import STATES
from editions.trade.kinds import Happened, Index, State, fold, state_type

_ENCODER = msgspec.json.Encoder(order="sorted")
_DECODERS = {state: msgspec.json.Decoder(state) for state in STATES.values()}
_COUNTED = re.compile(r"^([A-Z])-(\d{1,9})$")
_IN_ONE_LOOK = 400  # well below SQLite's limit of bound values
_EMPTY = Index()


def dump_state(state: State) -> str:
    """A state as JSON text, keys sorted; the inverse of :func:`load_state`."""
    return _ENCODER.encode(state).decode()


def load_state(code: str, text: str) -> State:
    """The state of a subject from its JSON text.

    Raises:
        Contradiction: If it is not the state of such a subject.
    """
    try:
        return _DECODERS[state_type(code)].decode(text)
    except msgspec.MsgspecError:
        raise Contradiction(
            f"What the tables hold of {code} is damaged.", "Run: bronzebook audit."
        ) from None


class Shelf:
    """States over a connection; only a writer calls :meth:`fold` and :meth:`flush`."""

    def __init__(self, connection: Connection, *, empty: bool = False) -> None:
        self._connection = connection
        self._empty = empty
        self._states: dict[str, State | None] = {}
        self._stored: dict[str, Index | None] = {}
        self._changed: dict[str, None] = {}
        self._counters: dict[str, int] = {}

    @property
    def dirty(self) -> bool:
        """Whether something folded is not yet written."""
        return bool(self._changed)

    def load(self, codes: Iterable[str]) -> None:
        """Read the states of these codes that are not on the shelf yet."""
        missing = [code for code in dict.fromkeys(codes) if code not in self._states]
        for start in range(0, len(missing), _IN_ONE_LOOK):
            part = missing[start : start + _IN_ONE_LOOK]
            found = self._look_up(part)
            for code in part:
                self._place(code, found.get(code))

    def _look_up(self, codes: list[str]) -> dict[str, State]:
        # A replay begins with no row at all: what is not on the shelf is not in the tables.
        if self._empty:
            return {}
        look = select(subjects.c.code, subjects.c.state).where(subjects.c.code.in_(codes))
        return {row.code: load_state(*row) for row in self._connection.execute(look)}

    def _place(self, code: str, state: State | None) -> None:
        self._states[code] = state
        self._stored[code] = state.index() if state else None

    def state(self, code: str) -> State | None:
        """The state of a subject as folded so far, or None."""
        if code not in self._states:
            self.load((code,))
        return self._states[code]

    def fold(self, codes: Sequence[str], happened: Happened) -> None:
        """Fold an entry into every subject it touches."""
        self.load(codes)
        for code in codes:
            self._states[code] = fold(self._states[code], code, happened)
            self._changed[code] = None
        self.count(codes)

    def count(self, codes: Iterable[str]) -> None:
        """Count codes as given, so that none is given twice, whatever becomes of its subject."""
        for code in codes:
            self._count(code)

    def counted(self, code: str) -> bool:
        """Whether a code may have been given: it has no number, or none beyond the last."""
        number = _COUNTED.match(code)
        return number is None or int(number[2]) <= self._last(number[1])

    def put(self, code: str, state: State | None) -> None:
        """Replace the state of a subject, folded again from its entries; None takes it away."""
        self.load((code,))
        self._states[code] = state
        self._changed[code] = None

    def next_number(self, letter: str) -> int:
        """The number after the highest that codes of this letter bear."""
        return self._last(letter) + 1

    def _last(self, letter: str) -> int:
        if letter not in self._counters:
            look = select(counters.c.last).where(counters.c.letter == letter)
            self._counters[letter] = self._connection.execute(look).scalar() or 0
        return self._counters[letter]

    def _count(self, code: str) -> None:
        counted = _COUNTED.match(code)
        if counted:
            letter, number = counted[1], int(counted[2])
            self._counters[letter] = max(self._last(letter), number)

    def flush(self) -> None:
        """Write every changed subject and the rows of its index."""
        fresh: list[dict[str, Any]] = []
        known: list[dict[str, Any]] = []
        gone: list[dict[str, Any]] = []
        for code in self._changed:
            state, stored = self._states[code], self._stored[code] is not None
            if state is not None:
                (known if stored else fresh).append(_subject_row(state))
            elif stored:
                gone.append({"which": code})
        self._write(fresh, known, gone)
        self._flush_indexes()
        self._flush_counters()
        self._changed = {}

    def _write(
        self,
        fresh: list[dict[str, Any]],
        known: list[dict[str, Any]],
        gone: list[dict[str, Any]],
    ) -> None:
        same = subjects.c.code == bindparam("which")
        if gone:
            self._connection.execute(delete(subjects).where(same), gone)
        if fresh:
            self._connection.execute(insert(subjects), fresh)
        if known:
            rows = [{**row, "which": row.pop("code")} for row in known]
            self._connection.execute(update(subjects).where(same), rows)

    def _flush_indexes(self) -> None:
        gone: dict[Table, list[dict[str, Any]]] = {}
        come: dict[Table, list[dict[str, Any]]] = {}
        for code in self._changed:
            state = self._states[code]
            after = state.index() if state else _EMPTY
            before = self._stored[code] or _EMPTY
            for table, old, new in _index_rows(code, before, after):
                gone.setdefault(table, []).extend(row for row in old if row not in new)
                come.setdefault(table, []).extend(row for row in new if row not in old)
            self._stored[code] = after if state else None
        self._swap(gone, come)

    def _swap(
        self, gone: dict[Table, list[dict[str, Any]]], come: dict[Table, list[dict[str, Any]]]
    ) -> None:
        for table, rows in gone.items():
            if rows:
                same = and_(*(column == bindparam(f"old_{column.name}") for column in table.c))
                old = [{f"old_{key}": value for key, value in row.items()} for row in rows]
                self._connection.execute(delete(table).where(same), old)
        for table, rows in come.items():
            if rows:
                self._connection.execute(insert(table), rows)

    def _flush_counters(self) -> None:
        look = select(counters.c.letter, counters.c.last)
        stored = {row.letter: row.last for row in self._connection.execute(look)}
        rows = [{"letter": letter, "last": last} for letter, last in self._counters.items()]
        fresh = [row for row in rows if row["letter"] not in stored and row["last"]]
        known = [row for row in rows if stored.get(row["letter"], row["last"]) != row["last"]]
        if fresh:
            self._connection.execute(insert(counters), fresh)
        if known:
            same = counters.c.letter == bindparam("which")
            changed = [{"which": row["letter"], "last": row["last"]} for row in known]
            self._connection.execute(update(counters).where(same), changed)


def _subject_row(state: State) -> dict[str, Any]:
    index = state.index()
    return {
        "code": state.code,
        "letter": state.code[0] if state.code[1:2] == "-" else "",
        "title": index.title,
        "words": " ".join(index.words).casefold(),
        "open": int(index.open),
        "state": dump_state(state),
    }


def _index_rows(
    code: str, before: Index, after: Index
) -> list[tuple[Table, list[dict[str, Any]], list[dict[str, Any]]]]:
    def of(index: Index) -> tuple[list[dict[str, Any]], ...]:
        return (
            [{"name": name, "code": code} for name in index.names],
            [{"code": code, "role": role, "target": to} for role, to in index.links],
            [{"run": run, "number": number, "code": code} for run, number in index.numbers],
        )

    return list(zip((names, links, numbers), of(before), of(after), strict=True))
