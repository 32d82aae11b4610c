"""Everything confided is erased: no byte of it is left in the database's files.

Two books were told the same story and different confidences.  On SQLite, once all is erased and the
files are cleared, the two files are the same, byte for byte, but for the count that SQLite keeps of
its changes: nothing is left of any value, however short it was.  (The seals are blind for this, as
in ``test_outputs``.)

PostgreSQL's files bear marks of their own of every change, so there the salts are looked for, whole
and by half: a salt lies beside its value in one row and is nowhere by chance, so where no salt is,
no row is; and whatever is too long to be anywhere by chance is looked for as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from editions.ledger import held as sealing
from editions.registry import Registry, open_registry
from editions.registry.acts.held import erase_field
from editions.registry.auditing import audit
from editions.store import connection
from editions.store.clearing import clear
from editions.trade.held import RESTATED
from tests.held.conftest import PHRASE, Telling, blind_seal
from tests.held.planting import Confided, confided
from tests.helpers.postgresql import Server
from tests.helpers.stores import PostgreSQLStores
from tests.store.books import copy_rows


def erase(registry: Registry, said: Iterable[Confided]) -> None:
    """Erase these fields, which a court has ordered, and clear the files."""
    leaf_of = text("SELECT leaf FROM entries WHERE position = :at")
    with registry.writing() as w:
        for at, _, field, *_ in said:
            leaf = bytes(w.connection.execute(leaf_of, {"at": at}).scalar_one()).hex()
            if field != RESTATED:  # that goes with the field which it restates
                erase_field(w, leaf, field, authority="the court at Ostrel", because="court order")
    clear(registry.engine)


def sqlite_files(folder: Path) -> dict[str, bytes]:
    """A SQLite database and its journals, read past the database; its list of pages aside."""
    return {
        file.name: file.read_bytes()
        for file in folder.glob("registry.db*")
        if not file.name.endswith("-shm")
    }


def uncounted(data: bytes) -> bytes:
    """A database file without the count of its changes, which writing more pages moves.

    SQLite's file format, 1.3: the count stands at offset 24 and again at 92.
    """
    return data[:24] + bytes(4) + data[28:92] + bytes(4) + data[96:]


def traces(files: Iterable[bytes], said: Iterable[Confided]) -> list[tuple[int, str]]:
    """The entries and fields of which anything is found in files."""
    whole = b"\0".join(files)
    found = []
    for at, _, field, salt, value in said:
        marks = [salt, salt[:16], salt[16:], salt + value]
        marks += [value.strip(b'"')] if PHRASE.encode() in value else []
        found += [(at, field)] if any(mark in whole for mark in marks) else []
    return found


@pytest.fixture
def blind(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sealing, "seal", blind_seal)


@pytest.mark.usefixtures("blind")
def test_erased_from_sqlite_two_books_are_the_same_whatever_was_confided(
    two: list[Telling], tmp_path: Path
) -> None:
    said = two[0].confided
    assert len(said) >= 200
    before, after = [], []
    for n, telling in enumerate(two):
        folder = tmp_path / f"book-{n}"
        with closing(telling.house.copied(folder).opened()) as registry:
            before.append(sqlite_files(folder))
            assert len(traces(before[n].values(), telling.confided)) == len(telling.confided)
            erase(registry, said)
            assert traces(sqlite_files(folder).values(), [*said, *telling.confided]) == []
            assert confided(registry) == []
            assert audit(registry).faults == ()
        after.append({name: uncounted(data) for name, data in sqlite_files(folder).items()})
    assert before[0] != before[1]
    assert after[0] == after[1], "the files tell what was confided"


def database_files(server: Server, registry: Registry) -> list[bytes]:
    """The bytes of every file of a PostgreSQL database, once the server has written them down."""
    with connection.alone(registry.engine) as owner:
        owner.exec_driver_sql("CHECKPOINT")
        oid = owner.exec_driver_sql(
            "SELECT oid FROM pg_database WHERE datname = current_database()"
        ).scalar_one()
    folder = server.data / "base" / str(oid)
    return [file.read_bytes() for file in folder.iterdir() if file.is_file()]


@pytest.mark.postgresql
@pytest.mark.usefixtures("blind")
def test_erased_from_postgresql_no_salt_and_no_long_value_is_in_any_file_of_the_database(
    two: list[Telling],
    postgresql_stores: PostgreSQLStores,
    postgresql_server: Server,
    tmp_path: Path,
) -> None:
    said, where = two[0].confided, postgresql_stores.fresh()
    with closing(two[0].house.copied(tmp_path / "book").opened()) as told:
        copy_rows(told, where)
    with closing(open_registry(where, home=tmp_path / "book")) as registry:
        found = traces(database_files(postgresql_server, registry), said)
        assert len(found) == len(said)
        with connection.alone(registry.engine) as owner:
            owner.exec_driver_sql("ANALYZE")
        erase(registry, said)
        assert confided(registry) == []
        # The server's own write-ahead log lies beside these files, and is not ours to clear.
        assert traces(database_files(postgresql_server, registry), said) == []
        assert audit(registry).faults == ()
