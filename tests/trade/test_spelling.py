"""Words of other English shops are read as this book spells them."""

from __future__ import annotations

import pytest

from editions.trade.spelling import as_spelled
from editions.trade.text import a, meant


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("color", "colour"),
        ("approved_in_color", "approved_in_colour"),
        ("colored", "coloured"),
        ("analyze", "analyse"),
        ("authorized-by", "authorised-by"),
        ("mould", "mold"),
    ],
)
def test_the_other_spelling_is_read(typed: str, read: str) -> None:
    assert as_spelled(typed) == read


@pytest.mark.parametrize("word", ["colour", "coloured", "mold", "authorised", "column", "analysis"])
def test_this_books_spelling_stays(word: str) -> None:
    assert as_spelled(word) == word
    assert as_spelled(as_spelled(word)) == word


@pytest.mark.parametrize(
    ("noun", "named"),
    [("approval given", "an approval given"), ("event", "an event"), ("step", "a step")],
)
def test_a_noun_has_its_article(noun: str, named: str) -> None:
    assert a(noun) == named


@pytest.mark.parametrize(
    ("typed", "says"), [("Foundary", "Did you mean foundry?"), ("nobody", ""), ("", "")]
)
def test_a_word_much_like_another_is_asked_about(typed: str, says: str) -> None:
    assert meant(typed, ("foundry", "laboratory")) == says
    assert meant(typed, ("Foundry", "Laboratory")).casefold() == says.casefold()
