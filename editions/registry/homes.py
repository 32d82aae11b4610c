"""Where the files of a registry lie: the database, keys, photographs and certificates.

A registry is named by its folder, by the ``registry.db`` in it, or by a PostgreSQL URL; with a URL
the files lie in the folder named by BRONZEBOOK_HOME, or in the current one.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import msgspec

from editions.errors import MachineRefused

DATABASE = "registry.db"
_SHARES = frozenset({"nfs", "nfs4", "cifs", "smb3", "smbfs", "fuse.sshfs", "9p", "afs", "ncpfs"})


class Home(msgspec.Struct, frozen=True):
    """The folder of a registry's files, and the path or URL of its database."""

    folder: Path
    database: str

    @property
    def log_key(self) -> Path:
        """The log key: mode 0600, no passphrase."""
        return self.folder / "keys" / "log.key"

    @property
    def next_log_key(self) -> Path:
        """A log key that was made and is not in use yet."""
        return self.folder / "keys" / "log-next.key"

    def old_log_key(self, id_: str) -> Path:
        """A log key that was in use, by its key id in hex."""
        return self.folder / "keys" / f"log-{id_}.key"

    @property
    def certifying_key(self) -> Path:
        """The certifying key in its scrypt envelope."""
        return self.folder / "keys" / "certifying.key"

    @property
    def next_certifying_key(self) -> Path:
        """A certifying key that was made and is not in use yet."""
        return self.folder / "keys" / "certifying-next.key"

    def old_certifying_key(self, id_: str) -> Path:
        """A certifying key that was in use, by its key id in hex."""
        return self.folder / "keys" / f"certifying-{id_}.key"

    @property
    def public_keys(self) -> Path:
        """Both public keys, to hand to anyone."""
        return self.folder / "keys" / "public.txt"

    @property
    def photographs(self) -> Path:
        """Photographs by digest."""
        return self.folder / "photographs"

    @property
    def certificates(self) -> Path:
        """Certificates as drawn, by number."""
        return self.folder / "certificates"

    @property
    def scans(self) -> Path:
        """Scans of signatures in ink, by digest."""
        return self.folder / "scans"

    @property
    def witnesses(self) -> Path:
        """What witnesses sent of their memories, a file each, as they sent it."""
        return self.folder / "witnesses"

    @property
    def backups(self) -> Path:
        """Copies of the database, made before its tables were changed."""
        return self.folder / "backups"


def home_of(where: str | Path, folder: str | Path | None = None) -> Home:
    """The home of the registry that ``where`` names: a folder, a file, or a URL."""
    if isinstance(where, str) and where.startswith("postgres"):
        chosen = folder or os.environ.get("BRONZEBOOK_HOME") or "."
        return Home(Path(chosen).resolve(), where)
    path = Path(where).resolve()
    if path.suffix != ".db":
        path = path / DATABASE
    return Home(Path(folder).resolve() if folder else path.parent, str(path))


def refuse_network_share(path: Path, mounts: str | None = None) -> None:
    """Refuse a SQLite database on a network share, where its locks cannot be trusted.

    Args:
        path: Where the database lies or will lie.
        mounts: The text of ``/proc/mounts``; read from there when absent.

    Raises:
        MachineRefused: If the nearest mount above the path is a network file system.
    """
    table = Path("/proc/mounts")
    if mounts is None:
        mounts = table.read_text() if table.exists() else ""
    nearest, kind = "", ""
    for line in mounts.splitlines():
        _, place, found, *_ = [*map(_unescaped, line.split()), "", "", ""]
        if place and path.is_relative_to(place) and len(place) >= len(nearest):
            nearest, kind = place, found
    if kind in _SHARES:
        raise MachineRefused(
            f"{path} lies on a network share ({kind}), where SQLite cannot lock safely.",
            "Use a folder on this machine, or PostgreSQL by its URL.",
        )


def _unescaped(field: str) -> str:
    r"""A field of the table of mounts: a space in a path stands there as ``\040`` (proc(5))."""
    return re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), field)
