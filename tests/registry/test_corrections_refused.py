"""What is never corrected, and corrections that cannot be read or name no entry."""

from __future__ import annotations

import pytest

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.colour import write_recipe
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.numbers import give_number
from editions.trade.catalogue import KINDS
from tests.registry.builders import a_heat, a_piece, a_run, a_wax, a_work, state


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ("H-0001#1", "number"),
        ("H-0001#1", "alloy"),
        ("P-0001#1", "tag"),
        ("P-0001#1", "run"),
        ("P-0001#2", "text"),
        ("P-0001#2", "number"),
        ("P-0001#3", "designation"),
        ("R-0001#1", "declared"),
        ("BOOK#1", "log_key"),
        ("BOOK#1", "certifying_key"),
        ("W-0001#1", "pull"),
        ("C-0001#1", "layers"),
        ("K-0001#1", "artist"),
    ],
)
def test_numbers_tags_keys_and_what_a_subject_is_are_never_corrected(
    book: Registry, entry: str, field: str
) -> None:
    run = a_run(book)
    piece = a_piece(book, run, tag="T-0101")
    a_wax(book), a_heat(book, number="24-117")
    with book.writing() as w:
        record_mark(w, piece, "3/8")
        give_number(w, piece, "3/8")
        write_recipe(w, "Heron brown", words="brown")
    with pytest.raises(Refused, match="cannot be corrected"), book.writing() as w:
        correct_entry(w, entry, {field: "other"}, reason="wrong")


def test_no_kind_lets_a_number_a_tag_or_a_key_be_corrected() -> None:
    never = {"number", "tag", "designation", "piece", "run", "log_key", "certifying_key", "wax"}
    assert {name for kind in KINDS.values() for name in kind.correctable} & never == set()


@pytest.mark.parametrize(
    ("changes", "error", "says"),
    [
        ({}, Refused, "already"),
        ({"title": "Heron, standing"}, Refused, "already"),
        ({"titel": "Heron"}, Refused, "no field"),
        ({"title": ""}, Unreadable, "cannot be left empty"),
        ({"title": "x" * 121}, Unreadable, "work entered"),
        ({"title": "a\u202eb"}, Unreadable, "reading direction"),
        ({"title": 7}, Unreadable, "work entered"),
        ({"year": "last year"}, Unreadable, "not a date"),
        ({"other_titles": ["", "b"]}, Unreadable, "work entered"),
        ({"note": "\x07"}, Unreadable, "control"),
        ({"note": 7}, Unreadable, "note"),
    ],
)
def test_a_correction_that_cannot_be_read_changes_nothing(
    book: Registry, changes: dict[str, object], error: type[BronzebookError], says: str
) -> None:
    work = a_work(book)
    with pytest.raises(error, match=says), book.writing() as w:
        correct_entry(w, f"{work}#1", changes, reason="wrong")
    assert state(book, work).corrections == 0


@pytest.mark.parametrize(
    ("entry", "error", "says"),
    [
        ("K-0001#9", NotKnown, "has 1 entries"),
        ("K-0001#0", Unreadable, "names no entry"),
        ("K-0009#1", NotKnown, "K-0009"),
        ("K-0001", Unreadable, "names no entry"),
        ("abc", Unreadable, "names no entry"),
        ("0" * 8, NotKnown, "No entry has a leaf"),
        ("0" * 64, NotKnown, "No entry has a leaf"),
        ("0" * 65, Unreadable, "names no entry"),
        ("#", Unreadable, "names no entry"),
    ],
)
def test_an_entry_that_is_not_there_is_not_corrected(
    book: Registry, entry: str, error: type[BronzebookError], says: str
) -> None:
    a_work(book)
    with pytest.raises(error, match=says), book.writing() as w:
        correct_entry(w, entry, {"title": "Heron"}, reason="wrong")
