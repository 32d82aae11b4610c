"""When the machine will not: a full disk, and a database that is not ours or not of our time.

A command then ends with one or two lines and the status of its error, nothing half written; when
there is room again the same command goes on where it stopped.
"""

from __future__ import annotations

import datetime
import os
import resource
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from editions.registry import open_registry
from editions.registry.auditing import audit
from editions.store import connection, schema
from tests.certificates import house
from tests.helpers.stores import PostgreSQLStores
from tests.registry import builders
from tests.store.books import tamper

ROOT = Path(__file__).parents[1]
STUDIES = 60
ROWS = "title,artist,size\n" + "".join(f"Study {at},Ilse Varga,8\n" for at in range(STUDIES))
KILOBYTE = 1024


class Ended(NamedTuple):
    """How a command ended."""

    status: int
    out: str
    err: str


def call(place: str | Path, *words: str) -> Ended:
    """The command line in this process."""
    secret = {"BRONZEBOOK_PASSPHRASE": house.PASSPHRASE}
    done: Result = CliRunner().invoke(bronzebook, ["--registry", str(place), *words], env=secret)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return Ended(done.exit_code, done.stdout, done.stderr)


def refused(done: Ended, status: int, *words: str) -> None:
    """The status, and one of the words, in one or two lines on stderr and nothing on stdout."""
    assert done.status == status, done
    assert any(word in done.err for word in words), done
    assert done.out == ""
    assert 1 <= len(done.err.splitlines()) <= 2, done


def now() -> datetime.datetime:
    return datetime.datetime.now(datetime.UTC)


class Full:
    """A small disk in memory, filled until only so much is left."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ballast = folder / "ballast"

    def call(self, room: int, *words: str) -> Ended:
        """A command with so many bytes left."""
        free = os.statvfs(self.folder)
        self._ballast.write_bytes(b"\0" * max(0, free.f_bavail * free.f_bsize - room))
        try:
            return call(self.folder, *words)
        finally:
            self._ballast.unlink()


class Limited:
    """A folder in which no file may grow above a size, for the process that runs the command."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def call(self, room: int, *words: str) -> Ended:
        """A command that may write files of so many bytes and no larger."""
        limits = (resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
        done = subprocess.run(
            [sys.executable, "-c", "from editions.cli import main; main()",
             "--registry", str(self.folder), *words],
            cwd=ROOT, check=False, capture_output=True, text=True,
            env={**os.environ, "BRONZEBOOK_PASSPHRASE": house.PASSPHRASE},
            preexec_fn=partial(resource.setrlimit, *limits),
        )  # fmt: skip
        return Ended(done.returncode, done.stdout, done.stderr)


@pytest.fixture(params=["full", "limited"])
def disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Full | Limited]:
    """A disk with little room; where no small one may be mounted, a limit on files instead."""
    place = tmp_path / "small"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", str(place)]
    if (
        request.param == "limited"
        or subprocess.run(mount, check=False, capture_output=True).returncode
    ):
        yield Limited(place)
        return
    yield Full(place)
    subprocess.run(["umount", "--lazy", str(place)], check=True)


def rooms(disk: Full | Limited) -> Iterator[int]:
    """Ever more room, from none at all."""
    step = 16 * KILOBYTE if isinstance(disk, Full) else 80 * KILOBYTE
    yield from range(0, 400 * step, step)


def sound(folder: Path) -> list[str]:
    """The kinds of entry of a registry that has no fault and no unfinished file."""
    registry = open_registry(folder)
    assert audit(registry).faults == ()
    kinds = house.kinds(registry)
    registry.close()
    assert not list(folder.rglob(".unfinished*"))
    return kinds


def test_certify_on_a_full_disk_writes_whole_things_or_nothing(disk: Full | Limited) -> None:
    registry = builders.a_registry(disk.folder, now=now)
    house.finished(registry, "3/8")
    registry.close()
    before = sound(disk.folder)
    left: set[tuple[str, ...]] = set()
    for room in rooms(disk):
        done = disk.call(room, "certify", "P-0001")
        if done.status == 0:
            break
        refused(done, 10, "full", "The disk refused")
        left.add(tuple(sound(disk.folder)[len(before) :]))
    assert sound(disk.folder)[len(before) :] == ["certificate_issued", "certificate_drawn"]
    assert len(list((disk.folder / "certificates").iterdir())) == 1
    # Stopped at the first writing, and stopped when the entry was in and the paper was not.
    stops = {(), ("certificate_issued",)}
    assert left == stops if isinstance(disk, Full) else left and left <= stops
    assert call(disk.folder, "certify").err == "Nothing was waiting to be drawn.\n"


