"""Files put into a site so that it is whole at every moment, whatever interrupts the work.

1. Every new file is written into a folder of its own beside the pages, under a name that nobody
   can guess: if the site is being served meanwhile, nobody finds a record there.
2. All of it is flushed to the disk, once.
3. The files are given their places, in the order in which they came; each is there whole, old or
   new, at any moment.
4. The names are flushed; only then is what says how far the site reaches put in place.

Killed before 3, the old site stands untouched; killed within it, each page is of one state of the
book or the other, the old checkpoint stands, and everything that it needs is still there.  The next
run removes what was left over and finishes.

Flushing each file would cost more than making it, and would make nothing safer: no name leads to
a file before 2 is done.
"""

from __future__ import annotations

import os
import secrets
import shutil
from pathlib import Path

from editions.errors import Contradiction
from editions.store.files import make_folder, plain_refusals, write_durably

_UNFINISHED = ".unfinished-"
# So few are flushed one by one; for more, everything the machine holds back is.
_FEW = 200


class Installer:
    """New files for one folder, and what is to go; ``finish`` puts them in place.

    Args:
        folder: The folder of the site.
        staging: Where the drafts of an installer in another process lie; one that is given it
            only adds drafts of its own there.
    """

    def __init__(self, folder: Path, staging: Path | None = None) -> None:
        self.folder = folder
        self.staging = staging or folder / f"{_UNFINISHED}{secrets.token_hex(16)}"
        self.written = 0
        self.removed = 0
        self._drafts = 0
        self._waiting: list[tuple[Path, str]] = []

    def begin(self) -> None:
        """Make the folder, and remove what an interrupted run left in it."""
        make_folder(self.folder)
        with plain_refusals(self.folder):
            for left in self.folder.glob(f"{_UNFINISHED}*"):
                shutil.rmtree(left) if left.is_dir() else left.unlink()
            self.staging.mkdir(mode=0o700)

    def draft(self, name: str, data: bytes) -> Path:
        """Write the bytes of a file, and say where they wait."""
        self._drafts += 1
        # Several processes may write here.
        draft = self.staging / f"{os.getpid()}-{self._drafts}"
        with plain_refusals(self.folder / name), draft.open("wb") as file:
            file.write(data)
            # Whatever the process's mask says: the web server reads it.
            os.fchmod(file.fileno(), 0o644)
        return draft

    def take(self, name: str, draft: Path) -> None:
        """Note a draft that is to take its place when all are written."""
        self._waiting.append((draft, name))

    def same(self, name: str, data: bytes) -> bool:
        """Whether a file is in its place with these bytes."""
        path = self.folder / name
        with plain_refusals(path):
            return path.is_file() and path.read_bytes() == data

    def require_unchanged(self, name: str, data: bytes) -> bool:
        """Whether a file that never changes is in its place.

        Raises:
            Contradiction: If it is there with other bytes.
        """
        path = self.folder / name
        with plain_refusals(path):
            there = path.is_file()
        if there and not self.same(name, data):
            raise Contradiction(
                f"{path} is there already with other content; it was left as it is.",
                "Find out who changed it; a backup tells which is right.",
            )
        return there

    def finish(self) -> None:
        """Give every file its place, and flush."""
        with plain_refusals(self.folder):
            self._flush([draft for draft, _ in self._waiting])
            folders = {name.rpartition("/")[0] for _, name in self._waiting}
            for folder in sorted(folders):
                (self.folder / folder).mkdir(parents=True, exist_ok=True)
            for draft, name in self._waiting:
                os.replace(draft, self.folder / name)  # noqa: PTH105 - for ten thousand files
                self.written += 1
            self._flush([self.folder / folder for folder in {*folders, ""}])
            self._waiting = []

    def put_last(self, name: str, data: bytes) -> None:
        """Write a file durably, after all others are in place."""
        if not self.same(name, data):
            write_durably(self.folder / name, data)
            self.written += 1

    def remove(self, name: str) -> None:
        """Remove a file of ours, and its folder where nothing else is in it."""
        path = self.folder / name
        with plain_refusals(path):
            path.unlink(missing_ok=True)
            own = name.count("/") > 1 and path.parent.is_dir()
            if own and not any(path.parent.iterdir()):
                path.parent.rmdir()
        self.removed += 1

    def clear(self) -> None:
        """Let go of what was written and not put in place."""
        shutil.rmtree(self.staging, ignore_errors=True)

    def _flush(self, paths: list[Path]) -> None:
        if len(paths) > _FEW:
            os.sync()
            return
        for path in paths:
            handle = os.open(path, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
