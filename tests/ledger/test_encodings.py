"""Base64 and decimals: one spelling each."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.ledger.encodings import LARGEST, from_base64, from_decimal, to_base64

# RFC 4648, section 10.
PUBLISHED = [
    (b"", ""),
    (b"f", "Zg=="),
    (b"fo", "Zm8="),
    (b"foo", "Zm9v"),
    (b"foob", "Zm9vYg=="),
    (b"fooba", "Zm9vYmE="),
    (b"foobar", "Zm9vYmFy"),
]


@pytest.mark.parametrize(("data", "text"), PUBLISHED)
def test_base64_is_that_of_the_standard(data: bytes, text: str) -> None:
    assert to_base64(data) == text
    assert from_base64(text, len(data)) == data


@given(data=st.binary(max_size=70))
def test_base64_returns_what_was_written(data: bytes) -> None:
    assert from_base64(to_base64(data)) == data


@given(text=st.text(alphabet="AQgw+/-_= \n", max_size=9))
def test_base64_that_is_read_is_written_as_the_same_text(text: str) -> None:
    try:
        data = from_base64(text)
    except Unreadable:
        return
    assert to_base64(data) == text


@pytest.mark.parametrize(
    "text",
    # Not padded, trailing bits set, padded twice, spaces, the URL alphabet, other scripts.
    ["Zg", "Zh==", "Zm9=", "Zg===", "Zg==Zg==", " Zg==", "Zg==\n", "Z g==", "_-8=", "Zé==", "="],
)
def test_base64_in_another_spelling_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="base64"):
        from_base64(text)


def test_base64_of_another_length_is_refused() -> None:
    with pytest.raises(Unreadable, match="3 bytes where 32 belong"):
        from_base64("Zm9v", 32)


@given(number=st.integers(0, LARGEST))
def test_a_decimal_returns_the_number(number: int) -> None:
    assert from_decimal(str(number)) == number


@pytest.mark.parametrize(
    "text",
    [
        "",
        "00",
        "01",
        "-1",
        "+1",
        " 1",
        "1 ",
        "1\n",
        "1_0",
        "1e3",
        "1.0",
        "0x1",
        "١",
        "²",
        "9" * 5000,
    ],
)
def test_a_decimal_in_another_spelling_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="decimal"):
        from_decimal(text)


def test_a_decimal_that_other_readers_would_round_is_refused() -> None:
    with pytest.raises(Unreadable, match="decimal"):
        from_decimal(str(LARGEST + 1))
