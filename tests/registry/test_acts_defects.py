"""Defects as people note them, and their slips corrected."""

from __future__ import annotations

import pytest

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.pieces import (
    note_defect,
    start_piece,
)
from editions.registry.auditing import audit
from tests.registry.builders import a_piece, state
from tests.registry.figures import a_cast, a_figure


@pytest.mark.parametrize(
    ("typed", "letter", "name"),
    [
        # Classes of the International Atlas of Casting Defects.
        ("B pinhole", "B", "pinhole"),
        ("cold shut", "C", "cold shut"),
        ("e", "E", ""),
    ],
)
def test_a_defect_is_noted_by_class_name_or_both(
    book: Registry, typed: str, letter: str, name: str
) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="poured")
    with book.writing() as w:
        note_defect(w, "T-0101", typed, section="HEAD", hand=figure.hand, note="at the ear")
    (defect,) = state(book, piece).defects
    assert (defect.defect_class, defect.name, defect.section) == (letter, name, "head")


@pytest.mark.parametrize(
    ("typed", "section", "error"),
    [("dent", None, Unreadable), ("C pinhole", None, Unreadable), ("B", "wing", NotKnown)],
)
def test_a_defect_of_no_class_or_section_is_not_noted(
    book: Registry, typed: str, section: str | None, error: type[Exception]
) -> None:
    piece = a_piece(book)
    with pytest.raises(error), book.writing() as w:
        note_defect(w, piece, typed, section=section)


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"section": "torso"}, ("B", "pinhole", "torso")),
        ({"defect": "C cold shut"}, ("C", "cold shut", "head")),
        ({"defect": "slag", "section": "torso"}, ("G", "slag", "torso")),
        ({"name": "blowhole"}, ("B", "blowhole", "head")),
        ({"class": "e", "name": ""}, ("E", "", "head")),
    ],
)
def test_a_slip_in_a_defect_is_corrected_as_people_write_it(
    registry: Registry, changes: dict[str, str], found: tuple[str, str, str]
) -> None:
    figure = a_figure(registry)
    with registry.writing() as w:
        piece = start_piece(w, figure.run, tag="T-0101").code
        note_defect(w, piece, "pinhole", section="head")
        correct_entry(w, "T-0101#2", changes, reason="misread")
    (defect,) = state(registry, piece).defects
    assert (defect.defect_class, defect.name, defect.section) == found
    assert audit(registry).faults == ()


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"section": "wing"}, NotKnown),
        ({"section": ""}, Refused),
        ({"defect": "B cold shut"}, Unreadable),
        ({"defect": "scratch"}, Unreadable),
        ({"class": "C"}, Refused),
        ({"class": "B"}, Refused),
    ],
)
def test_a_defect_is_not_corrected_to_one_that_is_none(
    book: Registry, changes: dict[str, str], error: type[BronzebookError]
) -> None:
    figure = a_figure(book)
    with book.writing() as w:
        piece = start_piece(w, figure.run, tag="T-0101").code
        note_defect(w, piece, "pinhole", section="head")
    with pytest.raises(error), book.writing() as w:
        correct_entry(w, "T-0101#2", changes)
