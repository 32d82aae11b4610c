"""Base32 without padding, against the vectors of RFC 4648 and Python's own reading of it."""

from __future__ import annotations

import base64

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.base32 import from_base32, to_base32
from editions.errors import Unreadable


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"f", "MY"),
        (b"fo", "MZXQ"),
        (b"foo", "MZXW6"),
        (b"foob", "MZXW6YQ"),
        (b"fooba", "MZXW6YTB"),
        (b"foobar", "MZXW6YTBOI"),
        (b"\xff" * 5, "77777777"),
    ],
)
def test_the_vectors_of_the_standard_without_their_padding(data: bytes, text: str) -> None:
    """RFC 4648, section 10; the last by its table 3."""
    assert to_base32(data) == text
    assert from_base32(text) == data


@given(st.binary(min_size=1, max_size=300))
def test_bytes_read_back(data: bytes) -> None:
    assert from_base32(to_base32(data)) == data


@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567", min_size=1, max_size=40))
def test_what_is_accepted_is_what_the_standard_library_reads_and_writes_back(text: str) -> None:
    try:
        data = from_base32(text)
    except Unreadable:
        return
    assert to_base32(data) == text
    assert base64.b32decode(text + "=" * (-len(text) % 8)) == data


@pytest.mark.parametrize(
    "text",
    ["", "M", "MZX", "MZXW6Y", "MZ", "MZXR", "MY==", "my", "M1", "M0XQ", "M8", "M9XQ", "MZ_Q",
     " MY", "MY ", "+MY", "-MY", "MÝ", "ＭＹ", "M\u0660", "77777777X", "22"],
)  # fmt: skip
def test_what_no_encoder_writes_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        from_base32(text)
