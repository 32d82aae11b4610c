"""Percentages, densities and areas as the shop writes them."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.measures import (
    length_in,
    mass_in,
    read_area,
    read_density,
    read_percent,
)
from editions.rules.rates import read_rate
from editions.trade.quantities import decimal_text, read_quantity


@pytest.mark.parametrize(
    ("text", "percent"),
    [
        ("10", "10"),
        (".000001", "0.000001"),
        ("2.5 %", "2.5"),
        (" .5% ", "0.5"),
        ("100", "100"),
        ("1.20 per cent", "1.20"),
    ],
)
def test_a_percentage_is_read_exactly(text: str, percent: str) -> None:
    assert read_percent(text) == Decimal(percent)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("101", "101 % is more than 100 %"),
        ("-5", "not a percentage"),
        ("2,5", "comma"),
        ("", "not a percentage"),
        ("ten", "not a percentage"),
        ("1e2", "not a percentage"),
        ("nan", "not a percentage"),
        ("10 kg", "not a percentage"),
    ],
)
def test_what_is_no_percentage_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read_percent(text)


def test_a_pound_a_cubic_inch_is_what_the_yard_and_pound_agreement_makes_it() -> None:
    # International yard and pound agreement, 1959: 0.45359237 kg and 2.54 cm, both exact.
    assert decimal_text(read_density("1 lb/in3").exact(), 7) == "27.6799047"
    # The tables' pairs: .302 lb/in3 beside 8.359 g/cm3 (CDA data sheet).
    assert decimal_text(read_density("0.302 lb/cu in").exact(), 3) == "8.359"


@pytest.mark.parametrize("text", ["0.93", "0.93 g/cm³", "0.93g/ml", "930 kg/m3", ".93 G/CC"])
def test_a_density_may_be_written_in_many_ways(text: str) -> None:
    assert read_density(text).exact() == Fraction(93, 100)


@pytest.mark.parametrize("text", ["0.35 m2", "3500 cm²", "350000 sq mm"])
def test_an_area_may_be_written_in_many_ways(text: str) -> None:
    assert read_area(text).exact() == 3500


def test_a_square_foot_is_144_square_inches() -> None:
    assert read_area("1 ft2").exact() == read_area("144 sq in").exact()


@pytest.mark.parametrize("text", ["", "0", "0.93 kg", "-1", "0,93", "1 2", "dense", "8.9 m2"])
def test_what_is_no_density_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_density(text)


@pytest.mark.parametrize("text", ["", "3", "0 m2", "3 m3", "1,5 m2", "-2 m2"])
def test_what_is_no_area_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_area(text)


@given(st.decimals("0.001", "99999", places=3), st.sampled_from(["g/cm3", "kg/m3", "lb/in3"]))
def test_a_density_as_shown_is_read_back(value: Decimal, unit: str) -> None:
    density = read_density(f"{value:f} {unit}")
    assert read_density(str(density)) == density


@pytest.mark.parametrize("read", [read_percent, read_density, read_area, read_rate])
@given(st.text(alphabet="0123456789.,-/% ²³ftminlbgc'\"per", max_size=14))
def test_whatever_is_typed_is_read_alike_again_or_refused_in_our_words(
    read: Callable[[str], object], text: str
) -> None:
    try:
        value = read(text)
    except Unreadable:
        return
    assert read(str(value)) == value


def test_metal_is_weighed_in_the_shops_larger_unit_and_lengths_in_the_one_asked() -> None:
    pound = read_quantity("1 lb", "mass").exact()
    assert str(mass_in(pound, "oz", 2)) == "1.00 lb"
    assert str(mass_in(pound, "g", 5)) == "0.45359 kg"
    assert str(length_in(Fraction(127, 10), "in", 2)) == "0.50 in"
