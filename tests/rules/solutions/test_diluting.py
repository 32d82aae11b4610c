"""Dilution, and one hydrate for another."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Refused, Unreadable
from editions.rules.solutions.diluting import dilute, substance, swap
from editions.trade.quantities import Quantity

ML = Quantity("750", "ml")


# Foundry facts, known answer 8: 10 % to 3 %, 750 ml: 225 + 525 ml.
def test_ten_per_cent_to_three_takes_225_and_525() -> None:
    made = dilute("10 % w/v", "3 % w/v", ML)
    assert (str(made.stock), str(made.water), made.unit) == ("225.00", "525.00", "ml")


# Foundry facts, known answer 8: 40 g copper nitrate trihydrate = 38.509 g 2.5-hydrate.
def test_forty_grams_of_the_trihydrate_are_38_509_of_the_hemipentahydrate() -> None:
    tri, hemi = substance("copper nitrate trihydrate"), substance("copper nitrate 2.5-hydrate")
    assert str(swap(tri, hemi, Quantity("40", "g")).grams) == "38.509"


def test_strengths_of_mass_in_volume_dilute_into_each_other() -> None:
    assert str(dilute("10 % w/v", "40 g/l", ML).stock) == "300.00"


def test_by_weight_it_is_weighed() -> None:
    made = dilute("20 % w/w", "5 % w/w", Quantity("1", "kg"))
    assert (str(made.stock), str(made.water), made.unit) == ("250.00", "750.00", "g")


@given(st.integers(2, 100), st.integers(1, 99), st.integers(1, 5000))
def test_a_dilution_holds_as_much_substance_as_went_in(strong: int, weak: int, ml: int) -> None:
    strong, weak = max(strong, weak), min(strong, weak)
    made = dilute(f"{strong} % w/v", f"{weak} % w/v", Quantity(str(ml), "ml"))
    stock, water = Fraction(str(made.stock)), Fraction(str(made.water))
    assert abs(stock + water - ml) <= Fraction(1, 100)
    assert float(stock * strong) == pytest.approx(ml * weak, abs=0.005 * strong + 1e-9)


@given(st.integers(3, 100), st.data())
def test_in_two_steps_or_in_one_the_same_stock_is_used(strong: int, data: st.DataObject) -> None:
    middle = data.draw(st.integers(2, strong))
    weak = data.draw(st.integers(1, middle))
    at_once = dilute(f"{strong} g/l", f"{weak} g/l", Quantity("1000", "ml")).stock
    second = dilute(f"{middle} g/l", f"{weak} g/l", Quantity("1000", "ml")).stock
    first = dilute(f"{strong} g/l", f"{middle} g/l", Quantity(str(second), "ml")).stock
    assert float(first) == pytest.approx(float(at_once), abs=0.011)


_HYDRATES = ["Cu(NO3)2·2.5H2O", "Cu(NO3)2·3H2O", "Cu(NO3)2·6H2O", "Cu(NO3)2"]


@given(st.sampled_from(_HYDRATES), st.sampled_from(_HYDRATES), st.integers(1, 500))
def test_a_hydrate_swapped_and_swapped_back_weighs_the_same(one: str, other: str, g: int) -> None:
    there = swap(substance(one), substance(other), Quantity(str(g), "g")).grams
    back = swap(substance(other), substance(one), Quantity(str(there), "g")).grams
    assert float(back) == pytest.approx(g, abs=0.002)


@pytest.mark.parametrize(
    ("strong", "weak", "finished", "says"),
    [
        ("3 % w/v", "10 % w/v", ML, "stronger"),
        ("10 % w/v", "3 % w/w", ML, "not said in the same way"),
        ("1 mol/l", "3 % w/v", ML, "not said in the same way"),
        ("10 % w/w", "3 % w/w", ML, "diluted by weight"),
        ("10 % w/v", "3 % w/v", Quantity("750", "g"), "diluted by volume"),
    ],
)
def test_what_is_no_dilution_is_refused(
    strong: str, weak: str, finished: Quantity, says: str
) -> None:
    with pytest.raises(Refused) as why:
        dilute(strong, weak, finished)
    assert says in why.value.message
    assert why.value.remedy


def test_a_strength_that_cannot_be_read_is_refused() -> None:
    with pytest.raises(Unreadable):
        dilute("10 %", "3 %", ML)


@pytest.mark.parametrize(
    ("asked", "on_hand", "says"),
    [
        ("copper nitrate trihydrate", "copper sulfate", "not hydrates of one salt"),
        ("copper nitrate", "copper nitrate trihydrate", "which one is not said"),
        ("liver of sulfur", "liver of sulfur", "no molar mass"),
    ],
)
def test_only_hydrates_of_one_salt_are_swapped(asked: str, on_hand: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        swap(substance(asked), substance(on_hand), Quantity("40", "g"))
