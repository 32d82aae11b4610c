"""Tests of the text of the printed code: an address in capitals and the signed claim."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.claim import code_text, read_code_text, record_address
from editions.errors import Unreadable
from tests.certificates.builders import ADDRESS, NUMBER, sealed
from tests.certificates.test_claim import numbers


def test_a_code_carries_the_address_in_capitals_and_the_signed_claim() -> None:
    made = sealed()
    text = code_text(ADDRESS, NUMBER, made.seal.claim)
    assert text.startswith(f"HTTPS://RECORD.HOLLOW-OAK.EXAMPLE/C/{NUMBER}#2KCE")
    assert text == text.upper()
    read = read_code_text(text)
    assert read.cose == made.seal.claim
    assert read.number == NUMBER
    assert read.address == record_address(ADDRESS, NUMBER)


@given(st.sampled_from(["http", "https"]), st.binary(min_size=1, max_size=400), numbers())
def test_a_code_reads_back_from_its_text_in_any_case(
    scheme: str, message: bytes, number: str
) -> None:
    text = code_text(f"{scheme}://host.example:8080/", number, message)
    assert str(read_code_text(text)) == text
    assert str(read_code_text(f"  {text.lower()}\n")) == text


@given(
    st.text(max_size=200)
    | st.from_regex(r"\Ahttps?://[a-z]{1,9}/c/0[i1l]23456789a#[a-z2-7]{2,20}\Z")
)
def test_a_text_is_refused_or_printed_as_it_is_read_again(text: str) -> None:
    try:
        read = read_code_text(text)
    except Unreadable:
        return
    assert read_code_text(str(read)) == read


@pytest.mark.parametrize(
    "text",
    [
        "",
        "WIFI:S:foundry;T:WPA;P:secret;;",
        "https://record.example/",
        f"ftp://record.example/C/{NUMBER}#AA",
        f"https://user@record.example/C/{NUMBER}#AA",
        f"https://record.example/D/{NUMBER}#AA",
        f"https://record.example/C/{NUMBER}/x#AA",
        f"https://record.example/C/{NUMBER}?x#AA",
        f"https://record.example/C/{NUMBER[:-1]}#AA",
        f"https://record.example/C/{NUMBER[:-1]}{'0' if NUMBER[-1] != '0' else '2'}#AA",
        f"https://record.example/C/{NUMBER}#",
        f"https://record.example/C/{NUMBER}#A",
        f"https://record.example/C/{NUMBER}#AB",
        f"https://record.example/C/{NUMBER}#AA======",
        f"https://record.example/C/{NUMBER}#A1",
        f"https://récord.example/C/{NUMBER}#AA",
        f"https://record.example/C/{NUMBER}#AA\x00",
        "A" * 5000,
    ],
    ids=lambda text: text[:50],
)
def test_other_texts_are_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_code_text(text)


def test_an_address_without_its_claim_is_told_apart() -> None:
    with pytest.raises(Unreadable, match="proves nothing"):
        read_code_text(record_address(ADDRESS, NUMBER))


@pytest.mark.parametrize(
    "base",
    [
        "record.example",
        "https://",
        "https://a b",
        "https://host/path",
        "https://[::1]:80",
        "x" * 200,
    ],
)
def test_an_address_that_no_code_can_carry_is_refused(base: str) -> None:
    with pytest.raises(Unreadable, match="cannot be printed"):
        code_text(base, NUMBER, b"x")
