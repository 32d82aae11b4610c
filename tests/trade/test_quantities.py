"""Quantities against published conversions.

Sources: international yard and pound agreement 1959 (inch 25.4 mm, pound 0.45359237 kg, exact);
NIST SP 811 appendix B.8 (ounce avoirdupois 28.34952 g, foot 304.8 mm), from memory, high
confidence.
"""

from __future__ import annotations

from fractions import Fraction
from typing import get_args

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.trade.quantities import (
    Dimension,
    Quantity,
    as_fact,
    decimal_text,
    from_fact,
    read_quantity,
    units_of,
)

DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)


def _decimals() -> st.SearchStrategy[str]:
    whole = st.integers(0, 999_999_999).map(str)
    tail = st.from_regex(r"\.[0-9]{1,9}", fullmatch=True)
    return st.one_of(whole, st.builds(str.__add__, whole, tail))


def _fractions() -> st.SearchStrategy[str]:
    pair = st.tuples(st.integers(1, 9999), st.integers(1, 9999)).map(sorted)
    proper = pair.filter(lambda p: p[0] < p[1]).map(lambda p: f"{p[0]}/{p[1]}")
    mixed = st.builds(lambda n, f: f"{n} {f}", st.integers(1, 999_999_999), proper)
    return st.one_of(proper, mixed)


def quantities() -> st.SearchStrategy[Quantity]:
    cold = [unit for dim in DIMENSIONS if dim != "temperature" for unit in units_of(dim)]
    warm = st.builds(Quantity, _decimals(), st.sampled_from(["°C", "°F"]))
    return st.one_of(
        st.builds(Quantity, st.one_of(_decimals(), _fractions()), st.sampled_from(cold)), warm
    )


@given(quantities())
def test_a_quantity_and_its_text_are_one(quantity: Quantity) -> None:
    assert read_quantity(str(quantity), quantity.dimension) == quantity


@given(quantities())
def test_a_quantity_and_its_fact_are_one(quantity: Quantity) -> None:
    assert from_fact(as_fact(quantity)) == quantity
    assert msgspec.convert(msgspec.to_builtins(quantity), Quantity) == quantity


@given(quantities(), st.integers(0, 6))
def test_a_conversion_is_within_half_of_its_last_place(quantity: Quantity, places: int) -> None:
    for unit in units_of(quantity.dimension):
        there = Quantity(quantity.to(unit, places), unit) if _fits(quantity, unit, places) else None
        if there is None:
            continue
        step = abs(Quantity("1", unit).exact() - Quantity("0", unit).exact()) / 10**places
        assert abs(there.exact() - quantity.exact()) <= step / 2


def _fits(quantity: Quantity, unit: str, places: int) -> bool:
    return len(quantity.to(unit, places).lstrip("-").partition(".")[0]) <= 9


