"""Copies of a SQLite registry, made before its tables are changed.

They hold everything, held values too, those erased later included: whoever erases is told where
they lie.
"""

from __future__ import annotations

import datetime
import os
import sqlite3
from contextlib import closing
from itertools import count
from pathlib import Path

from editions.errors import MachineRefused
from editions.store.files import make_folder, plain_refusals


def back_up(database: Path, folder: Path, revision: str, day: datetime.date) -> Path:
    """Copy a SQLite registry, whole as of one moment, to ``registry-REVISION-DAY.db``.

    Args:
        database: The registry's file; others may be writing.
        folder: Where the copy goes; made where it is missing.
        revision: Of the schema, for the name.
        day: For the name; a second copy of one day is numbered.

    Raises:
        MachineRefused: If it cannot be written.
    """
    make_folder(folder)
    place = _free(folder, f"registry-{revision}-{day.isoformat()}")
    with plain_refusals(place):
        # Made first, so that nobody else may ever read it.
        os.close(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        _copy(database, place)
    except sqlite3.Error as fault:
        place.unlink()
        raise MachineRefused(
            f"No backup could be made at {place}: {fault}.", "Nothing was changed. Make room first."
        ) from None
    return place


def backups_in(folder: Path) -> tuple[Path, ...]:
    """The copies that lie in a folder, by name."""
    return tuple(sorted(folder.glob("registry-*.db")))


def _copy(database: Path, place: Path) -> None:
    with closing(sqlite3.connect(database)) as source, closing(sqlite3.connect(place)) as target:
        source.backup(target)
        # One file, which needs no journal beside it to be whole.
        target.execute("PRAGMA journal_mode=DELETE")


def _free(folder: Path, name: str) -> Path:
    places = (folder / f"{name}{'' if n == 1 else f'-{n}'}.db" for n in count(1))
    return next(place for place in places if not place.exists())