def test_import_on_a_full_disk_writes_all_or_nothing(disk: Full | Limited, tmp_path: Path) -> None:
    builders.a_registry(disk.folder, now=now).close()
    before = sound(disk.folder)
    file = tmp_path / "binder.csv"
    file.write_text(ROWS)
    for room in (0, 40 * KILOBYTE, 100 * KILOBYTE):
        refused(disk.call(room, "import", str(file)), 10, "full", "The disk refused")
        assert sound(disk.folder) == before
    assert call(disk.folder, "import", str(file)).status == 0
    assert len(sound(disk.folder)) == len(before) + 1 + 2 * STUDIES


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A registry on SQLite with a certificate."""
    registry = builders.a_registry(tmp_path / "book", now=now)
    house.finished(registry, "3/8")
    house.certify(registry)
    registry.close()
    return tmp_path / "book"


COMMANDS = [("show", "P-0001"), ("audit",), ("certify", "P-0001"), ("waiting",), ("find", "heron")]


@pytest.mark.parametrize(
    ("revision", "words"),
    [("9999", "newer than this program"), ("0000", "newer than"), ("", "newer than")],
)
def test_a_registry_of_a_revision_not_known_is_refused(
    folder: Path, revision: str, words: str
) -> None:
    registry = open_registry(folder)
    tamper(registry, "UPDATE alembic_version SET version_num = :v", v=revision)
    registry.close()
    for command in (*COMMANDS, ("upgrade",)):
        refused(call(folder, *command), 7, words)


def test_an_older_registry_is_refused_until_it_is_brought_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    builders.a_registry(tmp_path / "book", now=now).close()
    known = schema.known_revisions()
    monkeypatch.setattr(schema, "known_revisions", lambda: known | {"0999"})
    for command in COMMANDS:
        refused(call(tmp_path / "book", *command), 7, "older than this program's 0999")
    assert "bronzebook upgrade" in call(tmp_path / "book", "audit").err


def other_database(path: Path) -> None:
    with sqlite3.connect(path) as made:
        made.execute("CREATE TABLE songs (name TEXT)")
    made.close()


FOREIGN: dict[str, tuple[Callable[[Path], object], str]] = {
    "another program's database": (other_database, "That database is not a registry"),
    "a text": (lambda path: path.write_text("heron\n" * 400), "not a registry"),
    "nothing": (lambda path: path.write_bytes(b""), "not a registry"),
    "a folder": (Path.mkdir, "No registry at"),
    "missing": (Path.exists, "No registry at"),
}


@pytest.mark.parametrize("what", FOREIGN)
def test_what_is_no_registry_is_refused(tmp_path: Path, what: str) -> None:
    make, words = FOREIGN[what]
    make(tmp_path / "registry.db")
    for command in (*COMMANDS, ("upgrade",)):
        refused(call(tmp_path, *command), 7, words)


@pytest.mark.parametrize("share", [0.02, 0.5, 0.97])
def test_a_registry_cut_off_is_never_taken_for_whole(folder: Path, share: float) -> None:
    path = folder / "registry.db"
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    for command in COMMANDS:
        done = call(folder, *command)
        assert done.status in (3, 4, 7, 10), (command, done)
        assert done.err
        assert len(done.err.splitlines()) <= 2


def test_while_someone_writes_others_read_and_a_second_writer_gives_up_in_words(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shorter = [p.replace(str(connection.BUSY_MS), "100") for p in connection._PRAGMAS]
    monkeypatch.setattr(connection, "_PRAGMAS", tuple(shorter))
    registry = open_registry(folder)
    with registry.writing():
        refused(call(folder, "work", "add", "Y-0002", "Hand"), 7, "Someone else is writing")
        assert call(folder, "show", "P-0001").status == 0
        assert call(folder, "verify", "3/8", "--work", "heron").status == 0
    assert call(folder, "work", "add", "Y-0002", "Hand").status == 0
    registry.close()


def test_the_same_holds_on_postgresql(
    postgresql_stores: PostgreSQLStores, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connection, "BUSY_MS", 100)
    monkeypatch.setenv("BRONZEBOOK_HOME", str(tmp_path))
    url = postgresql_stores.fresh()
    refused(call(url, "audit"), 7, "That database is not a registry")
    registry = builders.a_registry(url, tmp_path, now=now)
    house.finished(registry, "3/8")
    with registry.writing():
        refused(call(url, "work", "add", "Y-0002", "Hand"), 7, "Someone else is writing")
        assert call(url, "show", "P-0001").status == 0
    assert call(url, "work", "add", "Y-0002", "Hand").status == 0
    tamper(registry, "UPDATE alembic_version SET version_num = '9999'")
    registry.close()
    refused(call(url, "show", "P-0001"), 7, "newer than this program")


@pytest.mark.parametrize(
    "url", ["postgresql://nobody@/none?host=/nowhere", "postgres://a:b:c/d", "postgresql://:/"]
)
def test_a_database_that_does_not_answer_is_told(url: str) -> None:
    refused(call(url, "audit"), 7, "does not answer", "cannot be read")


def test_a_registry_is_not_begun_over_something_else(tmp_path: Path) -> None:
    place = tmp_path / "registry.db"
    other_database(place)
    words = ("begin", str(tmp_path), "--foundry", "Kiln Lane", "--address", "https://k.example")
    secret = {"BRONZEBOOK_PASSPHRASE": house.PASSPHRASE}
    done = CliRunner().invoke(bronzebook, words, env=secret)
    assert done.exit_code == 7
    assert "is there already" in done.stderr
    assert not (tmp_path / "keys").exists()
