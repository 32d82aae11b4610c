"""Tampering with rows, as the owner of the database could: the guards in place, then gone.

The audit names each row on its own account, so many rows are tampered with at once and every one of
them must be named.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from sqlalchemy import Table

from editions.ledger.canonical import canonical, parse
from editions.registry import Registry
from editions.store.tables import BOOK_TABLES, PROJECTIONS, entries, held
from tests.campaign.hands import Row, faults_of, put, refused, rows_of
from tests.campaign.story import Told
from tests.campaign.tally import Tally

GUARDED = (*BOOK_TABLES, held)
TABLES = (*GUARDED, *PROJECTIONS)
FAR = 1_000_000


class Tampering(NamedTuple):
    """A table as it is to be; for each row tampered with, the rows that a fault may name."""

    table: Table
    says: str
    rows: list[Row]
    touched: list[tuple[Row, ...]]


def sampled(rows: Sequence[Row], most: int | None) -> list[int]:
    """The places of the rows to tamper with: all, or as many as wanted, the same in every run."""
    if most is None or most >= len(rows):
        return list(range(len(rows)))
    return sorted(Random("campaign").sample(range(len(rows)), most))


def tamperings(table: Table, rows: list[Row], chosen: Sequence[int]) -> Iterator[Tampering]:
    """Every tampering with the chosen rows: each column in turn, deleted, added, swapped."""
    for at, column in enumerate(table.c):
        changed = list(rows)
        for place in chosen:
            changed[place] = _spoilt(table, rows[place], at)
        touched: list[tuple[Row, ...]] = [(rows[place], changed[place]) for place in chosen]
        yield Tampering(table, f"changed {column.name}", changed, touched)
    for odd in (0, 1):
        gone = set(chosen[odd::2])
        kept = [row for place, row in enumerate(rows) if place not in gone]
        yield Tampering(table, "deleted", kept, [(rows[place],) for place in sorted(gone)])
    added = [_new(table, rows[place]) for place in chosen]
    yield Tampering(table, "added", [*rows, *added], [(row,) for row in added])
    if table is not entries:
        yield from _swapped(table, rows, chosen)


def _spoilt(table: Table, row: Row, at: int) -> Row:
    """The row with one column changed, so that rows stay unlike each other."""
    value = row[at]
    if table is entries and table.c[at].name == "bytes":
        new: Any = _another_day(value)
    elif isinstance(value, int):
        new = 2 * value + FAR
    elif isinstance(value, str):
        new = f"{value}~"
    else:
        new = bytes(value[:-1]) + bytes([value[-1] ^ 1]) if value else b"\x00"
    return (*row[:at], new, *row[at + 1 :])


def _another_day(raw: bytes) -> bytes:
    return canonical(parse(raw) | {"on": "1999-01-01"})


def _new(table: Table, row: Row) -> Row:
    """A row like this one that the table does not have: the last of its key is another."""
    last = list(table.c).index(list(table.primary_key.columns)[-1])
    new = _spoilt(table, row, last)
    for at, column in enumerate(table.c):
        if table is entries and column.name in ("id", "leaf", "bytes"):
            new = _spoilt(table, new, at)
    return new


def _swapped(table: Table, rows: list[Row], chosen: Sequence[int]) -> Iterator[Tampering]:
    """Rows in pairs, far apart, their contents exchanged; where all is key, the last of the key.

    A row is left out only where exchanging it with any other leaves the table as it is.
    """
    left = list(chosen)
    while left:
        swapped = _swap_round(table, rows, left)
        if not swapped.touched:
            return
        yield swapped
        done = {pair[0] for pair in swapped.touched}
        left = [place for place in left if rows[place] not in done]


def _swap_round(table: Table, rows: list[Row], wanted: Sequence[int]) -> Tampering:
    out, known, free = list(rows), set(rows), set(range(len(rows)))
    touched: list[tuple[Row, ...]] = []
    for one in wanted:
        for other in _far_from(one, len(rows)) if one in free else ():
            first, second = _exchanged(table, rows[one], rows[other])
            # Like with like changes nothing, and two rows of a key cannot lie in one table.
            if other in free and not {first, second} & known:
                out[one], out[other] = first, second
                known |= {first, second}
                free -= {one, other}
                touched += [(rows[one], first), (rows[other], second)]
                break
    return Tampering(table, "swapped", out, touched)


def _far_from(place: int, count: int) -> Iterator[int]:
    yield from ((place + count // 2 + step) % count for step in range(count))


def _exchanged(table: Table, first: Row, second: Row) -> tuple[Row, Row]:
    keys = [column.name for column in table.primary_key.columns]
    loose = [at for at, column in enumerate(table.c) if column.name not in keys]
    one, other = list(first), list(second)
    for at in loose or [list(table.c.keys()).index(keys[-1])]:
        one[at], other[at] = other[at], one[at]
    return tuple(one), tuple(other)


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
    if table is entries:
        after = f"position {row[0]} was expected"
        # An entry that is gone is named by the one that follows it, the last by what covered it.
        return (
            f"entry {row[0]}" in named
            or f"entries {row[0]}" in named
            or after in named.get(f"entry {row[0] + 1}", ())
            or f"checkpoint {row[0] + 1}" in named
        )
    if table is held:
        return f"held values of entry {row[0]}" in named or any(
            f" {values['field']} " in f"{what} " for what in named.get(f"entry {row[0]}", ())
        )
    # A checkpoint is named as such, any other row by its table.
    return {f"checkpoint {key}", f"{table.name} {key}"} & named.keys() != set()


class Rows:
    """Rows of one copy of a book, tampered with and put back again and again."""

    def __init__(self, registry: Registry, tally: Tally, most: int | None) -> None:
        self.registry = registry
        self.tally = tally
        self.most = most
        self.clean = {table: rows_of(registry, table) for table in TABLES}

    def rounds(self, *, apart: bool) -> Iterator[tuple[Tampering, ...]]:
        """What is tampered with at once.

        The audit replays the entries alone, so what is done to the other tables hides nothing of
        each other and is done together, unless it is wanted ``apart``.
        """
        chosen = {table: sampled(rows, self.most) for table, rows in self.clean.items()}
        each = {t: list(tamperings(t, self.clean[t], chosen[t])) for t in TABLES}
        each[held].append(self._strays())
        yield from ((one,) for one in each.pop(entries))
        if apart:
            yield from ((one,) for ones in each.values() for one in ones)
        else:
            yield from (tuple(filter(None, ones)) for ones in zip_longest(*each.values()))

    def _strays(self) -> Tampering:
        """Held values added to entries that hold none."""
        holding = {row[0] for row in self.clean[held]}
        bare = [row[0] for row in self.clean[entries] if row[0] not in holding][: self.most]
        strays = [(at, *row[1:]) for at, row in zip(bare, self.clean[held], strict=False)]
        rows = [*self.clean[held], *strays]
        return Tampering(held, "added to another entry", rows, [(row,) for row in strays])

    def faults(self, together: Sequence[Tampering]) -> tuple[str, ...]:
        """What the audit finds; the tables are then put back as they were."""
        for tampering in together:
            put(self.registry, tampering.table, tampering.rows)
        found = faults_of(self.registry)
        for tampering in together:
            put(self.registry, tampering.table, self.clean[tampering.table])
        return found

    def counted(self, tampering: Tampering, faults: Sequence[str]) -> list[str]:
        """Count the rows that the audit names; return those that it does not."""
        table, touched = tampering.table, tampering.touched
        silent = unnamed(table, touched, faults)
        found = len(touched) - len(silent)
        self.tally.add(f"rows of {table.name}", len(touched), audit=found, nobody=len(silent))
        return [f"{table.name}, {tampering.says}: {row[:2]}" for row in silent]

    def swap_entries(self, step: int) -> Iterator[str]:
        """A whole entry and the next change places: what finds it is the root, and names no row."""
        rows = self.clean[entries]
        for at in range(0, len(rows) - 1, step):
            swapped = list(rows)
            swapped[at] = (rows[at][0], *rows[at + 1][1:])
            swapped[at + 1] = (rows[at + 1][0], *rows[at][1:])
            found = bool(self.faults([Tampering(entries, "swapped", swapped, [])]))
            self.tally.add("rows of entries", audit=int(found), nobody=int(not found))
            if not found:
                yield f"entries, swapped: {at}"


def tamper_with_rows(
    told: Told, work: Path, tally: Tally, *, apart: bool, step: int, most: int | None = None
) -> list[str]:
    """Every tampering with every row, the guards gone; returns what the audit did not name.

    Args:
        told: The book.
        work: Where its copies go.
        tally: Where it is counted.
        apart: Each table on its own.
        step: Every how many entries one changes places with the next.
        most: How many rows of a table, where not all.
    """
    registry = told.copied(work / "rows")
    try:
        rows = Rows(registry, tally, most)
        missed = list(rows.swap_entries(step))
        for together in rows.rounds(apart=apart):
            faults = rows.faults(together)
            for tampering in together:
                missed += rows.counted(tampering, faults)
        missed += [f"the rows were not put back: {fault}" for fault in faults_of(registry)]
        return missed
    finally:
        registry.close()


def try_with_guards(told: Told, work: Path, tally: Tally, most: int | None = None) -> list[str]:
    """Change each column of each row of the book, delete and replace it, the guards in place."""
    registry = told.copied(work / "guarded")
    allowed = []
    try:
        for table in GUARDED:
            rows = rows_of(registry, table)
            chosen = [rows[place] for place in sampled(rows, most)]
            for statement, is_refused in refused(registry.engine, table, chosen):
                tally.add("guards in place", refused=int(is_refused), nobody=int(not is_refused))
                allowed += [] if is_refused else [statement]
    finally:
        registry.close()
    return allowed
