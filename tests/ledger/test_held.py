"""Held facts: what opens them, and what does not."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.ledger.held import opens, seal

SALT = bytes(range(32))
VALUES = (
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text("ab é", max_size=9)
)


def test_a_seal_is_the_digest_of_salt_and_canonical_field_and_value() -> None:
    # Written out by hand, so that another program can open it: salt, then ["price","12000"].
    digest = hashlib.sha256(SALT + b'["price","12000"]').hexdigest()
    assert seal("price", "12000", SALT) == digest
    assert seal("price", None, SALT) == hashlib.sha256(SALT + b'["price",null]').hexdigest()


@given(value=VALUES, salt=st.binary(min_size=32, max_size=32))
def test_a_seal_opens_with_what_was_sealed(value: Any, salt: bytes) -> None:
    digest = seal("note", value, salt)
    assert digest == hashlib.sha256(salt + rfc8785.dumps(["note", value])).hexdigest()
    assert opens(digest, "note", value, salt)


@given(value=VALUES, other=VALUES)
def test_a_seal_opens_with_no_other_value(value: Any, other: Any) -> None:
    same = type(value) is type(other) and value == other
    assert opens(seal("note", value, SALT), "note", other, SALT) is same


@pytest.mark.parametrize("field", ["", "Note", "note ", "notes", "price"])
def test_a_seal_opens_under_no_other_field(field: str) -> None:
    assert not opens(seal("note", "thin at the ear", SALT), field, "thin at the ear", SALT)


def test_a_seal_opens_with_no_other_salt_and_no_other_digest() -> None:
    digest = seal("note", None, SALT)
    for bit in range(256):
        wrong = (int.from_bytes(SALT, "big") ^ (1 << bit)).to_bytes(32, "big")
        assert not opens(digest, "note", None, wrong)
    for wrong_digest in ("", digest[:-1], digest.upper(), digest + "0", "é" * 64, "0" * 64):
        assert not opens(wrong_digest, "note", None, SALT)


def test_equal_values_do_not_show() -> None:
    seals = {seal("note", None, bytes([first]) + bytes(31)) for first in range(256)}
    assert len(seals) == 256


@pytest.mark.parametrize("length", [0, 16, 31, 33])
def test_a_salt_of_another_length_is_refused(length: int) -> None:
    with pytest.raises(Unreadable, match="32 bytes"):
        seal("note", None, bytes(length))
    with pytest.raises(Unreadable, match="32 bytes"):
        opens("0" * 64, "note", None, bytes(length))


def test_a_value_that_cannot_be_kept_is_refused() -> None:
    with pytest.raises(Unreadable):
        seal("note", 1.5, SALT)
