"""Strengths, spoons and stock liquids, read and written."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.solutions.formulas import read_formula
from editions.rules.solutions.strengths import (
    Strength,
    read_density,
    read_spoons,
    read_stock,
    read_strength,
)


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("5 % w/v", "5 % w/v"),
        ("5%W/V", "5 % w/v"),
        ("5 per cent m/v", "5 % w/v"),
        ("5 g/100 ml", "5 % w/v"),
        ("5 % by weight", "5 % w/w"),
        ("5% m/m", "5 % w/w"),
        ("2.5 % by volume", "2.5 % v/v"),
        ("40g/l", "40 g/l"),
        ("40 g/L", "40 g/l"),
        ("2 oz/gal", "2 oz/gal"),
        ("0.5 mol/l", "0.5 mol/l"),
        ("0.5M", "0.5 mol/l"),
    ],
)
def test_strengths_are_read_as_the_room_writes_them(text: str, means: str) -> None:
    assert str(read_strength(text)) == means


@given(
    st.builds(
        Strength,
        st.sampled_from(["0.5", "1", "40", "99.125", "0.000001"]),
        st.sampled_from(["w/v", "w/w", "v/v", "g/l", "oz/gal", "mol/l"]),
    )
)
def test_a_strength_written_reads_back_as_it_was(strength: Strength) -> None:
    assert read_strength(str(strength)) == strength


def test_grams_a_litre_follow_where_the_strength_is_one_of_mass_in_volume() -> None:
    assert read_strength("5 % w/v").grams_a_litre() == 50
    assert read_strength("0.5 mol/l").grams_a_litre() is None
    # An avoirdupois ounce is 28.349523125 g, a US gallon 3.785411784 l, both exactly.
    ounces = read_strength("2 oz/gal").grams_a_litre()
    assert ounces == 2 * Fraction("28.349523125") / Fraction("3.785411784")


# Foundry facts, known answer 8: HNO3 68 % w/w at 1.405 g/ml is 15.162 mol/l.
def test_nitric_acid_of_68_per_cent_is_15_162_molar() -> None:
    stock = read_stock("68 % w/w at 1.405")
    assert f"{float(stock.molarity(read_formula('HNO3'))):.3f}" == "15.162"
    assert read_stock("68% by weight at 1.405 g/ml").molarity(read_formula("HNO3")) == (
        stock.molarity(read_formula("HNO3"))
    )


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [
        ("2 tsp", 10),
        ("1/2 teaspoon", Fraction(5, 2)),
        ("1.5 tbsp", Fraction(45, 2)),
        ("1 tbsp", 15),
    ],
)
def test_spoons_are_metric_and_level(text: str, millilitres: Fraction) -> None:
    spoons = read_spoons(text)
    assert spoons is not None
    assert spoons.millilitres() == millilitres


def test_what_speaks_of_no_spoon_is_none() -> None:
    assert read_spoons("5 % w/v") is None


@pytest.mark.parametrize("text", ["2 spoons", "1,5 tsp", "0 tsp", "-1 tsp", "1/3 tsp"])
def test_spoons_of_no_size_or_number_are_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_spoons(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("5 %", "does not say of what"),
        ("5", "not a strength"),
        ("", "not a strength"),
        ("strong", "not a strength"),
        ("5 w/v", "not a strength"),
        ("5 % g/l", "not a strength"),
        ("5 % mol/l", "not a strength"),
        ("5 % of it", "not a strength"),
        ("1,5 % w/v", "comma"),
        ("-5 % w/v", "below nothing"),
        ("0 % w/v", "is nothing"),
        ("1e3 g/l", "not a strength"),
        ("5..2 % w/v", "does not begin with a number"),
        ("101 % w/w", "more than 100"),
        ("100.1 % v/v", "more than 100"),
    ],
)
def test_what_is_no_strength_is_refused_in_a_clear_line(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as why:
        read_strength(text)
    assert says in why.value.message
    assert why.value.remedy


@pytest.mark.parametrize("text", ["68 % w/w", "68 % w/v at 1.4", "at 1.4", "68 % w/w at 14"])
def test_what_is_no_stock_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_stock(text)


@pytest.mark.parametrize("text", ["0", "1,4", "1405", "0.05", "light"])
def test_what_is_no_density_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_density(text)
