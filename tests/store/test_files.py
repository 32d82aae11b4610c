"""Durable files: whole or not at all, never overwritten where they may not change."""

from __future__ import annotations

import errno
import os
import pwd
import resource
import stat
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from editions.errors import Contradiction, MachineRefused
from editions.store.files import make_folder, plain_refusals, write_durably, write_once


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_is_written_is_read_back_and_nothing_else_is_left(tmp_path: Path) -> None:
    write_durably(tmp_path / "checkpoint", b"one")
    write_durably(tmp_path / "checkpoint", b"two")
    assert (tmp_path / "checkpoint").read_bytes() == b"two"
    assert _names(tmp_path) == ["checkpoint"]


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o444])
@pytest.mark.parametrize("write", [write_durably, write_once])
def test_a_file_has_the_permissions_asked_for_whatever_the_mask(
    tmp_path: Path, write: Callable[..., object], mode: int
) -> None:
    before = os.umask(0o077)
    try:
        write(tmp_path / "key", b"secret", mode)
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "key").stat().st_mode) == mode


def test_writing_the_same_bytes_once_more_does_nothing(tmp_path: Path) -> None:
    place = tmp_path / "tile"
    assert write_once(place, b"leaves")
    first = place.stat()
    assert not write_once(place, b"leaves")
    assert (place.stat().st_ino, place.stat().st_mtime_ns) == (first.st_ino, first.st_mtime_ns)
    assert _names(tmp_path) == ["tile"]


@pytest.mark.parametrize("other", [b"", b"leave", b"leaves.", b"Leaves"])
def test_other_bytes_contradict_and_change_nothing(tmp_path: Path, other: bytes) -> None:
    place = tmp_path / "tile"
    write_once(place, b"leaves")
    with pytest.raises(Contradiction, match="other content"):
        write_once(place, other)
    assert place.read_bytes() == b"leaves"
    assert _names(tmp_path) == ["tile"]


def test_of_many_writers_at_once_one_is_first_and_none_overwrites_it(tmp_path: Path) -> None:
    place = tmp_path / "tile"

    def attempt(number: int) -> bool | str:
        try:
            return write_once(place, str(number).encode() * 1000)
        except Contradiction:
            return "contradiction"

    for _ in range(20):
        place.unlink(missing_ok=True)
        with ThreadPoolExecutor(8) as writers:
            results = list(writers.map(attempt, range(8)))
        assert results.count(True) == 1
        assert results.count("contradiction") == 7
        assert place.read_bytes() == str(results.index(True)).encode() * 1000


def test_of_many_writers_of_the_same_bytes_none_is_refused(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as writers:
        results = list(writers.map(lambda _: write_once(tmp_path / "tile", b"same"), range(40)))
    assert results.count(True) == 1
    assert _names(tmp_path) == ["tile"]


def test_a_disk_without_hard_links_takes_the_file_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Fault injection: no such disk can be mounted on every machine that runs the tests.
    def refuse(*names: object, **options: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    assert write_once(tmp_path / "tile", b"leaves")
    assert not write_once(tmp_path / "tile", b"leaves")
    with pytest.raises(Contradiction):
        write_once(tmp_path / "tile", b"other")
    assert _names(tmp_path) == ["tile"]


def test_a_disk_that_fails_while_naming_the_file_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*names: object, **options: object) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "link", refuse)
    with pytest.raises(MachineRefused, match="Input/output error"):
        write_once(tmp_path / "tile", b"leaves")
    assert _names(tmp_path) == []


@pytest.mark.parametrize("write", [write_durably, write_once])
def test_a_missing_folder_is_said_with_the_whole_path(
    tmp_path: Path, write: Callable[..., object]
) -> None:
    with pytest.raises(MachineRefused, match=r"nowhere/note was not written: No such file"):
        write(tmp_path / "nowhere" / "note", b"x")


def test_a_folder_in_the_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "note").mkdir()
    with pytest.raises(MachineRefused, match="Is a directory"):
        write_durably(tmp_path / "note", b"x")
    with pytest.raises(MachineRefused, match="Is a directory"):
        write_once(tmp_path / "note", b"x")
    assert _names(tmp_path) == ["note"]


def test_a_name_too_long_is_said(tmp_path: Path) -> None:
    with pytest.raises(MachineRefused, match="File name too long"):
        write_durably(tmp_path / ("x" * 300), b"x")
    assert _names(tmp_path) == []


def test_folders_are_made_one_in_another_and_may_be_there(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b" / "c")
    make_folder(tmp_path / "a" / "b" / "c")
    assert (tmp_path / "a" / "b" / "c").is_dir()


def test_a_file_in_the_place_of_a_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"")
    with pytest.raises(MachineRefused):
        make_folder(tmp_path / "a" / "b")
    with pytest.raises(MachineRefused):
        make_folder(tmp_path / "a")


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EDQUOT, "disk is full"),
        (errno.EACCES, "No permission"),
        (errno.EPERM, "No permission"),
        (errno.EROFS, "only be read"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_each_refusal_of_the_machine_has_its_words(number: int, says: str) -> None:
    with pytest.raises(MachineRefused, match=says) as caught, plain_refusals(Path("record")):
        raise OSError(number, os.strerror(number))
    assert caught.value.remedy
    assert caught.value.exit_status == 10


def test_a_refusal_without_a_reason_names_its_kind() -> None:
    with pytest.raises(MachineRefused, match="TimeoutError"), plain_refusals(Path("record")):
        raise TimeoutError


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder that no file beyond 64 kB fits in: a disk of that size, or a limit of that size.

    Only root may mount a disk; for anyone else the system's own limit on a file stands in.
    """
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(tmp_path)]
    mounted = os.geteuid() == 0 and not subprocess.run(mount, check=False).returncode
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    if not mounted:
        resource.setrlimit(resource.RLIMIT_FSIZE, (65536, hard))
    yield tmp_path
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    if mounted:
        subprocess.run(["umount", str(tmp_path)], check=True)


def test_a_full_disk_leaves_the_old_file_and_no_half_of_the_new(small_disk: Path) -> None:
    write_durably(small_disk / "record", b"old")
    for write in (write_durably, write_once):
        with pytest.raises(MachineRefused, match="The disk is full"):
            write(small_disk / "new", b"x" * 200_000)
    with pytest.raises(MachineRefused, match=r"record was not written") as caught:
        write_durably(small_disk / "record", b"x" * 200_000)
    assert caught.value.remedy == "Make room, then do it again."
    assert (small_disk / "record").read_bytes() == b"old"
    assert _names(small_disk) == ["record"]
    write_durably(small_disk / "record", b"x" * 20_000)


@pytest.fixture
def forbidden_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder that whoever runs the test may not write in; root becomes ``nobody`` for a while."""
    tmp_path.chmod(0o555)
    if os.geteuid() == 0:
        os.seteuid(pwd.getpwnam("nobody").pw_uid)
    yield tmp_path
    if os.getuid() == 0:
        os.seteuid(0)
    tmp_path.chmod(0o755)


def test_no_permission_is_said(forbidden_folder: Path) -> None:
    for write in (write_durably, write_once):
        with pytest.raises(MachineRefused, match="No permission to write"):
            write(forbidden_folder / "record", b"x")
    with pytest.raises(MachineRefused, match="No permission to write"):
        make_folder(forbidden_folder / "within")
