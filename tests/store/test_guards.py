"""The database itself refuses to change what is in the book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import exc, text

from editions.errors import BronzebookError, RegistryUnusable
from editions.registry import Registry, open_registry
from editions.store import connection, schema
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.store.books import small_book


@pytest.fixture
def book(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    registry = patterns.copied("small", stores, tmp_path / "home", small_book)
    yield registry
    registry.close()


CHANGES = [
    "UPDATE entries SET kind = 'x' WHERE position = 1",
    "DELETE FROM entries WHERE position = 11",
    "UPDATE nodes SET hash = hash",
    "DELETE FROM nodes",
    "UPDATE checkpoints SET note = ''",
    "DELETE FROM checkpoints",
    "UPDATE held SET field = field",
    "DELETE FROM held",
]


@pytest.mark.parametrize("statement", CHANGES)
def test_no_statement_changes_a_row_of_the_book(book: Registry, statement: str) -> None:
    with book.engine.connect() as owner, pytest.raises(exc.DBAPIError, match="append-only"):
        owner.execute(text(statement))


@pytest.mark.parametrize("statement", CHANGES)
def test_the_clerk_may_not_change_the_book_either(book: Registry, statement: str) -> None:
    with pytest.raises(BronzebookError), connection.writing(book.engine) as clerk:
        clerk.execute(text(statement))


INSERT = (
    "INSERT{how} INTO entries (position, id, kind, subject, at, leaf, bytes) "
    "SELECT {position}, 'new', kind, subject, at, :leaf, bytes FROM entries WHERE position = 1"
)


@pytest.mark.parametrize("position", [1, 11, 13, -1])
def test_only_the_next_position_is_taken(book: Registry, position: int) -> None:
    with book.engine.connect() as owner, pytest.raises(exc.DBAPIError, match="only the next entry"):
        owner.execute(text(INSERT.format(how="", position=position)), {"leaf": b"new"})


def test_an_insert_that_would_replace_a_row_is_refused(tmp_path: Path) -> None:
    book = small_book(str(tmp_path / "registry.db"), tmp_path)
    with book.engine.connect() as owner, pytest.raises(exc.DBAPIError, match="only the next entry"):
        owner.execute(text(INSERT.format(how=" OR REPLACE", position=3)), {"leaf": b"new"})
    book.close()


def test_migrations_and_tables_agree(book: Registry) -> None:
    assert schema.differences(book.engine) == []


def test_sqlite_tables_are_strict(tmp_path: Path) -> None:
    book = small_book(str(tmp_path / "registry.db"), tmp_path)
    with book.engine.connect() as owner:
        tables = owner.exec_driver_sql("PRAGMA table_list").all()
    lax = {row.name for row in tables if row.schema == "main" and not row.strict}
    assert lax == {"sqlite_schema", "alembic_version"}
    book.close()


def test_the_clerk_of_postgresql_holds_no_right_to_change_the_book(
    postgresql_stores: object, tmp_path: Path
) -> None:
    url = postgresql_stores.fresh()  # type: ignore[attr-defined]
    book = small_book(url, tmp_path)
    with pytest.raises(BronzebookError, match="refused"), connection.writing(book.engine) as clerk:
        clerk.execute(text("TRUNCATE entries"))
    book.close()


def test_a_newer_registry_is_left_alone(book: Registry, tmp_path: Path) -> None:
    with book.engine.begin() as owner:
        owner.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(RegistryUnusable, match="newer than this program"):
        open_registry(book.home.database, home=tmp_path / "home")


def test_a_foreign_database_is_not_opened(tmp_path: Path) -> None:
    import sqlite3

    path = tmp_path / "registry.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE casts (name TEXT)")
    with pytest.raises(RegistryUnusable, match="not a registry"):
        open_registry(path)


def test_a_file_that_is_no_database_is_not_opened(tmp_path: Path) -> None:
    path = tmp_path / "registry.db"
    path.write_bytes(b"mold, pulls, heat\n" * 400)
    with pytest.raises(RegistryUnusable, match="not a registry"):
        open_registry(path)


def test_no_registry_at_all_is_said(tmp_path: Path) -> None:
    with pytest.raises(RegistryUnusable, match="No registry at"):
        open_registry(tmp_path)
