from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.trade.colour import Layer, Recipe, RecipeWritten
from tests.rules.judging.shop import HAND, MOLD, Shop

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