@pytest.mark.parametrize(
    ("text", "dimension", "canonical"),
    [
        ("450 mm", "length", "450 mm"),
        ("450mm", "length", "450 mm"),
        ("3/16 in", "length", "3/16 in"),
        ('3/16"', "length", "3/16 in"),
        ("1 3/16″", "length", "1 3/16 in"),
        ("1-3/16 inches", "length", "1 3/16 in"),
        ("1  3/16 IN", "length", "1 3/16 in"),
        ("5'", "length", "5 ft"),
        ("6 feet", "length", "6 ft"),
        ("1.05 kg", "mass", "1.05 kg"),
        ("31.5 lbs", "mass", "31.5 lb"),
        ("12 Oz", "mass", "12 oz"),
        ("2000 F", "temperature", "2000 °F"),
        ("2000F", "temperature", "2000 °F"),
        ("1090 degC", "temperature", "1090 °C"),
        ("1090°c", "temperature", "1090 °C"),
        ("\u22125 °C", "temperature", "-5 °C"),
        ("-40 °F", "temperature", "-40 °F"),
        ("500 mL", "volume", "500 ml"),
        ("1.50 L", "volume", "1.50 l"),
        ("0 mm", "length", "0 mm"),
    ],
)
def test_quantities_are_read_as_the_shop_writes_them(
    text: str, dimension: Dimension, canonical: str
) -> None:
    assert str(read_quantity(text, dimension)) == canonical


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("1,05 kg", "mass", "a comma in its number"),
        ("1,050 kg", "mass", "a comma in its number"),
        ("450", "length", "has no unit"),
        ("", "length", "does not begin with a number"),
        ("kg", "mass", "does not begin with a number"),
        ("about 5 kg", "mass", "does not begin with a number"),
        ("2 kg", "length", "2 kg is a mass, not a length"),
        ("2 C", "mass", "2 °C is a temperature, not a mass"),
        ("5 stone", "mass", "is not a unit"),
        ("5 MM2", "length", "left over"),
        ("5' 3\"", "length", "More than a number and a unit"),
        ("1e3 mm", "length", "left over"),
        ("-5 mm", "length", "not a number of mm"),
        ("+5 mm", "length", "not a number of mm"),
        ("--5 °C", "temperature", "not a number of °C"),
        ("1/2 °C", "temperature", "not a number of °C"),
        (".5 kg", "mass", "not a number of kg"),
        ("5. kg", "mass", "not a number of kg"),
        ("007 mm", "length", "not a number of mm"),
        ("3/0 in", "length", "not a number of in"),
        ("0/16 in", "length", "not a number of in"),
        ("1 17/16 in", "length", "not a number of in"),
        ("1 16/16 in", "length", "not a number of in"),
        ("1 1.5/2 in", "length", "not a number of in"),
        ("1.2.3 mm", "length", "not a number of mm"),
        ("1234567890 mm", "length", "not a number of mm"),
        ("0.1234567891 mm", "length", "not a number of mm"),
        ("٣ mm", "length", "does not begin with a number"),
        ("-274 °C", "temperature", "below absolute zero"),
        ("-460 °F", "temperature", "below absolute zero"),
        ("9" * 1_000_000, "length", "has no unit"),
        ("5 \x00mm", "length", "is not a unit"),
    ],
)
def test_what_is_not_surely_a_quantity_is_refused(
    text: str, dimension: Dimension, says: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        read_quantity(text, dimension)
    assert says in caught.value.message
    assert caught.value.remedy
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("text", "dimension", "unit", "places", "expected"),
    [
        ("1 in", "length", "mm", 1, "25.4"),  # agreement of 1959, exact
        ("1 ft", "length", "mm", 1, "304.8"),  # NIST SP 811
        ("3/16 in", "length", "mm", 4, "4.7625"),  # 3/16 of 25.4
        ("1 lb", "mass", "kg", 8, "0.45359237"),  # agreement of 1959, exact
        ("1 oz", "mass", "g", 5, "28.34952"),  # NIST SP 811
        ("212 °F", "temperature", "°C", 2, "100.00"),  # boiling point of water
        ("-40 °F", "temperature", "°C", 0, "-40"),  # where the scales meet
        ("100 °C", "temperature", "F", 0, "212"),
        ("2000 °F", "temperature", "°C", 1, "1093.3"),
        ("-459.67 °F", "temperature", "°C", 2, "-273.15"),  # absolute zero
        ("0.5 l", "volume", "ml", 0, "500"),
        ("450 mm", "length", "m", 2, "0.45"),
        ("36 in", "length", "ft", 0, "3"),
        ("-0.004 °C", "temperature", "°C", 2, "0.00"),  # never minus zero
    ],
)
def test_conversions_match_published_values(
    text: str, dimension: Dimension, unit: str, places: int, expected: str
) -> None:
    assert read_quantity(text, dimension).to(unit, places) == expected


@pytest.mark.parametrize(
    ("number", "text"), [("0.5", "0"), ("1.5", "2"), ("2.5", "2"), ("-2.5", "-2")]
)
def test_halves_go_to_the_even_digit(number: str, text: str) -> None:
    # IEEE 754 roundTiesToEven, ASTM E29 rounding method
    assert decimal_text(Fraction(number), 0) == text


def test_the_exact_value_is_a_fraction_of_the_base_unit() -> None:
    assert Quantity("1 3/16", "in").exact() == Fraction(19, 16) * Fraction(254, 10)
    assert Quantity("1/3", "kg").exact() == Fraction(1, 3)


def test_no_length_has_a_value_in_kilograms() -> None:
    with pytest.raises(Unreadable, match="450 mm is a length; it has no value in kg"):
        Quantity("450", "mm").to("kg", 1)
    with pytest.raises(Unreadable, match="not a unit known here"):
        Quantity("450", "mm").to("cubits", 1)


@pytest.mark.parametrize(
    "fact",
    [
        None,
        "5 mm",
        [],
        {},
        {"value": "5"},
        {"value": "5", "unit": "mm", "more": ""},
        {"value": 5, "unit": "mm"},
        {"value": "5", "unit": None},
        {"value": "5", "unit": "inch"},
        {"value": "5,0", "unit": "mm"},
        {"value": " 5", "unit": "mm"},
        {"value": "1-3/16", "unit": "in"},
    ],
)
def test_a_fact_that_is_no_canonical_quantity_is_refused(fact: object) -> None:
    with pytest.raises(Unreadable):
        from_fact(fact)


def test_a_decoded_quantity_is_judged_as_a_typed_one() -> None:
    with pytest.raises(Unreadable, match="not a number of mm"):
        msgspec.json.decode(b'{"value": "-5", "unit": "mm"}', type=Quantity)
    with pytest.raises(msgspec.ValidationError):
        msgspec.json.decode(b'{"value": "5", "unit": "mm", "x": 1}', type=Quantity)


@given(st.text(max_size=40), st.sampled_from(DIMENSIONS))
def test_any_text_is_a_quantity_or_an_error_of_ours(text: str, dimension: Dimension) -> None:
    try:
        quantity = read_quantity(text, dimension)
    except Unreadable:
        return
    assert read_quantity(str(quantity), dimension) == quantity
