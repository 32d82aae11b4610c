"""Erasing: the guards give way to an entry of the book and to nothing else; no byte is left."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import exc, insert, inspect, select, text

from editions.errors import BronzebookError, MachineRefused, RegistryUnusable
from editions.registry import Registry, open_registry, upgrade
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.held import erase_field
from editions.store import connection, schema
from editions.store.backups import back_up, backups_in
from editions.store.clearing import clear
from editions.store.tables import metadata
from tests.helpers.patterns import Patterns
from tests.helpers.stores import PostgreSQLStores, Stores
from tests.store.books import pull_wax, report_on, small_book, tamper

DAY = datetime.date(2026, 3, 2)
HAND = 3  # the position of the hand's entry, whose name and contact are held


@pytest.fixture
def book(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    registry = patterns.copied("small", stores, tmp_path / "home", small_book)
    yield registry
    registry.close()


def erase(registry: Registry, entry: str = "Y-0003#1", field: str = "contact") -> None:
    with registry.writing() as w:
        erase_field(w, entry, field, authority="Y-0003", because="request", reason="he asked")


def rows(registry: Registry, statement: str) -> list[tuple[object, ...]]:
    with connection.reading(registry.engine) as seen:
        return [tuple(row) for row in seen.execute(text(statement))]


def held_fields(registry: Registry, position: int = HAND) -> set[object]:
    found = rows(registry, f"SELECT field FROM held WHERE position = {position}")
    return {field for (field,) in found}


def test_an_erased_value_is_gone_and_the_book_holds(book: Registry) -> None:
    erase(book)
    assert held_fields(book) == {"private_name"}
    assert rows(book, "SELECT position, field, erased FROM erasures") == [(HAND, "contact", 12)]
    assert report_on(book).faults == ()
    pull_wax(book, 4)
    assert report_on(book).faults == ()


def test_an_erasing_that_is_given_up_destroys_nothing(book: Registry) -> None:
    with book.writing(rehearse=True) as w:
        erase_field(w, "Y-0003#1", "contact", authority="Y-0003", because="request")
    assert held_fields(book) == {"private_name", "contact"}
    assert rows(book, "SELECT * FROM erasures") == []


def test_a_value_may_be_erased_in_the_writing_that_corrects_it(book: Registry) -> None:
    with book.writing() as w:
        correct_entry(w, "Y-0003#1", {"contact": "barn 4"}, reason="moved")
        erase_field(w, "Y-0003#1", "contact", authority="Y-0003", because="request")
    assert held_fields(book) == {"private_name"}
    assert held_fields(book, 12) == {"reason"}
    assert rows(book, "SELECT position, field FROM erasures ORDER BY position") == [
        (HAND, "contact"),
        (12, "held_value"),
    ]
    assert report_on(book).faults == ()


GUARDED = [
    "DELETE FROM held",
    f"DELETE FROM held WHERE position = {HAND}",
    f"DELETE FROM held WHERE position = {HAND} AND field = 'private_name'",
    "DELETE FROM held WHERE field = 'held_value'",
    "UPDATE held SET value = salt",
    f"UPDATE held SET field = 'contact' WHERE position = {HAND}",
]


@pytest.mark.parametrize("statement", GUARDED)
def test_an_erasure_frees_one_value_and_no_other(book: Registry, statement: str) -> None:
    erase(book)
    with book.engine.connect() as owner, pytest.raises(exc.DBAPIError, match="append-only"):
        owner.execute(text(statement))
    with pytest.raises(BronzebookError), connection.writing(book.engine) as clerk:
        clerk.execute(text(statement))


@pytest.mark.parametrize(
    ("position", "field", "erased"),
    [
        (HAND, "private_name", 12),  # the erasing entry names another field
        (HAND, "private_name", 3),  # an entry that erases nothing
        (HAND, "private_name", 99),  # no entry at all
        (4, "note", 12),  # the erasing entry names another entry
        (11, "held_value", 12),  # a correction that the erasing entry does not name
        (11, "reason", 12),
    ],
)
def test_a_row_of_the_index_alone_frees_nothing(
    book: Registry, position: int, field: str, erased: int
) -> None:
    erase(book)
    row = {"p": position, "f": field, "e": erased}
    with connection.writing(book.engine) as clerk:
        clerk.execute(text("INSERT INTO erasures VALUES (:p, :f, :e)"), row)
    with pytest.raises(BronzebookError, match="append-only"), connection.writing(book.engine) as w:
        w.execute(text("DELETE FROM held WHERE position = :p AND field = :f"), row)


TAMPERED = [
    (
        f"DELETE FROM held WHERE position = {HAND} AND field = 'private_name'",
        f"entry {HAND}: the held value of private_name is missing",
    ),
    (
        f"INSERT INTO held SELECT {HAND}, 'contact', salt, value FROM held WHERE position = 4",
        f"entry {HAND}: contact was erased, and its value is still here",
    ),
    ("DELETE FROM erasures", f"erasures {HAND} contact: this row is missing"),
    ("UPDATE erasures SET erased = 11", f"erasures {HAND} contact: erased does not follow"),
    ("UPDATE erasures SET field = 'private_name'", f"erasures {HAND} private_name: this row does"),
    ("INSERT INTO erasures VALUES (4, 'note', 12)", "erasures 4 note: this row does not follow"),
    ("DELETE FROM entries WHERE position = 12", f"entry {HAND}: the held value of contact is miss"),
    ("UPDATE entries SET bytes = leaf WHERE position = 12", "entry 12: its bytes do not hash"),
]


@pytest.mark.parametrize(("statement", "fault"), TAMPERED)
def test_what_was_not_erased_by_the_book_is_a_fault(
    book: Registry, statement: str, fault: str
) -> None:
    erase(book)
    tamper(book, statement)
    assert any(fault in line for line in report_on(book).faults), report_on(book).faults


def sqlite_files(path: Path) -> list[bytes]:
    """The bytes of a SQLite database and its journals, read past the database."""
    names = ("", "-wal", "-shm", "-journal")
    files = [path.with_name(path.name + end) for end in names]
    return [file.read_bytes() for file in files if file.exists()]


def test_clearing_reaches_what_careless_hands_left_in_free_pages(tmp_path: Path) -> None:
    path = tmp_path / "registry.db"
    book = small_book(str(path), tmp_path)
    book.close()
    mark = b"the widow Maier, by telephone" * 9
    with closing(sqlite3.connect(path, isolation_level=None)) as careless:
        careless.execute("PRAGMA secure_delete=OFF")
        careless.execute("CREATE TABLE left (note BLOB)")
        careless.execute("INSERT INTO left VALUES (?)", (mark,))
        careless.execute("DROP TABLE left")
        careless.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert any(mark in file for file in sqlite_files(path))
    again = open_registry(tmp_path)
    clear(again.engine)
    assert not any(mark in file for file in sqlite_files(path))
    assert report_on(again).faults == ()
    again.close()


@pytest.mark.postgresql
def test_the_servers_statistics_hold_no_held_value(
    postgresql_stores: PostgreSQLStores, tmp_path: Path
) -> None:
    book = small_book(postgresql_stores.fresh(), tmp_path)
    with connection.alone(book.engine) as owner:
        owner.exec_driver_sql("ANALYZE")
        kept = owner.exec_driver_sql("SELECT attname FROM pg_stats WHERE tablename = 'held'")
        assert set(kept.scalars()) == {"position", "field"}
    book.close()


def test_who_reads_an_older_moment_is_waited_for_and_then_named(book: Registry) -> None:
    with connection.reading(book.engine) as reader:
        reader.execute(select(metadata.tables["held"])).all()
        erase(book)
        with pytest.raises(RegistryUnusable, match="reading") as caught:
            clear(book.engine, patience=0.2)
        assert "out of the book" in caught.value.remedy
    clear(book.engine, patience=5)
    assert report_on(book).faults == ()


def test_after_clearing_a_writer_waits_as_long_as_ever(tmp_path: Path) -> None:
    book = small_book(str(tmp_path / "registry.db"), tmp_path)
    clear(book.engine, patience=0.1)
    with connection.reading(book.engine) as seen:
        wait = seen.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
        assert wait == connection.BUSY_MS
        assert seen.exec_driver_sql("PRAGMA secure_delete").scalar_one() == 1
    book.close()


def older(stores: Stores, newer: Registry) -> str:
    """A database of the first revision with the rows of a newer one, as it was left."""
    from alembic import command

    where = stores.fresh()
    engine = connection.engine_for(where)
    with engine.connect().execution_options(writer=True) as target:
        schema._prepare(target)
        command.upgrade(schema._config(target), "0001")
        target.commit()
        with connection.reading(newer.engine) as source:
            for table in metadata.sorted_tables:
                if table.name != "erasures":
                    order = list(table.primary_key.columns)
                    found = source.execute(select(table).order_by(*order)).mappings().all()
                    if found:
                        target.execute(insert(table), [dict(row) for row in found])
        target.commit()
    engine.dispose()
    return where


def content(registry: Registry) -> dict[str, str]:
    """A digest of every table's rows, but of the index that a revision may add to."""
    digests = {}
    with connection.reading(registry.engine) as seen:
        for table in metadata.sorted_tables:
            order = list(table.primary_key.columns)
            found = [tuple(row) for row in seen.execute(select(table).order_by(*order))]
            digests[table.name] = sha256(repr(found).encode()).hexdigest()
    return digests


