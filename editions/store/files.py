"""Files that survive a power cut.

A file is written under another name beside its place, flushed to the disk, and only then given its
name; last, the folder is flushed too, since a name is kept in the folder.  A reader sees the file
whole or not at all.

- ``write_durably`` puts new bytes in the place of old ones.
- ``write_once`` is for what never changes, such as a photograph under its digest: writing the same
  bytes again does nothing, other bytes contradict and nothing is overwritten.

>>> import tempfile
>>> place = Path(tempfile.mkdtemp()) / "note"
>>> write_once(place, b"poured"), write_once(place, b"poured"), place.read_bytes()
(True, False, b'poured')
"""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from editions.errors import Contradiction, MachineRefused

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_FORBIDDEN = {errno.EACCES, errno.EPERM}
# Sticks and shares formatted without hard links answer one of these.
_NO_LINKS = {errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}


def write_durably(path: Path, data: bytes, mode: int = 0o644) -> None:
    """Write a file, or put it in the place of the one that is there.

    Args:
        path: Its place; the folder must exist.
        data: All its bytes.
        mode: Its permissions, whatever the process's mask says; 0o600 for keys.

    Raises:
        MachineRefused: No room, no permission, or no such folder; the old file is untouched.
    """
    with plain_refusals(path), _beside(path, data, mode) as draft:
        draft.replace(path)
        _flush_folder(path.parent)


def write_once(path: Path, data: bytes, mode: int = 0o644) -> bool:
    """Write a file that will never change; return whether it was not there before.

    Raises:
        Contradiction: The file is there with other bytes; it is left as it is.
        MachineRefused: No room, no permission, or no such folder.
    """
    with plain_refusals(path):
        if _already(path, data):
            return False
        with _beside(path, data, mode) as draft:
            new = _name(draft, path, data)
        _flush_folder(path.parent)
    return new


def make_folder(path: Path) -> None:
    """Make a folder and those above it that are missing, and flush the ones that hold them.

    Raises:
        MachineRefused: No room or no permission, or a file stands in the way.
    """
    with plain_refusals(path):
        missing = [folder for folder in (path, *path.parents) if not folder.exists()]
        path.mkdir(parents=True, exist_ok=True)
        for folder in reversed(missing):
            _flush_folder(folder.parent)


@contextmanager
def plain_refusals(path: Path) -> Iterator[None]:
    """Say in plain words why the operating system would not write at ``path``."""
    try:
        yield
    except OSError as fault:
        raise MachineRefused(*_in_words(path, fault)) from fault


def _in_words(path: Path, fault: OSError) -> tuple[str, str]:
    if fault.errno in _FULL:
        return f"The disk is full: {path} was not written.", "Make room, then do it again."
    if fault.errno in _FORBIDDEN:
        return f"No permission to write {path}.", "Check who owns the folder and what it allows."
    if fault.errno == errno.EROFS:
        return f"{path} lies on a disk that may only be read.", "Choose a place on another disk."
    reason = fault.strerror or type(fault).__name__
    return f"{path} was not written: {reason}.", "Check the folder's name and the disk."


@contextmanager
def _beside(path: Path, data: bytes, mode: int) -> Iterator[Path]:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".unfinished-")
    draft = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fchmod(file.fileno(), mode)
            os.fsync(file.fileno())
        yield draft
    finally:
        # Gone already where it was renamed.
        with suppress(FileNotFoundError):
            draft.unlink()


def _already(path: Path, data: bytes) -> bool:
    try:
        found = path.read_bytes()
    except FileNotFoundError:
        return False
    if found != data:
        raise Contradiction(
            f"{path} is there already with other content; it was left as it is.",
            "Find out who changed it; a backup tells which is right.",
        )
    return True


def _name(draft: Path, path: Path, data: bytes) -> bool:
    # A link, unlike a rename, fails when another writer was quicker: nothing is overwritten.
    try:
        path.hardlink_to(draft)
    except FileExistsError:
        return not _already(path, data)
    except OSError as fault:
        if fault.errno not in _NO_LINKS:
            raise
        draft.replace(path)
    return True


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
