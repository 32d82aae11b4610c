"""The sections of a piece and its tag: as its molds have them, said anew, freed."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.pieces import (
    likely_sections,
    scrap_piece,
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.registry.auditing import audit
from tests.registry.builders import a_model, a_mold, a_piece, a_run, a_wax, state
from tests.registry.figures import a_cast, a_figure


def test_a_piece_takes_the_sections_that_the_molds_have_else_it_is_whole(book: Registry) -> None:
    figure = a_figure(book)
    run, bare = a_run(book), a_model(book, figure.work)
    a_mold(book, state(book, run).declared.model, "figure")
    with book.writing() as w:
        several, one = start_piece(w, figure.run).code, start_piece(w, run).code
        none = start_piece(w, declare_run(w, figure.work, model=bare, size=2).code).code
    assert [s.name for s in state(book, several).sections] == ["head", "torso"]
    assert [s.name for s in state(book, one).sections] == ["figure"]
    assert [s.name for s in state(book, none).sections] == ["whole"]
    with book.reading() as reading:
        assert likely_sections(reading, figure.run) == ("head", "torso")


def test_a_model_molded_whole_and_in_parts_is_asked_about_and_nothing_begins(
    book: Registry,
) -> None:
    figure = a_figure(book)
    a_mold(book, state(book, figure.run).declared.model, "whole")
    says = "whole, and in parts: head,torso"
    with pytest.raises(Unreadable, match=says) as why, book.writing() as w:
        start_piece(w, figure.run, tag="T-0101")
    assert "--sections whole, or --sections head,torso" in why.value.remedy
    with book.writing() as w:
        begun = start_piece(w, figure.run, tag="T-0101", sections=["head", "torso"])
    assert state(book, begun.code).tag == "T-0101"


def test_a_piece_begun_in_the_wrong_sections_has_them_said_anew_and_keeps_its_tag(
    book: Registry,
) -> None:
    figure = a_figure(book)
    with book.writing() as w:
        piece = start_piece(w, figure.run, tag="T-0101", sections=["whole"]).code
        head = pull_wax(w, figure.mold, "head", run=figure.run).code
    with pytest.raises(Unreadable, match="wax of head") as why, book.writing() as w:
        take_wax(w, piece, head)
    assert 'bronzebook correct T-0101#1 sections="head; torso"' in why.value.remedy
    with book.writing() as w:
        correct_entry(w, "T-0101#1", {"sections": "head, torso"}, reason="of two molds")
        take_wax(w, "T-0101", head)
    assert audit(book).faults == ()
    assert [(s.name, s.wax) for s in state(book, piece).sections] == [
        ("head", head),
        ("torso", None),
    ]


def test_a_tag_hung_by_mistake_is_free_once_that_piece_is_ended(book: Registry) -> None:
    run, other = a_run(book), a_run(book)
    with book.writing() as w:
        mistaken = start_piece(w, run, tag="T-0101").code
    with pytest.raises(Refused, match="hangs on") as why, book.writing() as w:
        start_piece(w, other, tag="T-0101")
    assert f"bronzebook strike {mistaken}#1 frees its tag" in why.value.remedy
    with book.writing() as w:
        scrap_piece(w, mistaken, evidence="begun for the wrong run")
        right = start_piece(w, other, tag="T-0101").code
    with book.reading() as reading:
        assert reading.resolve("T-0101") == right
    assert state(book, mistaken).tag == "T-0101"
    assert audit(book).faults == ()


def test_the_tag_of_a_piece_that_was_made_stays_with_it_when_it_is_scrapped(book: Registry) -> None:
    run = a_run(book)
    made = a_piece(book, run, to="waxed", tag="T-0101")
    with book.writing() as w:
        scrap_piece(w, made, evidence="dropped")
    with pytest.raises(Refused, match="hangs on") as why, book.writing() as w:
        start_piece(w, run, tag="T-0101")
    assert why.value.remedy == "Choose another tag."


def test_a_wax_of_another_name_goes_to_the_only_section_or_the_one_named(book: Registry) -> None:
    run = a_run(book)
    model = state(book, run).declared.model
    mold, only = a_mold(book, model, "base", "crown"), a_mold(book, model, "figure")
    with book.writing() as w:
        one = start_piece(w, run, sections=["whole"]).code
        two = start_piece(w, run, sections=["upper", "lower"]).code
        figure = pull_wax(w, only, "figure", run=run).code
        base = pull_wax(w, mold, "base", run=run).code
        made = take_wax(w, one, figure)
        take_wax(w, two, base, section="LOWER")
    assert state(book, one).section("whole").wax == figure
    assert state(book, two).section("lower").wax == base
    assert made.remarks == (f"{figure} is a wax of figure, taken as whole.",)


def test_a_wax_whose_section_is_not_told_is_asked_about(book: Registry) -> None:
    figure = a_figure(book)
    with book.writing() as w:
        piece = start_piece(w, figure.run, tag="T-0101", sections=["upper", "lower"]).code
        wax = pull_wax(w, figure.mold, "head", run=figure.run).code
    with pytest.raises(Unreadable, match="upper, lower"), book.writing() as w:
        take_wax(w, piece, wax)


@pytest.mark.parametrize("ended", ["waxed", "stepped", "approved"])
def test_sections_of_which_something_is_made_are_not_said_away(book: Registry, ended: str) -> None:
    stage = {"waxed": "waxed", "stepped": "started", "approved": "approved in metal"}[ended]
    piece = a_piece(book, to=stage, tag="T-0101")
    if ended == "stepped":
        with book.writing() as w:
            record_step(w, "wax chased", ["T-0101/whole"])
    with pytest.raises(Refused, match=r"Something is made|was approved"), book.writing() as w:
        correct_entry(w, "T-0101#1", {"sections": "head; torso"})
    assert [s.name for s in state(book, piece).sections] == ["whole"]


def test_sections_said_anew_tell_which_steps_count_for_them(book: Registry) -> None:
    piece = a_piece(book)
    with book.writing() as w:
        record_step(w, "wax chased", [piece])
        (made,) = correct_entry(w, f"{piece}#1", {"sections": "head; torso"})
    assert made.remarks == (f"What is recorded of all of {piece} now counts so: wax chased.",)


@pytest.mark.parametrize("sections", ["head; head", ";", " , "])
def test_sections_are_said_anew_by_names_each_once(book: Registry, sections: str) -> None:
    piece = a_piece(book)
    with pytest.raises(Refused, match="section"), book.writing() as w:
        correct_entry(w, f"{piece}#1", {"sections": sections})


@pytest.mark.parametrize(
    ("typed", "remedy"),
    [
        ("hed", "Did you mean head? Its sections: head, torso."),
        ("TORSE", "Did you mean torso? Its sections: head, torso."),
        ("wing", "Its sections: head, torso. Where that is wrong: bronzebook correct T-0101#1"),
    ],
)
def test_a_section_mistyped_is_answered_with_the_likely_one(
    book: Registry, typed: str, remedy: str
) -> None:
    figure = a_figure(book)
    with book.writing() as w:
        start_piece(w, figure.run, tag="T-0101")
    with pytest.raises(NotKnown, match="no section") as why, book.writing() as w:
        record_step(w, "gated", [f"T-0101/{typed}"])
    assert why.value.remedy.startswith(remedy)
    with pytest.raises(NotKnown, match="no section") as why, book.writing() as w:
        pull_wax(w, figure.mold, typed)
    assert why.value.remedy.startswith(remedy.partition(" Where")[0])


def test_a_wax_of_another_section_of_the_piece_is_taken_only_where_it_is_said_to_be_meant(
    book: Registry,
) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="started")
    wax = a_wax(book, figure.mold, "torso", run=figure.run)
    with book.writing() as w:
        with pytest.raises(Refused, match=f"{wax} is a wax of torso, and T-0101 has that") as why:
            take_wax(w, piece, wax, section="head")
        assert why.value.remedy == "Take it as torso; if it was made over into head: --as-another."
        made = take_wax(w, piece, wax, section="head", as_another=True)
    assert made.remarks == (f"{wax} is a wax of torso, taken as head.",)
    assert state(book, piece).sections[0].wax == wax


def test_a_wax_of_its_own_section_needs_no_such_word(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="started")
    wax = a_wax(book, figure.mold, "torso", run=figure.run)
    with book.writing() as w:
        assert take_wax(w, piece, wax, section="Torso").remarks == ()
