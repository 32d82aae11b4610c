"""Approvals, and the ways in which they are given."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.approvals import HOWS, approve_piece, read_how
from editions.registry.acts.parties import give_authority, record_death
from tests.registry.builders import a_party, a_piece, state
from tests.registry.figures import a_cast, a_figure


def test_an_artist_approves_by_telephone_and_the_record_says_so(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="poured")
    with registry.writing() as w:
        approve_piece(w, "T-0101", "metal", by=figure.artist, how="by telephone", note="at noon")
    (approval,) = state(registry, piece).approvals
    assert (approval.of, approval.party, approval.how) == ("metal", figure.artist, "by telephone")
    assert state(registry, piece).approved("metal")


def test_a_refusal_is_recorded_and_the_last_word_counts(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="poured")
    with book.writing() as w:
        approve_piece(w, piece, "metal", by=figure.artist, how="in person")
        approve_piece(w, piece, "metal", by=figure.artist, how="photo", approved=False)
    assert not state(book, piece).approved("metal")
    assert [a.how for a in state(book, piece).approvals] == ["in person", "by photograph"]


def test_an_estate_approves_once_it_holds_the_authority(book: Registry) -> None:
    figure = a_figure(book)
    piece, estate = a_cast(book, figure, "T-0101", to="poured"), a_party(book, "estate")
    with pytest.raises(Refused, match="holds no authority"), book.writing() as w:
        approve_piece(w, piece, "metal", by=estate, how="in writing")
    with book.writing() as w:
        record_death(w, figure.artist)
        give_authority(w, estate, figure.artist, capacity="estate", document="will of 2026")
        approve_piece(w, piece, "metal", by=estate.lower(), how="in writing")
    assert state(book, piece).approvals[0].party == estate


@pytest.mark.parametrize(
    ("of", "by", "how", "error", "says"),
    [
        ("metal", "Y-0099", "in person", NotKnown, "No party Y-0099"),
        ("metal", "Y-0002", "signed", Unreadable, "not a way"),
        ("colour", "Y-0002", "in person", Refused, "no colour"),
        ("patina", "Y-0002", "in person", Unreadable, "cannot be read"),
    ],
)
def test_an_approval_that_cannot_be_is_not_entered(
    book: Registry, of: str, by: str, how: str, error: type[Exception], says: str
) -> None:
    piece = a_piece(book, to="poured")
    with pytest.raises(error, match=says), book.writing() as w:
        approve_piece(w, piece, of, by=by, how=how)  # type: ignore[arg-type]
    assert state(book, piece).approvals == ()


def test_nothing_is_approved_before_the_metal_is_there(book: Registry) -> None:
    piece = a_piece(book, to="fired")
    with pytest.raises(Refused, match="not poured yet"), book.writing() as w:
        approve_piece(w, piece, "metal", by="Y-0002", how="in person")


@pytest.mark.parametrize("how", HOWS)
def test_each_way_is_read_as_itself_and_by_its_last_word(how: str) -> None:
    assert read_how(how) == read_how(how.upper()) == read_how(how.rsplit(maxsplit=1)[-1]) == how


@pytest.mark.parametrize(
    ("spoken", "how"),
    [("on the phone", "by telephone"), ("Phone", "by telephone"), ("by photo", "by photograph")],
)
def test_a_way_is_read_as_it_is_spoken(spoken: str, how: str) -> None:
    assert read_how(spoken) == how


@pytest.mark.parametrize("spoken", ["", "signed", "by letter", "not in person", "person person"])
def test_no_other_way_is_read_into_an_approval(spoken: str) -> None:
    with pytest.raises(Unreadable, match="not a way"):
        read_how(spoken)


@given(st.text(max_size=30))
def test_any_text_is_one_of_the_four_ways_or_unreadable(text: str) -> None:
    try:
        read = read_how(text)
    except Unreadable:
        return
    assert read in HOWS
