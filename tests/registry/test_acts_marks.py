"""Marks as they are found on the metal."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.registry import Registry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.pieces import register_cast
from tests.registry.builders import a_piece, a_run, a_work, state


def test_a_mark_is_kept_as_found_with_its_reading(registry: Registry) -> None:
    piece = a_piece(registry, to="poured", number="3/8")
    with registry.writing() as w:
        record_mark(
            w, piece, " No. 3/8 ", place="base, back", method="stamped", photograph="ab" * 32
        )
        record_mark(w, piece, "VARGA", note="cut by another hand")
        record_mark(w, piece, "Ed. 2019 © 3/8", number="3 of 8")
    first, second, third = state(registry, piece).marks
    assert (first.line.text, first.number, first.line.place) == ("No. 3/8", "3/8", "base, back")
    assert first.photograph == "ab" * 32
    assert (second.line.text, second.number) == ("VARGA", None)
    assert third.number == "3/8"


@pytest.mark.parametrize("text", ["00/1", "AC/1", "III/8", "IIII/VIII", "3", "3/8 VARGA"])
def test_a_mark_that_is_not_surely_a_number_stays_unparsed(book: Registry, text: str) -> None:
    piece = a_piece(book)
    with book.writing() as w:
        record_mark(w, piece, text)
    assert state(book, piece).marks[0].number is None
    assert state(book, piece).marks[0].line.text == text


def test_a_mark_that_differs_from_the_number_given_is_remarked_on(book: Registry) -> None:
    piece = a_piece(book, to="poured", number="2/8")
    with book.writing() as w:
        made = record_mark(w, piece, "3/8")
    assert made.remarks == ("The metal bears 3/8, the run gave 2/8.",)
    assert state(book, piece).number == "2/8"


def test_two_bronzes_that_bear_one_number_are_contested(registry: Registry) -> None:
    run = a_run(registry)
    one, other = a_piece(registry, run), a_piece(registry, run)
    with registry.writing() as w:
        first = record_mark(w, one, "3/8")
        second = record_mark(w, other, "3 of 8")
    assert first.remarks == ()
    assert second.remarks == (f"3/8 is contested: {one} bears it too.",)


def test_an_earlier_cast_bears_what_it_bears(book: Registry) -> None:
    work = a_work(book)
    with book.writing() as w:
        cast = register_cast(w, work).code
        record_mark(w, cast, "II/VIII", on="2026-01")
    assert state(book, cast).marks[0].number == "II/VIII"
    assert state(book, cast).number is None


@pytest.mark.parametrize(
    ("piece", "text", "said", "error"),
    [
        ("P-0009", "3/8", {}, NotKnown),
        ("P-0001", " ", {}, Unreadable),
        ("P-0001", "x" * 121, {}, Unreadable),
        ("P-0001", "3\u202e/8", {}, Unreadable),
        ("P-0001", "Ed. 3", {"number": "3"}, Unreadable),
        ("P-0001", "3/8", {"place": "\x07"}, Unreadable),
        ("P-0001", "3/8", {"photograph": "front.jpg"}, Unreadable),
    ],
)
def test_a_mark_that_cannot_be_read_is_not_entered(
    book: Registry, piece: str, text: str, said: dict[str, str], error: type[Exception]
) -> None:
    a_piece(book)
    with pytest.raises(error), book.writing() as w:
        record_mark(w, piece, text, **said)  # type: ignore[arg-type]
    assert state(book, "P-0001").marks == ()
