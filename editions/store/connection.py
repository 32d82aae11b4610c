"""Engines, transactions and the writers' lock, on SQLite and PostgreSQL.

A writer takes the lock first and reads afterwards, so nothing is judged on what was read before it:
``BEGIN IMMEDIATE`` on SQLite, a transaction-long advisory lock on PostgreSQL.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, exc, text

from editions.errors import BronzebookError, MachineRefused, Refused, RegistryUnusable

__all__ = [
    "Connection",
    "Engine",
    "alone",
    "engine_for",
    "give_up",
    "is_url",
    "reading",
    "writing",
]

LOCK = 0x62726F6E7A65  # "bronze"; any fixed number serves
CLERK = "bronzebook_clerk"
BUSY_MS = 30_000

_PRAGMAS = (
    "PRAGMA journal_mode=WAL",
    "PRAGMA synchronous=FULL",
    "PRAGMA foreign_keys=ON",
    "PRAGMA recursive_triggers=ON",
    # What is deleted is overwritten, so that an erased value does not linger in its page.
    "PRAGMA secure_delete=ON",
    f"PRAGMA busy_timeout={BUSY_MS}",
)


def is_url(where: str) -> bool:
    """Whether a registry is named by a database URL and not by a path."""
    return re.match(r"^postgres(ql)?(\+\w+)?://", where) is not None


def engine_for(where: str | Path) -> Engine:
    """An engine for a SQLite file or a PostgreSQL URL; nothing is opened yet."""
    if isinstance(where, str) and is_url(where):
        url = re.sub(r"^postgres(ql)?(\+\w+)?://", "postgresql+psycopg://", where)
        return _postgresql(url)
    return _sqlite(Path(where))


def _postgresql(url: str) -> Engine:
    try:
        return create_engine(url, isolation_level="READ COMMITTED")
    except (exc.ArgumentError, ValueError):
        raise RegistryUnusable("The database URL cannot be read.", "Write postgresql://…") from None
    except ModuleNotFoundError:
        raise RegistryUnusable(
            "PostgreSQL needs its driver.", "Install it: pip install 'bronzebook[postgresql]'."
        ) from None


def _sqlite(path: Path) -> Engine:
    # Made of its parts: in a text, a ? in a folder's name would end the path.
    engine = create_engine(URL.create("sqlite", database=str(path)))

    @event.listens_for(engine, "connect")
    def prepare(raw: Any, _: Any) -> None:
        # SQLAlchemy keeps sqlite3's old transaction mode; BEGIN is ours to say.
        raw.isolation_level = None
        for pragma in _PRAGMAS:
            raw.execute(pragma)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        if not options.get("alone", False):
            how = "BEGIN IMMEDIATE" if options.get("writer", False) else "BEGIN"
            connection.exec_driver_sql(how)

    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection that sees one moment of the book."""
    with plain_errors(), engine.connect() as connection, connection.begin():
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection that holds the writers' lock; commits at the end, rolls back on an error."""
    writer = engine.execution_options(writer=True)
    with plain_errors(), writer.connect() as connection, connection.begin():
        if connection.dialect.name == "postgresql":
            # As long as SQLite waits, and no longer: a writer that hangs must not hang all others.
            connection.execute(text(f"SET LOCAL lock_timeout = {BUSY_MS}"))
            connection.execute(text(f"SET LOCAL lock_timeout = {BUSY_MS}"))
            connection.execute(text(f"SELECT pg_advisory_xact_lock({LOCK})"))
            _become_clerk(connection)
        yield connection


@contextmanager
def alone(engine: Engine) -> Iterator[Connection]:
    """A connection outside any transaction, for what databases refuse to do within one."""
    options: dict[str, Any] = {"alone": True}
    if engine.dialect.name == "postgresql":
        options["isolation_level"] = "AUTOCOMMIT"
    with plain_errors(), engine.execution_options(**options).connect() as connection:
        yield connection


def give_up(connection: Connection) -> None:
    """Roll back what a writer has done so far; its transaction ends here."""
    transaction = connection.get_transaction()
    if transaction is not None:
        transaction.rollback()


def _become_clerk(connection: Connection) -> None:
    """Drop to the role that may only select and insert in the book, where it exists."""
    may = text("SELECT pg_has_role(oid, 'MEMBER') FROM pg_roles WHERE rolname = :role")
    if connection.execute(may, {"role": CLERK}).scalar():
        connection.execute(text(f"SET LOCAL ROLE {CLERK}"))


@contextmanager
def plain_errors() -> Iterator[None]:
    """Database errors in plain words, with what to do."""
    try:
        yield
    except exc.DBAPIError as fault:
        raise _plain(fault) from fault


_SAID: tuple[tuple[str, type[BronzebookError], str, str], ...] = (
    ("disk is full", MachineRefused, "The disk is full; nothing was written.", "Make room first."),
    ("disk i/o error", MachineRefused, "The disk refused; nothing was written.", "Check it first."),
    ("readonly", MachineRefused, "The registry may not be written.", "Check its permissions."),
    ("permission denied", MachineRefused, "The database refused.", "Check the role's rights."),
    ("lock timeout", RegistryUnusable, "Someone else is writing.", "Try again in a moment."),
    ("lock timeout", RegistryUnusable, "Someone else is writing.", "Try again in a moment."),
    ("locked", RegistryUnusable, "Someone else is writing.", "Try again in a moment."),
    ("not a database", RegistryUnusable, "That file is not a registry.", "Check the path."),
    ("malformed", RegistryUnusable, "The registry file is damaged.", "Restore a backup."),
    ("unable to open", RegistryUnusable, "The registry cannot be opened.", "Check the path."),
    ("append-only", Refused, "The book is append-only.", "Record a correction instead."),
    ("only the next entry", Refused, "The book takes only the next entry.", "Try again."),
    ("connection", RegistryUnusable, "The database does not answer.", "Check the URL."),
)


def _plain(fault: exc.DBAPIError) -> BronzebookError:
    words = str(fault.orig).lower()
    for sign, error, message, remedy in _SAID:
        if sign in words:
            return error(message, remedy)
    if isinstance(fault, exc.IntegrityError):
        return Refused("A name or number is already taken; nothing was written.", "Look it up.")
    return RegistryUnusable(
        f"The database refused: {str(fault.orig).splitlines()[0]}.", "See the log of the database."
    )
