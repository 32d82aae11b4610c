"""Where the tests' files lie: in memory, where this machine has room for them.

Nearly every test copies a database, writes to it and throws it away.  On a disk each commit waits
for it, and a copy of a PostgreSQL database, some 350 small files, costs five times as much.

Whoever sets ``TMPDIR`` decides for themselves.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import MutableMapping
from pathlib import Path

SHARED = Path("/dev/shm")  # a file system in memory on Linux, writable by everybody
NEEDED = 4 << 30  # bytes free; the whole suite has taken less than 1 GiB at once


def roomy(folder: Path, needed: int = NEEDED) -> bool:
    """Say whether files can be kept, and programs started, in a folder."""
    if not os.access(folder, os.W_OK):
        return False
    system = os.statvfs(folder)
    return not system.f_flag & os.ST_NOEXEC and system.f_bavail * system.f_frsize >= needed


def use(environ: MutableMapping[str, str] = os.environ, shared: Path = SHARED) -> None:
    """Keep temporary files in memory, those of child processes included."""
    if "TMPDIR" not in environ and roomy(shared):
        environ["TMPDIR"] = str(shared)
        tempfile.tempdir = None
