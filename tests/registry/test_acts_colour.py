"""Recipes in versions, and colour as it was laid on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.colour import apply_colour, layer_text, read_layer, write_recipe
from editions.trade.colour import Layer
from tests.registry.builders import a_party, a_piece, state
from tests.registry.figures import a_cast, a_figure


def test_a_recipe_is_written_in_versions_and_its_layers_are_held(registry: Registry) -> None:
    patineur = a_party(registry, "patineur")
    layers = [read_layer("ferric nitrate; 5 %; stippled; 200 °F"), read_layer("clear wax")]
    with registry.writing() as w:
        made = write_recipe(w, "Heron brown", words="brown", layers=layers, by=patineur)
        again = write_recipe(w, recipe=made.code.lower(), words="brown over green")
    recipe = state(registry, made.code)
    assert (again.code, recipe.latest, recipe.name) == (made.code, 2, "Heron brown")
    assert [recipe.words(1), recipe.words(2)] == ["brown", "brown over green"]
    with registry.reading() as reading:
        assert b"ferric" not in reading.entry(made.leaf)


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"name": ""},
        {"name": "x" * 121},
        {"name": "Brown", "by": "Y-0099"},
        {"name": "Brown", "words": "\u202e"},
        {"name": "Brown", "recipe": "C-0009"},
        {"name": "Brown", "code": "P-0001"},
    ],
)
def test_a_recipe_that_cannot_be_read_is_not_written(book: Registry, said: dict[str, str]) -> None:
    with pytest.raises(BronzebookError), book.writing() as w:
        write_recipe(w, **said)  # type: ignore[arg-type]
    assert state(book, "C-0001") is None


def test_colour_follows_the_latest_version_and_says_its_words(registry: Registry) -> None:
    figure = a_figure(registry)
    piece = a_cast(registry, figure, "T-0101", to="poured")
    with registry.writing() as w:
        recipe = write_recipe(w, "Heron brown", words="brown").code
        write_recipe(w, recipe=recipe, words="brown over green")
        approve_piece(w, piece, "metal", by=figure.artist, how="in person")
        apply_colour(w, "T-0101", recipe=recipe, hand=figure.hand, differs="cooler torch")
        apply_colour(w, piece, recipe=recipe, version=1, words="brown, thin at the edges")
        apply_colour(w, piece, words="waxed")
    first, second, third = state(registry, piece).colours
    assert (first.recipe, first.version, first.words) == (recipe, 2, "brown over green")
    assert (second.version, second.words) == (1, "brown, thin at the edges")
    assert (third.recipe, third.version, third.words) == (None, None, "waxed")


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ({}, Unreadable),
        ({"recipe": "C-0009"}, NotKnown),
        ({"recipe": "C-0001", "version": 2}, Refused),
        ({"version": 1, "words": "brown"}, Refused),
        ({"words": "brown", "hand": "Y-0099"}, NotKnown),
    ],
)
def test_a_colour_of_nothing_or_of_no_recipe_is_refused(
    book: Registry, said: dict[str, object], error: type[Exception]
) -> None:
    piece = a_piece(book, to="approved in metal")
    with book.writing() as w:
        write_recipe(w, "Heron brown", words="brown")
    with pytest.raises(error), book.writing() as w:
        apply_colour(w, piece, **said)  # type: ignore[arg-type]
    assert state(book, piece).colours == ()


def test_no_colour_before_the_metal_is_approved_where_the_run_asks_for_it(book: Registry) -> None:
    piece = a_piece(book, to="chased")
    with pytest.raises(Refused, match="approved in metal"), book.writing() as w:
        apply_colour(w, piece, words="brown")


WORDS = st.text("abc %°/.,é", max_size=20).map(str.strip)
LAYERS = st.builds(Layer, solution=WORDS.filter(bool), strength=WORDS, method=WORDS, heat=WORDS)


@given(LAYERS)
def test_a_layer_written_is_read_back_the_same(layer: Layer) -> None:
    assert read_layer(layer_text(layer)) == layer


@pytest.mark.parametrize("text", ["", ";", "; 5 %", "a;b;c;d;e", "a\u202eb", "x" * 2001])
def test_a_layer_needs_a_solution_and_at_most_three_words_more(text: str) -> None:
    with pytest.raises(Unreadable):
        read_layer(text)