def test_an_older_registry_is_upgraded_whole_and_guarded(
    book: Registry, stores: Stores, tmp_path: Path
) -> None:
    where = older(stores, book)
    home = tmp_path / "home"
    with pytest.raises(RegistryUnusable, match="older than this program"):
        open_registry(where, home=home)
    done = upgrade(
        where, home=home, clock=lambda: datetime.datetime(2026, 3, 9, tzinfo=datetime.UTC)
    )
    assert (done.before, done.after) == ("0001", schema.newest())
    upgraded = open_registry(where, home=home)
    assert content(upgraded) == content(book)
    assert report_on(upgraded).faults == ()
    assert schema.differences(upgraded.engine) == []
    for statement in ("DELETE FROM held", "UPDATE held SET field = field", "DELETE FROM entries"):
        with upgraded.engine.connect() as owner, pytest.raises(exc.DBAPIError, match="append-only"):
            owner.execute(text(statement))
    erase(upgraded)
    clear(upgraded.engine)
    assert report_on(upgraded).faults == ()
    upgraded.close()
    assert upgrade(where, home=home)[:2] == (schema.newest(), schema.newest())


def test_an_upgrade_folds_the_tables_anew(book: Registry, stores: Stores, tmp_path: Path) -> None:
    where = older(stores, book)
    engine = connection.engine_for(where)
    with engine.begin() as owner:
        owner.execute(text("UPDATE subjects SET title = 'Hero', state = '{}'"))
        owner.execute(text("DELETE FROM links"))
    engine.dispose()
    upgrade(where, home=tmp_path / "home")
    upgraded = open_registry(where, home=tmp_path / "home")
    assert content(upgraded) == content(book)
    upgraded.close()


