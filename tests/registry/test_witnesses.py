"""What witnesses sent, compared with the book, and put on the checkpoint that is published."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from editions.errors import BronzebookError, Contradiction
from editions.ledger.checkpoint import Checkpoint, open_checkpoint, sign_checkpoint
from editions.ledger.cosign import CosignerKey, cosign, open_cosigned
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey, take_apart
from editions.ledger.witness import Memory
from editions.pages.publish import publish
from editions.registry import Registry, open_registry
from editions.registry.auditing import audit
from editions.registry.witnesses import compare_witness
from tests.registry import builders
from tests.registry.builders import a_party
from tests.store.books import tamper

TIME = 1_795_521_600
NAME = "witness.example"


@pytest.fixture
def book(tmp_path: Path) -> Registry:
    return builders.a_registry(tmp_path / "book")


def witness(number: int = 7) -> PrivateKey:
    return PrivateKey(bytes([number] * 32))


def memory_of(book: Registry, number: int = 7, name: str = NAME) -> Memory:
    """What a witness keeps that saw the book as it is now."""
    with book.reading() as reading:
        note = reading.checkpoint()
    key = witness(number)
    return Memory(
        book.log_verifier().newest, CosignerKey(name, key.public.raw), cosign(note, name, key, TIME)
    )


def compared(book: Registry, text: str) -> str:
    with book.reading() as reading:
        try:
            return f"saw {compare_witness(reading, text, book.log_verifier()).size}"
        except BronzebookError as fault:
            return fault.message


def size(book: Registry) -> int:
    with book.reading() as reading:
        return reading.size


def test_what_a_witness_saw_at_every_size_is_found_in_the_grown_book(book: Registry) -> None:
    seen = []
    for _ in range(9):
        seen.append(memory_of(book))
        a_party(book)
    for memory in seen:
        assert compared(book, str(memory)) == f"saw {memory.last().checkpoint.size}"


def test_a_book_behind_its_witness_is_contradicted(book: Registry, tmp_path: Path) -> None:
    shutil.copytree(book.home.folder, tmp_path / "old")
    a_party(book)
    seen = str(memory_of(book))
    old = open_registry(tmp_path / "old")
    assert "this book holds 2: entries were taken out, or it is an old copy" in compared(old, seen)
    a_party(old)
    assert "the book was rewritten. The file is evidence" in compared(old, seen)
    old.close()


def test_a_tree_that_cannot_be_read_is_no_witness_of_anything(book: Registry) -> None:
    seen = str(memory_of(book))
    tamper(book, "DELETE FROM nodes")
    assert "saw" not in compared(book, seen)
    assert any(fault.startswith("witness one: ") for fault in audit(book, {"one": seen}).faults)


def test_another_log_and_another_book_are_contradictions(book: Registry) -> None:
    with book.reading() as reading:
        state = open_checkpoint(reading.checkpoint(), book.log_verifier())
    stranger, key = witness(9), witness()
    for origin in (state.origin, "else.example"):
        note = sign_checkpoint(Checkpoint(origin, state.size, state.root), stranger)
        log = VerifierKey(origin, stranger.public.raw)
        cosigned = cosign(note, NAME, key, TIME)
        text = str(Memory(log, CosignerKey(NAME, key.public.raw), cosigned))
        assert compared(book, text).startswith("it follows another log: ")


def test_every_bit_of_what_a_witness_sent_is_under_a_signature(book: Registry) -> None:
    data = str(memory_of(book)).encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        assert not compared(book, wrong.decode(errors="replace")).startswith("saw"), bit


def test_the_audit_reads_the_folder_and_tells_a_spoiled_file(book: Registry) -> None:
    plain = audit(book)
    assert (plain.tail, plain.witnesses) == (size(book), ())
    book.home.witnesses.mkdir()
    (book.home.witnesses / "museum").write_text(str(memory_of(book)))
    a_party(book)
    report = audit(book)
    assert (report.tail, report.faults) == (1, ())
    (one,) = report.witnesses
    assert (one.size, one.seen) == (size(book) - 1, "2026-11-24T12:00:00Z")
    (book.home.witnesses / ".left by a file browser").write_bytes(b"\xff")
    assert audit(book).faults == ()
    (book.home.witnesses / "spoiled").write_bytes(b"\xff")
    (fault,) = audit(book).faults
    assert fault.startswith("witness spoiled: This is not the memory of a witness")


def test_the_newest_of_several_witnesses_counts(book: Registry) -> None:
    first = str(memory_of(book))
    a_party(book)
    second = str(memory_of(book, 8, "archive.example"))
    a_party(book)
    report = audit(book, {"first": first, "second": second})
    assert report.tail == 1
    assert [one.size for one in report.witnesses] == [size(book) - 2, size(book) - 1]


def test_the_published_checkpoint_bears_the_lines_of_those_who_saw_it(
    book: Registry, tmp_path: Path
) -> None:
    book.home.witnesses.mkdir()
    both = memory_of(book), memory_of(book, 8, "archive.example")
    for number, memory in enumerate(both):
        (book.home.witnesses / f"{number}").write_text(str(memory))
    (book.home.witnesses / "spoiled").write_text("nothing")
    publish(book, tmp_path / "site")
    note = (tmp_path / "site" / "checkpoint").read_text()
    assert open_checkpoint(note, book.log_verifier()).size == size(book)
    assert {open_cosigned(note, memory.witness).time for memory in both} == {TIME}
    a_party(book)
    publish(book, tmp_path / "site")
    assert len(take_apart((tmp_path / "site" / "checkpoint").read_text())[1]) == 1


def test_a_crowd_of_witnesses_leaves_a_checkpoint_that_can_be_read(
    book: Registry, tmp_path: Path
) -> None:
    book.home.witnesses.mkdir()
    for number in range(40):
        memory = memory_of(book, number, f"witness{number}.example")
        (book.home.witnesses / f"{number}").write_text(str(memory))
    publish(book, tmp_path / "site")
    note = (tmp_path / "site" / "checkpoint").read_text()
    assert open_checkpoint(note, book.log_verifier()).size == size(book)


def test_a_memory_of_a_witness_cannot_be_made_without_its_key(book: Registry) -> None:
    memory = memory_of(book)
    with pytest.raises(Contradiction):
        Memory(memory.log, CosignerKey(NAME, witness(9).public.raw), memory.note)
