"""Databases for the tests: fresh ones, and ready ones copied from one migrated to head.

A ready database is made by the project's own migrations, once for a worker and a kind of database,
and copied for every test that asks for it: migrating each anew would take most of a test's time.
"""

from __future__ import annotations

import shutil
from itertools import count
from pathlib import Path
from typing import Protocol

from tests.helpers.postgresql import Server


class Stores(Protocol):
    """A maker of databases, each named as `--registry` names it: a path or a PostgreSQL URL."""

    def fresh(self) -> str:
        """Return a place where nothing is yet."""
        ...

    def ready(self) -> str:
        """Return a place whose tables are all there and empty."""
        ...

    def kept(self, name: str) -> str:
        """Return a fresh place that stays for all tests, to be copied when it is closed."""
        ...

    def copy(self, name: str) -> str:
        """Return a copy of what was kept."""
        ...

    def clear(self) -> None:
        """Remove what was made since the last clearing; what was kept stays."""
        ...


def migrate(where: str) -> None:
    """Bring a database to the newest schema, by the project's own migrations."""
    from editions.store import schema
    from editions.store.connection import engine_for

    engine = engine_for(where)
    schema.build(engine)
    # The last connection to a SQLite file takes its write-ahead log with it: one file is left.
    engine.dispose()


class SQLiteStores:
    """Files in a folder; a file that is not there yet is a fresh database."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pattern = folder / "pattern.db"
        self.numbers = count(1)

    def fresh(self) -> str:
        return str(self._next())

    def ready(self) -> str:
        if not self.pattern.exists():
            migrate(str(self.pattern))
        place = self._next()
        shutil.copyfile(self.pattern, place)
        return str(place)

    def kept(self, name: str) -> str:
        return str(self.folder / f"{name}.db")

    def copy(self, name: str) -> str:
        place = self._next()
        shutil.copyfile(self.folder / f"{name}.db", place)
        return str(place)

    def clear(self) -> None:
        for file in self.folder.glob("registry-*"):
            file.unlink()

    def _next(self) -> Path:
        return self.folder / f"registry-{next(self.numbers)}.db"


class PostgreSQLStores:
    """Databases of one server; names are never used twice."""

    def __init__(self, server: Server) -> None:
        self.server = server
        self.pattern = ""
        self.numbers = count(1)
        self.made: list[str] = []

    def fresh(self) -> str:
        return self._make("template0")

    def ready(self) -> str:
        if not self.pattern:
            self.server.create("pattern")
            migrate(self.server.url("pattern"))
            self.pattern = "pattern"
        return self._make(self.pattern)

    def kept(self, name: str) -> str:
        self.server.create(name)
        return self.server.url(name)

    def copy(self, name: str) -> str:
        return self._make(name)

    def clear(self) -> None:
        while self.made:
            self.server.drop(self.made.pop())

    def _make(self, template: str) -> str:
        name = f"registry_{next(self.numbers)}"
        self.server.create(name, template)
        self.made.append(name)
        return self.server.url(name)
