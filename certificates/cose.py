"""COSE_Sign1 (RFC 9052) with Ed25519, in the one strict form that a claim uses.

The message is the tagged array ``18([protected, {}, payload, signature])``.  The protected header
holds exactly the algorithm and the key id; nothing is unprotected.  Both names of the algorithm are
read, EdDSA (-8, RFC 9053) and Ed25519 (-19, RFC 9864); -19 is written.  A message whose encoding is
not the canonical one (RFC 8949, 4.2.1) is refused, so that one claim has one form.

>>> to_be_signed(bytes.fromhex("a2013203 00".replace(" ", "")), b"text").hex()
'846a5369676e61747572653145a201320300404474657874'
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import cbor2
import msgspec

from editions.errors import Contradiction, Unreadable
from editions.ledger.keys import PrivateKey, PublicKey, key_id

ED25519 = -19
EDDSA = -8
SIGN1_TAG = 18
LIMIT = 2048

_ALGORITHM, _KEY_ID = 1, 4
# {1: -19, 4: h'...8 bytes'}, which is the header of every claim that we sign.
_USUAL_HEADER = b"\xa2\x01\x32\x04\x48"
_HEADER = len(_USUAL_HEADER) + 8
_BEGINS = b"\xd2\x84\x4d"  # tag 18, an array of four, a byte string of 13
_HEADER_AT = len(_BEGINS)
_SIGNATURE = 64
_DAMAGES = (cbor2.CBORError, ArithmeticError, RecursionError, TypeError, ValueError)
_REMEDY = "Is it the code or the file of a certificate, and is it whole?"


class Signed(msgspec.Struct, frozen=True, kw_only=True):
    """A COSE_Sign1 message taken apart; nothing in it is verified yet."""

    protected: bytes
    unprotected: dict[Any, Any]
    payload: bytes
    signature: bytes


def to_be_signed(protected: bytes, payload: bytes) -> bytes:
    """The Sig_structure of RFC 9052, 4.4, with no external data."""
    return b"\x84\x6aSignature1" + _byte_string(protected) + b"\x40" + _byte_string(payload)


def sign(payload: bytes, key: PrivateKey) -> bytes:
    """A signed message whose protected header names Ed25519 and the key."""
    protected = canonical({_ALGORITHM: ED25519, _KEY_ID: key_id(key.public.raw)})
    signature = key.sign(to_be_signed(protected, payload))
    return canonical(cbor2.CBORTag(SIGN1_TAG, [protected, {}, payload, signature]))


def take_apart(message: bytes) -> Signed:
    """The four parts of a COSE_Sign1 message, whatever its headers say.

    Raises:
        Unreadable: If it is too long, not CBOR, not canonical, or not a COSE_Sign1.
    """
    usual = _usual(message) if len(message) <= LIMIT else None
    if usual is not None:
        return usual
    value = read_cbor(message)
    if not isinstance(value, cbor2.CBORTag) or value.tag != SIGN1_TAG:
        raise Unreadable("This is not a signed claim: no COSE_Sign1 message.", _REMEDY)
    parts = value.value
    if isinstance(parts, (list, tuple)) and len(parts) == 4 and isinstance(parts[1], Mapping):
        protected, unprotected, payload, signature = parts
        if set(map(type, (protected, payload, signature))) == {bytes}:
            return Signed(
                protected=protected,
                unprotected=dict(unprotected),
                payload=payload,
                signature=signature,
            )
    raise Unreadable("This is not a signed claim: its four parts are not there.", _REMEDY)


def key_named(signed: Signed) -> bytes:
    """The key id, 8 bytes, of a message with exactly the headers a claim may have.

    Raises:
        Unreadable: If a header is missing, unknown, of another type, or left unprotected.
    """
    if signed.protected.startswith(_USUAL_HEADER) and len(signed.protected) == _HEADER:
        header: Any = {_ALGORITHM: ED25519, _KEY_ID: signed.protected[len(_USUAL_HEADER) :]}
    else:
        header = read_cbor(signed.protected)
    if signed.unprotected or not isinstance(header, dict) or set(header) != {_ALGORITHM, _KEY_ID}:
        raise Unreadable("The claim's headers are not those of a certificate.", _REMEDY)
    algorithm, kid = header[_ALGORITHM], header[_KEY_ID]
    if type(algorithm) is not int or algorithm not in (ED25519, EDDSA):
        raise Unreadable("The claim is signed by an algorithm that is not Ed25519.", _REMEDY)
    if not isinstance(kid, bytes) or len(kid) != 8 or len(signed.signature) != _SIGNATURE:
        raise Unreadable("The claim's key id or signature has a wrong length.", _REMEDY)
    return kid


def verify(signed: Signed, public: bytes) -> None:
    """Check the signature against a public key of 32 bytes.

    Raises:
        Unreadable: If the headers are not those of a claim.
        Contradiction: If another key is named, or the signature does not hold.
    """
    if key_named(signed) != key_id(public):
        raise Contradiction("The claim names another key than the one it is checked with.")
    check_signature(signed, public)


def check_signature(signed: Signed, public: bytes) -> None:
    """Check the signature alone, whatever key the headers name.

    Raises:
        Contradiction: If it does not hold.
    """
    text = to_be_signed(signed.protected, signed.payload)
    _loaded(public).verify(signed.signature, text)


@lru_cache(maxsize=64)
def _loaded(public: bytes) -> PublicKey:
    """A key ready for use: whoever checks many codes uses the same few keys."""
    return PublicKey(public)


def canonical(value: object) -> bytes:
    """Canonical CBOR (RFC 8949, 4.2.1) of a value."""
    return cbor2.dumps(value, canonical=True)


def read_cbor(data: bytes) -> Any:
    """The value of canonical CBOR.

    Raises:
        Unreadable: If it is too long, damaged, has anything after it, or is not canonical.
    """
    if len(data) > LIMIT:
        raise Unreadable(f"A signed claim has at most {LIMIT} bytes; this has {len(data)}.")
    try:
        value = cbor2.loads(data)
        same = canonical(value) == data
    except _DAMAGES:
        raise Unreadable("The signed claim is damaged: it is not CBOR.", _REMEDY) from None
    if not same:
        raise Unreadable("The signed claim is not in its canonical form.", _REMEDY)
    return value


def _usual(message: bytes) -> Signed | None:
    """A message laid out as every claim that we sign, taken apart by place; else None.

    A phone checks codes by the hundred; decoding and encoding a message again, to see whether it is
    canonical, takes a tenth of the time of its signature.
    """
    protected, signature = message[_HEADER_AT : _HEADER_AT + _HEADER], message[-_SIGNATURE:]
    sized = message[_HEADER_AT + _HEADER + 1 : -_SIGNATURE - 2]
    payload = sized[2:] if sized[:1] == b"\x58" else sized[3:]
    # Put together again it must be the same: nothing else is in it, and every length is shortest.
    again = (_BEGINS, protected, b"\xa0", _byte_string(payload), b"\x58\x40", signature)
    if b"".join(again) != message or not protected.startswith(_USUAL_HEADER):
        return None
    return Signed(protected=protected, unprotected={}, payload=payload, signature=signature)


def _byte_string(data: bytes) -> bytes:
    """A byte string of canonical CBOR, at most 65,535 bytes (RFC 8949, 3.1, major type 2)."""
    size = len(data)
    if size < 24:
        return bytes((0x40 + size,)) + data
    if size < 256:
        return bytes((0x58, size)) + data
    return b"\x59" + size.to_bytes(2, "big") + data
