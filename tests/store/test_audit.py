"""The audit finds every fault, says where it lies, and never stops at the first."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from editions.registry import Registry
from editions.store import connection
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.store.books import pull_wax, report_on, small_book, tamper


@pytest.fixture
def book(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    registry = patterns.copied("small", stores, tmp_path / "home", small_book)
    yield registry
    registry.close()


def test_a_sound_book_has_no_fault(book: Registry) -> None:
    report = report_on(book)
    assert report.faults == ()
    assert (report.entries, report.checkpoints) == (12, 6)
    assert report.tail == 12


def test_a_book_stays_sound_as_it_grows(book: Registry) -> None:
    for at in (4, 5, 6):
        pull_wax(book, at)
    assert report_on(book).faults == ()


BYTES = "UPDATE entries SET bytes = :raw WHERE position = 4"

TAMPERED = {
    "entries": [
        ("UPDATE entries SET kind = 'wax_judged' WHERE position = 9", "entries 9: kind"),
        ("UPDATE entries SET subject = 'W-0009' WHERE position = 9", "entries 9: subject"),
        ("UPDATE entries SET at = '2020-01-01T00:00:00Z' WHERE position = 9", "entries 9: at"),
        ("UPDATE entries SET id = 'f' WHERE position = 9", "entries 9: id"),
        ("DELETE FROM entries WHERE position = 11", "checkpoint 12: the book cannot be recomputed"),
        ("DELETE FROM entries WHERE position = 3", "entry 4: position 3 was expected"),
    ],
    "nodes": [
        ("DELETE FROM nodes WHERE level = 1 AND place = 2", "nodes 1 2: this row is missing"),
        ("UPDATE nodes SET place = 77 WHERE level = 0 AND place = 3", "nodes 0 77: this row does"),
    ],
    "checkpoints": [
        ("DELETE FROM checkpoints WHERE size = 12", "checkpoints: the newest covers 11 of 12"),
        ("DELETE FROM checkpoints WHERE size = 9", "checkpoint 9: it is missing, though a batch"),
        (
            "UPDATE checkpoints SET size = 5 WHERE size = 8",
            "checkpoint 5: no batch of entries ends",
        ),
        ("UPDATE checkpoints SET note = 'none' WHERE size = 9", "checkpoint 9: "),
        (
            "UPDATE checkpoints SET size = 5 WHERE size = 8",
            "checkpoint 5: the note is signed for 8",
        ),
    ],
    "held": [
        ("DELETE FROM held WHERE position = 3 AND field = 'contact'", "the held value of contact"),
        ("UPDATE held SET field = 'x' WHERE position = 3 AND field = 'contact'", "does not name"),
        ("UPDATE held SET position = 99 WHERE position = 3", "there is no such entry"),
        (
            "INSERT INTO held SELECT 0, field, salt, value FROM held WHERE position = 4",
            "entry 0: a held value note that the entry does not name",
        ),
    ],
    "projections": [
        ("DELETE FROM subjects WHERE code = 'W-0002'", "subjects W-0002: this row is missing"),
        ("UPDATE subjects SET title = 'Hero' WHERE code = 'K-0001'", "subjects K-0001: title"),
        ("UPDATE links SET target = 'M-0009' WHERE code = 'W-0001'", "links W-0001 mold M-0009"),
        ("DELETE FROM touches WHERE position = 9", "touches "),
        ("UPDATE counters SET last = 9 WHERE letter = 'W'", "counters W: last"),
        ("INSERT INTO names (name, code) VALUES ('T-1', 'W-0001')", "names T-1: this row does not"),
        (
            "INSERT INTO numbers (run, number, code) VALUES ('R-0001', '3/8', 'P-0001')",
            "numbers R-0001 3/8: this row does not follow",
        ),
    ],
}


@pytest.mark.parametrize(
    ("statement", "fault"), [pair for pairs in TAMPERED.values() for pair in pairs]
)
def test_a_changed_row_is_found_and_named(book: Registry, statement: str, fault: str) -> None:
    tamper(book, statement)
    assert any(fault in line for line in report_on(book).faults), report_on(book).faults


def test_one_changed_byte_of_an_entry_breaks_its_leaf_and_the_signed_root(book: Registry) -> None:
    with connection.reading(book.engine) as seen:
        raw = bytes(seen.execute(text("SELECT bytes FROM entries WHERE position = 4")).scalar_one())
    tamper(book, BYTES, raw=raw.replace(b"Heron", b"Heran"))
    faults = report_on(book).faults
    assert "entry 4: its bytes do not hash to its leaf" in faults
    assert "checkpoint 8: the entries do not hash to the root that was signed" in faults
    assert "subjects K-0001: title does not follow from the book" in faults


def test_bytes_that_are_no_entry_are_a_fault_and_not_a_crash(book: Registry) -> None:
    tamper(book, BYTES, raw=b"{}")
    faults = report_on(book).faults
    assert any(line.startswith("entry 4: ") for line in faults)
    assert "tables: not compared, because the book cannot be replayed" in faults


def test_a_held_value_exchanged_for_another_is_found(book: Registry) -> None:
    tamper(book, "UPDATE held SET value = :v WHERE position = 3 AND field = 'contact'", v=b'"x"')
    assert "entry 3: the held value of contact is not what was said" in report_on(book).faults


def test_held_bytes_that_cannot_be_read_are_found(book: Registry) -> None:
    tamper(book, "UPDATE held SET value = :v WHERE position = 3 AND field = 'contact'", v=b"{")
    assert "entry 3: the held value of contact is not what was said" in report_on(book).faults


def test_every_fault_is_listed_not_only_the_first(book: Registry) -> None:
    tamper(book, "DELETE FROM subjects WHERE code = 'W-0002'")
    tamper(book, "DELETE FROM nodes WHERE level = 1 AND place = 2")
    tamper(book, "UPDATE checkpoints SET note = 'none' WHERE size = 9")
    assert len(report_on(book).faults) >= 3
