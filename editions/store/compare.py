"""Comparing two databases table by table and row by row, in the order of their primary keys."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Table, Text, select

Row = tuple[Any, ...]


def ordered_rows(connection: Connection, table: Table) -> Iterator[Row]:
    """Every row, ordered by primary key in byte order, on either database."""
    keys = list(table.primary_key.columns)
    if connection.dialect.name == "postgresql":
        keys = [key.collate("C") if isinstance(key.type, Text) else key for key in keys]  # type: ignore[misc]
    look = select(table).order_by(*keys).execution_options(yield_per=1000)
    for row in connection.execute(look):
        yield tuple(bytes(value) if isinstance(value, memoryview) else value for value in row)


def differences(table: Table, found: Iterator[Row], expected: Iterator[Row]) -> Iterator[str]:
    """What differs between the rows found and those expected, a line each."""
    places = [list(table.c).index(column) for column in table.primary_key.columns]

    def key(row: Row) -> Row:
        return tuple(row[place] for place in places)

    have, want = next(found, None), next(expected, None)
    while have is not None or want is not None:
        if want is None or (have is not None and key(have) < key(want)):
            assert have is not None  # noqa: S101 - one of the two is there
            yield f"{table.name} {_shown(key(have))}: this row does not follow from the book"
            have = next(found, None)
        elif have is None or key(want) < key(have):
            yield f"{table.name} {_shown(key(want))}: this row is missing"
            want = next(expected, None)
        else:
            yield from _columns(table, key(have), have, want)
            have, want = next(found, None), next(expected, None)


def _columns(table: Table, key: Row, have: Row, want: Row) -> Iterator[str]:
    for column, is_, should in zip(table.c, have, want, strict=True):
        if is_ != should:
            yield f"{table.name} {_shown(key)}: {column.name} does not follow from the book"


def _shown(key: Row) -> str:
    return " ".join(part.hex() if isinstance(part, bytes) else str(part) for part in key)
