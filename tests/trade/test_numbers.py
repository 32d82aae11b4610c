"""Certificate numbers against python-stdnum's ISO 7064 mod 37-2 and Crockford's alphabet."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from editions.errors import MachineRefused, Unreadable
from editions.trade.numbers import (
    ALPHABET,
    LENGTH,
    check_character,
    make_number,
    read_number,
    show_number,
)
from tests.helpers.chance import Chance


def _numbers(count: int) -> list[str]:
    chance = Chance("numbers")
    return [make_number(chance) for _ in range(count)]


def test_the_alphabet_is_crockfords() -> None:
    # Crockford, "Base 32": ten digits and the letters without I, L, O and U, in order.
    letters = [c for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if c not in "ILOU"]
    assert "0123456789" + "".join(letters) == ALPHABET


@given(st.text(ALPHABET, min_size=10, max_size=10))
def test_the_check_character_is_that_of_iso_7064(payload: str) -> None:
    assert check_character(payload) == mod_37_2.calc_check_digit(payload)


def test_every_number_made_is_valid_by_the_reference_library() -> None:
    for number in _numbers(2000):
        assert mod_37_2.is_valid(number)
        assert len(number) == LENGTH
        assert set(number) <= set(ALPHABET)
        assert read_number(number) == number


def test_fifty_bits_are_drawn_and_no_number_comes_twice() -> None:
    numbers = _numbers(5000)
    assert len(set(numbers)) == 5000
    for place in range(10):
        assert {number[place] for number in numbers} == set(ALPHABET)


def test_the_machines_own_random_source_serves() -> None:
    assert read_number(make_number(os.urandom))


@given(st.text(ALPHABET, min_size=10, max_size=10))
def test_a_payload_with_a_check_character_outside_the_alphabet_is_no_number(payload: str) -> None:
    check = mod_37_2.calc_check_digit(payload)
    if check in ALPHABET:
        assert read_number(payload + check) == payload + check
    else:
        with pytest.raises(Unreadable):
            read_number(payload + check)


def test_a_broken_random_source_is_refused_rather_than_waited_for() -> None:
    stuck = next(
        bits for bits in range(1000) if check_character(f"00000000{_two(bits)}") not in ALPHABET
    )
    with pytest.raises(MachineRefused, match="not random"):
        make_number(lambda size: stuck.to_bytes(size, "big"))


def _two(bits: int) -> str:
    return ALPHABET[bits >> 5] + ALPHABET[bits & 31]


def test_every_single_substitution_is_caught() -> None:
    for number in _numbers(300):
        for place in range(LENGTH):
            for other in set(ALPHABET) - {number[place]}:
                with pytest.raises(Unreadable, match="does not agree"):
                    read_number(number[:place] + other + number[place + 1 :])


def test_every_swap_of_neighbours_is_caught() -> None:
    swapped = 0
    for number in _numbers(3000):
        for i in range(LENGTH - 1):
            if number[i] != number[i + 1]:
                swapped += 1
                with pytest.raises(Unreadable, match="probably mistyped"):
                    read_number(number[:i] + number[i + 1] + number[i] + number[i + 2 :])
    assert swapped > 25_000


@given(st.integers(0, 2**50 - 1))
def test_a_number_is_read_however_it_is_shown(bits: int) -> None:
    payload = "".join(ALPHABET[bits >> shift & 31] for shift in range(45, -1, -5))
    if (check := check_character(payload)) not in ALPHABET:
        return
    number = payload + check
    assert read_number(show_number(number)) == number
    assert read_number(f"  {number.lower()}\n") == number
    assert read_number("-".join(number)) == number
    aloud = number.replace("1", "l").replace("0", "o")
    assert read_number(aloud) == read_number(aloud.upper().replace("L", "I")) == number


def test_a_number_is_shown_in_groups_of_four_four_and_three() -> None:
    assert show_number("0123456789A") == "0123 4567 89A"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "a number has 11 characters"),
        ("0123456789", "a number has 11 characters"),
        ("0123456789AA", "a number has 11 characters"),
        ("U123456789A", "it holds U"),
        ("U12345678!A", "it holds ! U"),
        ("0123456789*", r"it holds \*"),
        ("0123456789\u0410", "a number has 11 characters"),
        ("０123456789A", "a number has 11 characters"),
        ("0123456789\x00", "it holds"),
        ("0123456789B", "does not agree"),
        ("A" * 1_000_000, "a number has 11 characters"),
    ],
)
def test_what_is_no_number_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says) as caught:
        read_number(text)
    assert "paper" in caught.value.remedy
    assert len(str(caught.value)) < 250


@given(st.text(max_size=30))
def test_any_text_is_a_number_or_an_error_of_ours(text: str) -> None:
    try:
        number = read_number(text)
    except Unreadable:
        return
    assert mod_37_2.is_valid(number)
