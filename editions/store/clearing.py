"""Clearing a database's files of what was erased, after the erasing is committed.

SQLite: our connections overwrite what they delete (``secure_delete``); but an older program, or a
hand at the file, may have left copies in free pages, so the file is written anew from what is still
there (VACUUM).  Then the write-ahead log is emptied into it and cut to nothing.  The ``-shm`` file
holds page numbers only.

PostgreSQL: the table's files are written anew (VACUUM FULL), and with them the planner's
statistics, which an older revision let the server gather of held values.  The server's own
write-ahead log, archives, replicas and backups are its keeper's: nothing here reaches them.

On either, blocks that the file system or the disk no longer uses are beyond a program.
"""

from __future__ import annotations

import time

from sqlalchemy import Connection, Engine, text

from editions.errors import RegistryUnusable
from editions.store.connection import alone

PATIENCE = 10.0  # seconds

_REMEDY = "What was erased is out of the book, but not yet out of its files: try again."


def clear(engine: Engine, patience: float = PATIENCE) -> None:
    """Rewrite the files so that no byte of what was erased is left in them.

    Args:
        engine: The database; no transaction of ours may be open.
        patience: Seconds to wait for others who read an older moment of the book.

    Raises:
        RegistryUnusable: If somebody reads on; the erasing stands, clearing can be run again.
        MachineRefused: If there is no room for a second copy of the file.
    """
    with alone(engine) as connection:
        if connection.dialect.name == "postgresql":
            _clear_postgresql(connection, patience)
        else:
            _clear_sqlite(connection, patience)


def _clear_sqlite(connection: Connection, patience: float) -> None:
    connection.exec_driver_sql(f"PRAGMA busy_timeout={int(patience * 1000)}")
    connection.exec_driver_sql("VACUUM")
    busy, _, _ = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
    # The connection goes back to its pool, where others count on the usual wait.
    connection.invalidate()
    if busy:
        raise RegistryUnusable("Somebody is reading, so the journal cannot be emptied.", _REMEDY)


def _clear_postgresql(connection: Connection, patience: float) -> None:
    connection.exec_driver_sql(f"SET lock_timeout = {int(patience * 1000)}")
    _wait_for_readers(connection, time.monotonic() + patience)
    connection.exec_driver_sql("VACUUM (FULL) held")
    # Skipped by the server, with a warning, where the owner may not.
    connection.exec_driver_sql("VACUUM (FULL) pg_statistic")
    connection.exec_driver_sql("RESET lock_timeout")


def _wait_for_readers(connection: Connection, until: float) -> None:
    # Rows that an older moment still sees would be copied along.
    readers = text(
        "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
        " AND pid <> pg_backend_pid() AND backend_xmin IS NOT NULL"
    )
    while connection.execute(readers).scalar_one():
        if time.monotonic() > until:
            raise RegistryUnusable("Somebody is reading an older moment of the book.", _REMEDY)
        time.sleep(0.05)
