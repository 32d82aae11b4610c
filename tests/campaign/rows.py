"""Tampering with rows, as the owner of the database file could: the guards in place, then gone.

The audit names each row on its own account, so many rows are tampered with in one copy and every
one of them must be named.  Rows are read and written through ``sqlite3``, past the store.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import closing
from itertools import zip_longest
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import Table

from editions.ledger.canonical import canonical, parse
from editions.registry import open_registry
from editions.registry.auditing import audit
from editions.store.tables import BOOK_TABLES, PROJECTIONS, entries, held
from tests.campaign.story import Told
from tests.campaign.tally import Tally

GUARDED = (*BOOK_TABLES, held)
TABLES = (*GUARDED, *PROJECTIONS)
FAR = 1_000_000
PAIRS_APART = 80

Row = tuple[Any, ...]


class Tampering(NamedTuple):
    """A table as it is to be; for each row tampered with, the rows that a fault may name."""

    table: Table
    says: str
    rows: list[Row]
    touched: list[tuple[Row, ...]]


def rows_of(database: Path, table: Table) -> list[Row]:
    """The rows of a table in the order of its key."""
    keys = ", ".join(column.name for column in table.primary_key.columns)
    with closing(sqlite3.connect(database)) as raw:
        return raw.execute(f"SELECT * FROM {table.name} ORDER BY {keys}").fetchall()


def tamperings(table: Table, rows: list[Row]) -> Iterator[Tampering]:
    """Every tampering with every row: each column in turn, deleted, added, swapped."""
    for at, column in enumerate(table.c):
        changed = [_spoilt(table, row, at) for row in rows]
        yield Tampering(table, f"changed {column.name}", changed, list(zip(rows, changed)))  # noqa: B905
    for odd in (0, 1):
        gone = [(row,) for place, row in enumerate(rows) if place % 2 == odd]
        kept = [row for place, row in enumerate(rows) if place % 2 != odd]
        yield Tampering(table, "deleted", kept, list(gone))
    added = [_new(table, row) for row in rows]
    yield Tampering(table, "added", [*rows, *added], [(row,) for row in added])
    yield _swapped(table, rows)


def _spoilt(table: Table, row: Row, at: int) -> Row:
    """The row with one column changed, so that rows stay unlike each other."""
    value = row[at]
    if table.name == "entries" and table.c[at].name == "bytes":
        new: Any = _another_day(value)
    elif isinstance(value, int):
        new = 2 * value + FAR
    elif isinstance(value, str):
        new = f"{value}~"
    else:
        new = bytes(value[:-1]) + bytes([value[-1] ^ 1]) if value else b"\x00"
    return (*row[:at], new, *row[at + 1 :])


def _another_day(raw: bytes) -> bytes:
    entry = parse(raw)
    entry["on"] = "1999-01-01"
    return canonical(entry)


def _new(table: Table, row: Row) -> Row:
    """A row like this one that the table does not have: the last of its key is another."""
    last = list(table.c).index(list(table.primary_key.columns)[-1])
    new = _spoilt(table, row, last)
    for at, column in enumerate(table.c):
        if table.name == "entries" and column.name in ("id", "leaf", "bytes"):
            new = _spoilt(table, new, at)
    return new


def _swapped(table: Table, rows: list[Row]) -> Tampering:
    """Rows in pairs, far apart, their contents exchanged; where all is key, the last of the key."""
    keys = [column.name for column in table.primary_key.columns]
    loose = [at for at, column in enumerate(table.c) if column.name not in keys]
    places = loose or [list(table.c.keys()).index(keys[-1])]
    half = len(rows) // 2
    out, known = list(rows), set(rows)
    touched: list[tuple[Row, ...]] = []
    for one, other in zip(range(half), range(half, 2 * half), strict=True):
        first, second = _exchanged(rows[one], rows[other], places)
        if {first, second} & known:
            continue  # exchanging like with like changes nothing, and two of a key cannot lie there
        known |= {first, second}
        out[one], out[other] = first, second
        touched += [(rows[one], first), (rows[other], second)]
    return Tampering(table, "swapped", out, touched)


def _exchanged(first: Row, second: Row, places: Sequence[int]) -> tuple[Row, Row]:
    one, other = list(first), list(second)
    for at in places:
        one[at], other[at] = other[at], one[at]
    return tuple(one), tuple(other)


def put(database: Path, tampering: Tampering) -> None:
    """Write the table as it is to be, the guards out of the way."""
    table = tampering.table.name
    marks = ", ".join("?" for _ in tampering.table.c)
    with closing(sqlite3.connect(database)) as raw, raw:
        for (name,) in raw.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute(f"DELETE FROM {table}")
        raw.executemany(f"INSERT INTO {table} VALUES ({marks})", tampering.rows)


def unnamed(table: Table, touched: Sequence[tuple[Row, ...]], faults: Sequence[str]) -> list[Row]:
    """The rows that were tampered with and that no fault names."""
    named: dict[str, list[str]] = defaultdict(list)
    for fault in faults:
        where, _, what = fault.partition(": ")
        named[where].append(what)
    return [rows[0] for rows in touched if not any(_is_named(table, row, named) for row in rows)]


def _is_named(table: Table, row: Row, named: dict[str, list[str]]) -> bool:
    values = dict(zip(table.c.keys(), row, strict=True))
    key = " ".join(str(values[column.name]) for column in table.primary_key.columns)
    if table.name == "entries":
        after = f"position {row[0]} was expected"
        # An entry that is gone is named by the one that follows it, the last by what covered it.
        return (
            f"entry {row[0]}" in named
            or f"entries {row[0]}" in named
            or after in named.get(f"entry {row[0] + 1}", ())
            or f"checkpoint {row[0] + 1}" in named
        )
    if table.name == "checkpoints":
        return f"checkpoint {key}" in named
    if table.name == "held":
        field = values["field"]
        return f"held values of entry {row[0]}" in named or any(
            f" {field} " in f"{what} " for what in named.get(f"entry {row[0]}", ())
        )
    return f"{table.name} {key}" in named


def tamper_with_rows(told: Told, work: Path, tally: Tally, *, apart: bool) -> list[str]:
    """Every tampering with every row, the guards gone; returns what no audit named.

    The audit replays the entries alone, so tamperings with the other tables do not hide each other
    and are made in one copy, unless they are wanted ``apart``.
    """
    home = told.copied(work / "rows").home
    database, clean = Path(home.database), work / "clean.db"
    shutil.copyfile(database, clean)
    each = {table: list(tamperings(table, rows_of(clean, table))) for table in TABLES}
    rounds: list[tuple[Tampering, ...]] = [(one,) for one in each.pop(entries)]
    if apart:
        rounds += [(one,) for ones in each.values() for one in ones]
    else:
        rounds += [tuple(filter(None, ones)) for ones in zip_longest(*each.values())]
    missed = []
    for together in rounds:
        shutil.copyfile(clean, database)
        for tampering in together:
            put(database, tampering)
        faults = faults_of(database)
        for tampering in together:
            missed += _counted(tampering, faults, tally)
    return missed + _swap_one_pair_at_a_time(clean, database, tally)


def _counted(tampering: Tampering, faults: Sequence[str], tally: Tally) -> list[str]:
    table, touched = tampering.table, tampering.touched
    if (table, tampering.says) == (entries, "swapped"):
        return []
    silent = unnamed(table, touched, faults)
    found = len(touched) - len(silent)
    tally.add(f"rows of {table.name}", len(touched), audit=found, nobody=len(silent))
    return [f"{table.name}, {tampering.says}: {row[:2]}" for row in silent]


def _swap_one_pair_at_a_time(clean: Path, database: Path, tally: Tally) -> list[str]:
    """Whole entries change places: what finds that is the root, which names no row."""
    rows = rows_of(clean, entries)
    missed = []
    for at in range(0, len(rows) - 1, PAIRS_APART):
        swapped = list(rows)
        swapped[at], swapped[at + 1] = _exchanged(rows[at], rows[at + 1], range(1, len(rows[at])))
        shutil.copyfile(clean, database)
        put(database, Tampering(entries, "swapped", swapped, []))
        found = bool(faults_of(database))
        tally.add("rows of entries", audit=int(found), nobody=int(not found))
        missed += [] if found else [f"entries, swapped: {at}"]
    return missed


def faults_of(database: Path) -> tuple[str, ...]:
    """What an audit of the registry at a path finds."""
    registry = open_registry(database)
    try:
        return audit(registry).faults
    finally:
        registry.close()


def try_with_guards(told: Told, work: Path, tally: Tally) -> list[str]:
    """Change each column of each row of the book, and delete each row, the guards in place."""
    database = work / "guarded.db"
    shutil.copyfile(told.folder / "registry.db", database)
    allowed = []
    with closing(sqlite3.connect(database, isolation_level=None)) as raw:
        for table in GUARDED:
            for statement in _statements(raw, table):
                refused = _refuses(raw, statement)
                tally.add("guards in place", 1, refused=int(refused), nobody=int(not refused))
                allowed += [] if refused else [statement]
    return allowed


def _statements(raw: sqlite3.Connection, table: Table) -> list[str]:
    rows = [row for (row,) in raw.execute(f"SELECT rowid FROM {table.name}").fetchall()]
    changes = [f"UPDATE {table.name} SET {c.name} = {c.name} WHERE rowid = " for c in table.c]
    columns = ", ".join(table.c.keys())
    again = f"INSERT OR REPLACE INTO {table.name} SELECT {columns} FROM {table.name} WHERE rowid = "
    acts = [*changes, f"DELETE FROM {table.name} WHERE rowid = ", again]
    return [f"{act}{row}" for act in acts for row in rows]


def _refuses(raw: sqlite3.Connection, statement: str) -> bool:
    raw.execute("BEGIN")
    try:
        raw.execute(statement)
    except sqlite3.IntegrityError:
        return True
    finally:
        raw.execute("ROLLBACK")
    return False
