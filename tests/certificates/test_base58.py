"""Base58, multibase, multikey, did:key: one text for each value, and nothing else is read."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.base58 import (
    ALPHABET,
    LIMIT,
    from_base58,
    from_did,
    from_method,
    from_multibase,
    from_multikey,
    to_base58,
    to_did,
    to_method,
    to_multibase,
    to_multikey,
)
from editions.errors import Unreadable
from editions.ledger.keys import PrivateKey

KEYS = st.binary(min_size=32, max_size=32)

# The key pair of "Data Integrity EdDSA Cryptosuites v1.0" (W3C, 15 May 2025), appendix B.3.
SEED = bytes.fromhex("c96ef9ea10c5e414c471723aff9de72c35fa5b70fae97e8832ecac7d2e2b8ed6")
MULTIKEY = "z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2"


@pytest.mark.parametrize(
    ("data", "text"),
    [
        # draft-msporny-base58-03, section 5; typed from memory of the draft.
        (b"Hello World!", "2NEpo7TZRRrLZSi2U"),
        (
            b"The quick brown fox jumps over the lazy dog.",
            "USm3fpXnKG5EUBx2ndxBDMPVciP5hGey2Jh4NDv6gmeo1LkMeiKrLJUUBk6Z",
        ),
        (bytes.fromhex("0000287fb4cd"), "11233QC4"),
        # By hand: nothing, zeros alone, and the last and first numbers of one and two digits.
        (b"", ""),
        (bytes(3), "111"),
        (bytes([57]), "z"),
        (bytes([58]), "21"),
    ],
)
def test_base58_is_that_of_the_draft(data: bytes, text: str) -> None:
    assert to_base58(data) == text
    assert from_base58(text) == data


def test_the_multikey_of_the_cryptosuites_example_is_its_public_key() -> None:
    public = PrivateKey(SEED).public.raw
    assert to_multikey(public) == MULTIKEY
    assert from_multikey(MULTIKEY) == public


def test_the_did_of_the_seed_of_zeros_is_the_one_published() -> None:
    # The first Ed25519 example of "The did:key Method v0.7" (W3C CCG); typed from memory.
    did = "did:key:z6MkiTBz1ymuepAQ4HEHYSF1H8quG5GLVVQR3djdX3mDooWp"
    assert to_did(PrivateKey(bytes(32)).public.raw) == did


@given(st.binary(max_size=100))
def test_bytes_come_back_from_base58(data: bytes) -> None:
    assert from_base58(to_base58(data)) == data
    assert from_multibase(to_multibase(data)) == data


@given(st.text(ALPHABET, max_size=100))
def test_any_text_of_the_alphabet_is_the_one_spelling_of_its_bytes(text: str) -> None:
    assert to_base58(from_base58(text)) == text


@given(KEYS)
def test_keys_come_back_from_each_of_their_texts(raw: bytes) -> None:
    assert from_multikey(to_multikey(raw)) == raw
    assert from_did(to_did(raw)) == raw
    assert from_method(to_method(raw)) == raw


@given(st.text(max_size=60))
def test_other_text_is_refused_or_written_again_the_same(text: str) -> None:
    try:
        data = from_base58(text)
    except Unreadable:
        return
    assert to_base58(data) == text


@pytest.mark.parametrize("letter", ["0", "I", "O", "l", " ", "\n", "+", "é", "１"])
def test_a_letter_outside_the_alphabet_is_refused(letter: str) -> None:
    with pytest.raises(Unreadable):
        from_base58(f"2NEpo7{letter}ZRRr")


def test_overlong_text_is_refused_before_it_is_read() -> None:
    start = time.process_time()
    with pytest.raises(Unreadable, match="At most 256"):
        from_base58("z" * 3_000_000)
    assert time.process_time() - start < 0.5
    assert len(from_base58("z" * LIMIT)) == 188


DID = f"did:key:{MULTIKEY}"
OTHER = to_multikey(PrivateKey(bytes(32)).public.raw)


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (from_multibase, ""),
        (from_multibase, MULTIKEY[1:]),
        (from_multibase, "m" + MULTIKEY[1:]),
        (from_multikey, "z"),
        (from_multikey, MULTIKEY[:-1]),
        (from_multikey, MULTIKEY + "1"),
        (from_multikey, to_multibase(b"\xed\x01" + bytes(31))),
        (from_multikey, to_multibase(b"\xed\x01" + bytes(33))),
        # Other keys of the multicodec table: a secp256k1 key, an Ed25519 secret key, no codec.
        (from_multikey, to_multibase(b"\xe7\x01" + bytes(32))),
        (from_multikey, to_multibase(b"\x80\x26" + bytes(32))),
        (from_multikey, to_multibase(bytes(34))),
        (from_did, MULTIKEY),
        (from_did, f"did:web:{MULTIKEY}"),
        (from_did, f"DID:KEY:{MULTIKEY}"),
        (from_did, f" {DID}"),
        (from_did, f"{DID}#{MULTIKEY}"),
        (from_method, DID),
        (from_method, f"{DID}#"),
        (from_method, f"{DID}#{OTHER}"),
        (from_method, f"{DID}#{MULTIKEY}#"),
        (from_method, f"{DID}#{MULTIKEY}?"),
        (from_method, f"#{MULTIKEY}"),
    ],
)
def test_what_names_no_ed25519_key_is_refused(read: Callable[[str], bytes], text: str) -> None:
    with pytest.raises(Unreadable):
        read(text)