def test_a_missing_guard_is_said_when_tables_are_built(book: Registry) -> None:
    with book.engine.begin() as owner:
        table = " ON held" if owner.dialect.name == "postgresql" else ""
        guard = "held_only_erased" if table else "held_no_delete"
        owner.execute(text(f"DROP TRIGGER {guard}{table}"))
    with pytest.raises(RegistryUnusable, match="guards"):
        schema.build(book.engine)


def test_a_backup_is_the_registry_whole_and_for_its_owners_eyes(tmp_path: Path) -> None:
    book = small_book(str(tmp_path / "registry.db"), tmp_path)
    folder = tmp_path / "backups"
    first = back_up(Path(book.home.database), folder, "0001", DAY)
    second = back_up(Path(book.home.database), folder, "0001", DAY)
    assert [one.name for one in (first, second)] == [
        "registry-0001-2026-03-02.db",
        "registry-0001-2026-03-02-2.db",
    ]
    assert backups_in(folder) == (second, first)
    assert first.stat().st_mode & 0o777 == 0o600
    assert {one.name for one in folder.iterdir()} == {first.name, second.name}
    copy = connection.engine_for(first)
    assert set(inspect(copy).get_table_names()) >= {"entries", "held"}
    with connection.reading(copy) as seen:
        assert seen.execute(text("SELECT count(*) FROM entries")).scalar_one() == 12
    copy.dispose()
    book.close()


def test_a_backup_that_cannot_be_made_is_said_and_nothing_is_left(tmp_path: Path) -> None:
    path = tmp_path / "registry.db"
    path.write_bytes(b"mold, pulls, heat\n" * 400)
    with pytest.raises(MachineRefused, match="No backup could be made"):
        back_up(path, tmp_path / "backups", "0001", DAY)
    assert list((tmp_path / "backups").iterdir()) == []
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(MachineRefused):
        back_up(path, tmp_path / "taken", "0001", DAY)
