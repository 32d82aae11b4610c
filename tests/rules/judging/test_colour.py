from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.trade.casting import ColourApplied, PieceReleased
from editions.trade.colour import Layer, Recipe, RecipeWritten
from tests.rules.judging.shop import BROWN, HAND, MOLD, NUMBERS, Shop

RECIPE = "C-0001"


def written(version: int, words: str = "green over brown", by: str | None = None) -> RecipeWritten:
    layers = (Layer(solution="as the patineur knows"),)
    return RecipeWritten(name="river", version=version, words=words, by=by, layers=layers)


def test_versions_follow_one_another(shop: Shop) -> None:
    assert shop.enter(RECIPE, written(1, by=HAND)) == ()
    assert shop.enter(RECIPE, written(2)) == ()
    assert shop.get(RECIPE, Recipe).latest == 2


@pytest.mark.parametrize("version", [0, 2, 3])
def test_a_recipe_begins_with_version_one(shop: Shop, version: int) -> None:
    shop.refuses(RECIPE, written(version), f"next version of C-0001 is 1, not {version}")


@pytest.mark.parametrize("version", [1, 3])
def test_no_version_is_left_out_or_written_twice(shop: Shop, version: int) -> None:
    shop.enter(RECIPE, written(1))
    shop.refuses(RECIPE, written(version), "next version of C-0001 is 2")


def test_a_version_is_not_older_than_the_one_before(shop: Shop) -> None:
    shop.enter(RECIPE, written(1))
    shop.refuses(RECIPE, written(2), "when version 1 was written", "2026-03-01")


def test_a_recipe_without_words_is_remarked_on(shop: Shop) -> None:
    assert "no open words" in shop.enter(RECIPE, written(1, words=""))[0]


@pytest.mark.parametrize("by", ["Y-0404", MOLD])
def test_a_recipe_is_by_a_party_of_the_book(shop: Shop, by: str) -> None:
    shop.refuses(RECIPE, written(1, by=by), "a party is wanted", error=NotKnown)


WAXED = ColourApplied(words="green over brown, waxed")
UNSEEN = (
    "The colour of P-0001 was approved 2 March 2026, before its last one; have it approved"
    " again: bronzebook approve P-0001 colour."
)


@pytest.mark.parametrize("day", ["2026-03-02", "2026-03-05"])
def test_a_colour_laid_after_its_approval_is_remarked_on(finished: Shop, day: str) -> None:
    assert finished.enter("P-0001", WAXED, day) == (UNSEEN,)


def test_a_colour_that_was_laid_before_its_approval_is_not(finished: Shop) -> None:
    finished.approve("P-0001", "colour", on="2026-03-05")
    assert finished.enter("P-0001", WAXED, "2026-03-04") == ()
    assert finished.enter("P-0001", PieceReleased(), "2026-03-06") == ()


def test_an_approval_that_did_not_see_the_last_colour_is_told_at_release_and_on_the_paper(
    finished: Shop,
) -> None:
    finished.enter("P-0001", WAXED, "2026-03-05")
    paper = finished.certificate("P-0001", issued="2026-03-06")
    assert finished.enter(NUMBERS[0], paper, "2026-03-06") == (UNSEEN,)
    assert finished.enter("P-0001", PieceReleased(), "2026-03-06") == (UNSEEN,)


def test_an_approval_given_again_sees_the_last_colour(finished: Shop) -> None:
    finished.enter("P-0001", WAXED, "2026-03-05")
    finished.approve("P-0001", "colour", on="2026-03-05")
    assert finished.enter("P-0001", PieceReleased(), "2026-03-06") == ()
    assert finished.enter("P-0002", BROWN, "2026-03-02") != ()
