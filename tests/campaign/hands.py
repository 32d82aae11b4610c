"""The hands of a database's owner, past the store: on SQLite and on PostgreSQL.

They read whole tables, put others in their place with the guards gone, and try statements with the
guards where they are.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from typing import Any

import psycopg
from sqlalchemy import Engine, Table, and_, bindparam, delete, insert, select

from editions.registry import Registry
from editions.registry.auditing import audit
from editions.store.connection import Connection
from tests.store.books import drop_guards

Row = tuple[Any, ...]

# What a guard says when it refuses; PostgreSQL's is raised by a function.
REFUSED = (sqlite3.IntegrityError, psycopg.errors.RaiseException)


def key_of(table: Table, row: Row) -> tuple[Any, ...]:
    """The values of a row's primary key."""
    names = table.c.keys()
    return tuple(row[names.index(column.name)] for column in table.primary_key.columns)


def rows_of(registry: Registry, table: Table) -> list[Row]:
    """The rows of a table in the order of its key."""
    with registry.engine.connect() as owner:
        return _rows(owner, table)


def _rows(owner: Connection, table: Table) -> list[Row]:
    order = table.primary_key.columns
    return [tuple(row) for row in owner.execute(select(table).order_by(*order))]


def put(registry: Registry, table: Table, rows: Sequence[Row]) -> None:
    """Make these the rows of a table, the guards out of the way; only what differs is touched."""
    with registry.engine.connect() as owner:
        drop_guards(owner)
        now = set(_rows(owner, table))
        _take_out(owner, table, now - set(rows))
        come = [row for row in rows if row not in now]
        if come:
            owner.execute(insert(table), [dict(zip(table.c.keys(), r, strict=True)) for r in come])
        owner.commit()


def _take_out(owner: Connection, table: Table, gone: set[Row]) -> None:
    keys = list(table.primary_key.columns)
    here = and_(*(column == bindparam(f"key_{column.name}") for column in keys))
    names = [f"key_{column.name}" for column in keys]
    if gone:
        values = [dict(zip(names, key_of(table, row), strict=True)) for row in gone]
        owner.execute(delete(table).where(here), values)


def faults_of(registry: Registry) -> tuple[str, ...]:
    """What an audit of a registry finds."""
    return audit(registry).faults


def refused(engine: Engine, table: Table, rows: Sequence[Row]) -> Iterator[tuple[str, bool]]:
    """Each statement that would change, delete or replace one of the rows; whether it is refused.

    Every one is tried in a transaction of its own, which is given up.
    """
    raw = engine.raw_connection()
    with closing(raw):
        driver: Any = raw.driver_connection
        if engine.dialect.name == "postgresql":
            driver.autocommit = True  # so that BEGIN is ours to say, as it is on SQLite
        cursor = raw.cursor()
        for statement in _statements(engine.dialect.name, table):
            for row in rows:
                yield f"{statement} {key_of(table, row)}", _refuses(cursor, statement, table, row)


def _statements(dialect: str, table: Table) -> list[str]:
    mark = "?" if dialect == "sqlite" else "%s"
    keys = [column.name for column in table.primary_key.columns]
    here = " AND ".join(f"{name} = {mark}" for name in keys)
    names = ", ".join(table.c.keys())
    again = f"{table.name} ({names}) SELECT {names} FROM {table.name} WHERE {here}"
    changes = [f"UPDATE {table.name} SET {c.name} = {c.name} WHERE {here}" for c in table.c]
    replaced = f"INSERT OR REPLACE INTO {again}"
    if dialect == "postgresql":
        same = ", ".join(f"{name} = EXCLUDED.{name}" for name in keys)
        replaced = f"INSERT INTO {again} ON CONFLICT ({', '.join(keys)}) DO UPDATE SET {same}"
    return [*changes, f"DELETE FROM {table.name} WHERE {here}", replaced]


def _refuses(cursor: Any, statement: str, table: Table, row: Row) -> bool:
    cursor.execute("BEGIN")
    try:
        cursor.execute(statement, key_of(table, row))
    except REFUSED:
        return True
    finally:
        cursor.execute("ROLLBACK")
    return False
