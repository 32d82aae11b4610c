"""``bronzebook photo`` and ``bronzebook mark``: pictures, hostile files, full disks."""

from __future__ import annotations

import errno
import os
import tempfile
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from editions.registry import Registry
from editions.registry.acts.corrections import find_entry, held_now
from tests.cli.conftest import Call
from tests.registry.builders import state


def picture(width: int = 40, height: int = 30) -> bytes:
    """A JPEG drawn here."""
    written = BytesIO()
    Image.linear_gradient("L").resize((width, height)).convert("RGB").save(written, "JPEG")
    return written.getvalue()


@pytest.fixture
def front(tmp_path: Path) -> Path:
    """A photograph of the front."""
    file = tmp_path / "front.jpg"
    file.write_bytes(picture())
    return file


def held(registry: Registry, name: str) -> Any:
    with registry.reading() as reading:
        return reading.state(reading.resolve(name))


def kept(book: Path) -> list[Path]:
    return [path for path in (book / "photographs").rglob("*") if path.is_file()]


def test_a_photograph_is_kept_and_filed_with_its_original_held(
    call: Call, registry: Registry, book: Path, front: Path
) -> None:
    done = call("photo", "add", "T-0102", str(front), "--caption", "front", "--on", "2026-11~")
    assert done.exit_code == 0
    assert "photograph filed  front.jpg, 40 × 30" in done.stdout
    (filed,) = held(registry, "T-0102").photographs
    assert (filed.caption, filed.on) == ("front", "2026-11~")
    original = sha256(front.read_bytes()).hexdigest()
    assert {path.name for path in kept(book)} == {original, filed.digest}
    with registry.reading() as reading:
        place = len(reading.history(reading.resolve("T-0102")))
        stored, _ = find_entry(reading, f"T-0102#{place}")
        assert held_now(reading, stored) == {"original": original}


def test_several_photographs_of_anything_are_filed_at_once(
    call: Call, registry: Registry, tmp_path: Path, front: Path
) -> None:
    back = tmp_path / "back.jpg"
    back.write_bytes(picture(60, 20))
    assert call("photo", "add", "M-0001", str(front), str(back)).exit_code == 0
    assert len(state(registry, "M-0001").photographs) == 2
    assert call("photo", "add", "26-0001", str(front)).exit_code == 0


def test_the_same_photograph_is_kept_once(call: Call, book: Path, front: Path) -> None:
    call("photo", "add", "T-0102", str(front))
    assert call("photo", "add", "T-0101", str(front)).exit_code == 0
    assert len(kept(book)) == 2


HOSTILE = {
    "empty.jpg": b"",
    "words.jpg": b"not a picture at all",
    "cut.jpg": picture(400, 300)[:900],
    "page.html": b"<html>",
    "paper.pdf": b"%PDF-1.7\n",
    "packed.zip": b"PK\x03\x04" + bytes(40),
    "zeros.png": bytes(5000),
    # A PNG's header that promises 60 000 by 60 000 pixels.
    "bomb.png": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\xea\x60\x00\x00\xea\x60\x08\x02\x00"
    b"\x00\x00\x0e\x9d\x4d\x1c",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_that_is_no_photograph_is_named_and_nothing_is_kept(
    call: Call, registry: Registry, book: Path, tmp_path: Path, front: Path, name: str
) -> None:
    bad = tmp_path / name
    bad.write_bytes(HOSTILE[name])
    done = call("photo", "add", "T-0102", str(front), str(bad))
    assert (done.exit_code, done.stdout) == (9, "")
    assert name in done.stderr
    assert len(done.stderr.splitlines()) <= 2
    assert "Traceback" not in done.stderr
    assert held(registry, "T-0102").photographs == ()
    assert kept(book) == []


def test_a_file_that_cannot_be_read_at_all_is_named(call: Call, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    with (tmp_path / "huge.jpg").open("wb") as huge:
        huge.truncate(60_000_000)
    for name, says in (
        (str(tmp_path / "none.jpg"), "does not exist"),
        (str(tmp_path), "is not a file"),
        (str(tmp_path / "pipe.jpg"), "is not a file"),
        ("/dev/zero", "is not a file"),
        (str(tmp_path / "huge.jpg"), "at most 50 MB"),
        ("x" * 5000, "cannot be read"),
    ):
        done = call("photo", "add", "T-0102", name)
        assert (done.exit_code, says in done.stderr) == (9, True), done.stderr


def test_a_photograph_of_nothing_known_is_not_kept(call: Call, book: Path, front: Path) -> None:
    done = call("photo", "add", "T-0199", str(front))
    assert (done.exit_code, "T-0199" in done.stderr) == (4, True)
    assert kept(book) == []


def test_a_full_disk_is_said_and_nothing_is_entered(
    call: Call, registry: Registry, book: Path, front: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tempfile.mkstemp

    def full(*where: Any, **more: Any) -> Any:
        # Only where photographs go: the database's own files are made elsewhere.
        if "photographs" in str(more.get("dir", "")):
            raise OSError(errno.ENOSPC, "No space left on device")
        return made(*where, **more)

    monkeypatch.setattr(tempfile, "mkstemp", full)
    done = call("photo", "add", "T-0102", str(front))
    assert (done.exit_code, "disk is full" in done.stderr) == (10, True)
    assert held(registry, "T-0102").photographs == ()
    assert kept(book) == []


def test_a_photograph_changed_in_its_folder_contradicts(
    call: Call, registry: Registry, book: Path, front: Path
) -> None:
    call("photo", "add", "T-0102", str(front))
    for path in kept(book):
        path.chmod(0o644)
        path.write_bytes(b"something else")
    done = call("photo", "add", "T-0101", str(front))
    assert done.exit_code == 3
    assert held(registry, "T-0101").photographs == ()


def test_a_mark_is_added_as_found_with_its_photograph(
    call: Call, registry: Registry, front: Path
) -> None:
    done = call(
        "mark", "add", "T-0102", "No. 3/8", "--place", "base, back", "--method", "stamped",
        "--photo", str(front), "--note", "struck twice",
    )  # fmt: skip
    assert done.exit_code == 0
    assert [line.split("  ")[1] for line in done.stdout.splitlines()] == [
        "mark found",
        "photograph filed",
    ]
    piece = held(registry, "T-0102")
    assert (piece.marks[0].line.text, piece.marks[0].number) == ("No. 3/8", "3/8")
    assert piece.marks[0].photograph == piece.photographs[0].digest
    assert piece.photographs[0].caption == "mark No. 3/8"


def test_a_mark_that_differs_from_the_number_is_remarked_on(call: Call) -> None:
    done = call("mark", "add", "T-0102", "Ed. 2019 4/8", "--number", "4 of 8")
    assert done.exit_code == 0
    assert "remark: P-0002: The metal bears 4/8, the run gave 3/8." in done.stderr


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0102"], 2, "TEXT"),
        (["T-0102", ""], 2, "mark is empty"),
        (["T-0102", "3/8", "--number", "three"], 2, "not a designation"),
        (["T-0109", "3/8"], 4, "T-0109"),
        (["M-0001", "3/8"], 4, "not a piece"),
        (["T-0102", "3/8", "--photo", "no.jpg"], 9, "no.jpg” does not exist"),
    ],
)
def test_a_mark_that_cannot_be_read_is_not_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("mark", "add", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert held(registry, "T-0102").marks == ()
