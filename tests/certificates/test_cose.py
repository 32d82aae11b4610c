"""Tests of the claim's signature against the published vector of COSE, and of its strictness."""

from __future__ import annotations

from typing import Any

import cbor2
import pytest

from certificates import cose
from certificates.claim import open_claim, peek_claim, sign_claim, to_bytes
from editions.errors import Contradiction, Unreadable
from editions.ledger.keys import PrivateKey, PublicKey, key_id
from tests.certificates.builders import FOUNDRY_KEY, OTHER_KEY
from tests.certificates.test_claim import CLAIM, CLAIM_BYTES

# cose-wg/Examples, eddsa-examples/eddsa-sig-01.json (Ed25519, one signer).
VECTOR_SEED = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
VECTOR_SIGNED = "846A5369676E61747572653145A2012703004054546869732069732074686520636F6E74656E742E"
VECTOR = (
    "D28445A201270300A10442313154546869732069732074686520636F6E74656E742E58407142FD2FF96D56DB85"
    "BEE905A76BA1D0B7321A95C8C4D3607C5781932B7AFB8711497DFA751BF40B58B3BCC32300B1487F3DB34085EE"
    "F013BF08F4A44D6FEF0D"
)


# Our own claim signed with the vector's key: headers and payload by the specification, signature
# by Ed25519, which is deterministic (RFC 8032).  Never to change.
SIGNED_BYTES = (
    "d2844da20132044821fe31dfa154a261a058bf"
    + CLAIM_BYTES.hex()
    + "584082e2ddfca2debebdbb061790d5510b65d294773226c58177d845ff5c3fdbb212"
    "9acde796aab6d3e2a3f8d001ca06e6b7a19754707bdfeb107f8c7211588fe105"
)


def test_the_bytes_of_a_signed_claim_never_change() -> None:
    assert sign_claim(CLAIM, PrivateKey(bytes.fromhex(VECTOR_SEED))).hex() == SIGNED_BYTES


def test_the_published_cose_vector_has_these_bytes_to_be_signed() -> None:
    signed = cose.take_apart(bytes.fromhex(VECTOR))
    assert cose.to_be_signed(signed.protected, signed.payload).hex().upper() == VECTOR_SIGNED
    assert signed.payload == b"This is the content."


def test_the_published_cose_vector_has_this_signature() -> None:
    signed = cose.take_apart(bytes.fromhex(VECTOR))
    key = PrivateKey(bytes.fromhex(VECTOR_SEED))
    assert key.sign(bytes.fromhex(VECTOR_SIGNED)) == signed.signature
    PublicKey(key.public.raw).verify(signed.signature, bytes.fromhex(VECTOR_SIGNED))


def test_the_published_cose_vector_is_no_claim_since_its_headers_are_others() -> None:
    with pytest.raises(Unreadable, match="headers"):
        peek_claim(bytes.fromhex(VECTOR))


def test_a_signed_claim_opens_with_its_key_and_names_it() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    assert open_claim(message, FOUNDRY_KEY.public.raw) == CLAIM
    assert peek_claim(message) == (CLAIM, key_id(FOUNDRY_KEY.public.raw))


def test_a_signed_claim_begins_with_the_headers_of_its_specification() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    kid = key_id(FOUNDRY_KEY.public.raw).hex()
    assert message.hex().startswith(f"d2844da2013204{'48'}{kid}a0")
    assert message[-66:-64].hex() == "5840"


def _signed_as(protected: dict[Any, Any], unprotected: dict[Any, Any] | None = None) -> bytes:
    header, payload = cose.canonical(protected), to_bytes(CLAIM)
    signature = FOUNDRY_KEY.sign(cose.to_be_signed(header, payload))
    parts = [header, unprotected or {}, payload, signature]
    return cose.canonical(cbor2.CBORTag(18, parts))


def test_the_older_name_of_the_algorithm_is_read_too() -> None:
    kid = key_id(FOUNDRY_KEY.public.raw)
    assert open_claim(_signed_as({1: -8, 4: kid}), FOUNDRY_KEY.public.raw) == CLAIM


@pytest.mark.parametrize(
    ("protected", "unprotected"),
    [
        ({1: -7, 4: bytes(8)}, {}),
        ({1: "EdDSA", 4: bytes(8)}, {}),
        ({1: True, 4: bytes(8)}, {}),
        ({1: -19}, {4: bytes(8)}),
        ({1: -19, 4: bytes(7)}, {}),
        ({1: -19, 4: "12345678"}, {}),
        ({1: -19, 4: bytes(8), 3: 0}, {}),
        ({1: -19, 4: bytes(8)}, {3: 0}),
        ({4: bytes(8)}, {}),
        ({}, {}),
    ],
    ids=str,
)
def test_other_headers_are_refused(protected: dict[Any, Any], unprotected: dict[Any, Any]) -> None:
    with pytest.raises(Unreadable):
        peek_claim(_signed_as(protected, unprotected))


@pytest.mark.parametrize(
    "message",
    [
        [b"", {}, b"", b""],
        cbor2.CBORTag(17, [b"", {}, b"", b""]),
        cbor2.CBORTag(18, [b"", {}, b""]),
        cbor2.CBORTag(18, [b"", {}, b"", b"", b""]),
        cbor2.CBORTag(18, [b"", {}, None, b""]),
        cbor2.CBORTag(18, [b"", [], b"", b""]),
        cbor2.CBORTag(18, ["", {}, b"", b""]),
        cbor2.CBORTag(18, 5),
        cbor2.CBORTag(18, [b"\xa2\x01\x32\x04\x48" + bytes(8), {}, b"\xa0", b"short"]),
    ],
    ids=str,
)
def test_messages_that_are_no_signed_claim_are_refused(message: Any) -> None:
    with pytest.raises(Unreadable):
        peek_claim(cose.canonical(message))


def test_another_key_is_refused_by_name() -> None:
    with pytest.raises(Contradiction, match="another key"):
        open_claim(sign_claim(CLAIM, FOUNDRY_KEY), OTHER_KEY.public.raw)


def test_every_single_bit_of_a_signed_claim_counts() -> None:
    message = sign_claim(CLAIM, FOUNDRY_KEY)
    for at in range(len(message) * 8):
        flipped = bytearray(message)
        flipped[at // 8] ^= 1 << at % 8
        with pytest.raises((Contradiction, Unreadable)):
            open_claim(bytes(flipped), FOUNDRY_KEY.public.raw)
