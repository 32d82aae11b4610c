"""Corrections read from the entries of a subject, and entries by any of their names."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, NotKnown, Unreadable
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.works import enter_work
from editions.registry.corrections import Correction, corrections_of
from editions.registry.entries import entry_named, is_digest, names_entry
from tests.registry import builders


@pytest.fixture
def book(tmp_path: Path) -> Registry:
    """A book with one work, whose title was misspelled."""
    registry = builders.a_registry(tmp_path / "book")
    builders.a_work(registry, title="Herron")
    return registry


def corrections(registry: Registry, code: str = "K-0001") -> tuple[Correction, ...]:
    with registry.reading() as reading:
        return corrections_of(reading.stored_of(code))


def correct(registry: Registry, **changes: str) -> None:
    with registry.writing() as w:
        correct_entry(w, "K-0001#1", changes, reason="letter of the artist")


def test_a_subject_never_corrected_has_none(book: Registry) -> None:
    assert corrections(book) == ()
    assert corrections_of([]) == ()


def test_each_field_says_what_it_said_before_and_says_now(book: Registry) -> None:
    correct(book, title="Heron", year="1988")
    correct(book, year="1989")
    told = [(one.field, one.was, one.now) for one in corrections(book)]
    assert told == [("title", "Herron", "Heron"), ("year", None, "1988"), ("year", "1988", "1989")]
    assert {one.entry_kind for one in corrections(book)} == {"work_entered"}
    assert len({one.leaf for one in corrections(book)}) == 2


def test_a_correction_knows_the_entry_it_corrects_and_its_own(book: Registry) -> None:
    correct(book, title="Heron")
    (one,) = corrections(book)
    with book.reading() as reading:
        first, last = reading.stored_of("K-0001")
        assert (one.entry, one.leaf) == (first.leaf.hex(), last.leaf.hex())
        assert one.position == last.position
    assert (one.by, one.held, one.kept) == ("Y-0001", False, None)


def test_a_held_field_says_where_its_values_lie_and_not_what_they_are(book: Registry) -> None:
    correct(book, note="on loan")
    correct(book, note="on loan till May")
    first, second = corrections(book)
    assert (first.held, first.was, first.now) == (True, None, None)
    assert first.kept is not None
    assert second.kept is not None
    assert second.kept[0] == first.kept[1]
    with book.reading() as reading:
        values = [
            [reading.held_values_of(place.position)[place.field] for place in one.kept or ()]
            for one in (first, second)
        ]
    assert values == [[None, "on loan"], ["on loan", "on loan till May"]]


def test_the_same_correction_is_read_from_every_subject_it_touches(book: Registry) -> None:
    wax = builders.a_wax(book)
    with book.writing() as w:
        correct_entry(w, f"{wax}#1", {"mass": "2.1 kg"}, reason="scale")
    assert corrections(book, wax) == corrections(book, "M-0001")
    assert corrections(book) == ()


@pytest.mark.parametrize("name", ["entry 0", "leaf 0", "#0", "ENTRY #0", "entry0", "BOOK#1"])
def test_an_entry_answers_to_its_number_and_its_place(book: Registry, name: str) -> None:
    with book.reading() as reading:
        assert entry_named(reading, name).position == 0


def test_an_entry_answers_to_its_digest(book: Registry) -> None:
    with book.reading() as reading:
        stored = reading.stored_of("K-0001")[0]
        for name in (
            stored.leaf.hex(),
            stored.leaf.hex()[:8],
            f" {stored.leaf.hex()[:9].upper()} ",
        ):
            assert entry_named(reading, name) == stored


def test_a_digest_that_begins_several_entries_names_none(book: Registry) -> None:
    with book.writing() as w:
        for number in range(40):
            enter_work(w, "Y-0002", f"Study {number}")
    with book.reading() as reading:
        same = reading.beginning("")
        assert len(same) == 3
    with book.reading() as reading, pytest.raises(Unreadable, match="names no entry"):
        entry_named(reading, same[0].leaf.hex()[:7])


@pytest.mark.parametrize(
    ("name", "error"),
    [
        ("entry 999", NotKnown), ("#999", NotKnown), ("K-0001#9", NotKnown), ("K-9#1", NotKnown),
        ("ffffffff", NotKnown), ("K-0001", Unreadable), ("K-0001#0", Unreadable),
        ("entry", Unreadable), ("", Unreadable), ("#", Unreadable), ("fffffff", Unreadable),
        ("entry -1", Unreadable), ("f" * 65, Unreadable),
    ],
)  # fmt: skip
def test_what_names_no_entry_is_refused(
    book: Registry, name: str, error: type[BronzebookError]
) -> None:
    with book.reading() as reading, pytest.raises(error):
        entry_named(reading, name)


@given(st.text(max_size=80))
def test_whatever_is_typed_either_has_a_form_of_a_name_or_has_not(text: str) -> None:
    assert names_entry(text) or not is_digest(text)


@given(st.integers(0, 10**9 - 1))
def test_every_number_has_the_form_of_a_name(number: int) -> None:
    assert names_entry(f"entry {number}")
    assert names_entry(f"#{number}")
