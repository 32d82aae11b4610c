"""Keys and signatures as the text that credentials write them in.

*Base58btc* (draft-msporny-base58) writes bytes as digits to base 58, a zero byte in front as ``1``.
*Multibase* puts ``z`` before it.  A *multikey* is the multibase of the multicodec ``ed01`` and the
32 bytes of an Ed25519 key.  A *did:key* is the multikey behind ``did:key:``; it names its one key
again after ``#``, which is the *method* that a proof gives.

Each text has one spelling: what is accepted is written again the same.

>>> to_base58(b"Hello World!")
'2NEpo7TZRRrLZSi2U'
>>> from_did("did:key:z6MkiTBz1ymuepAQ4HEHYSF1H8quG5GLVVQR3djdX3mDooWp").hex()[:8]
'3b6a27bc'
"""

from __future__ import annotations

from editions.errors import Unreadable

ALPHABET = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"
DID = "did:key:"
KEY = 32

# Reading costs the square of the length; a signature has 88 characters.
LIMIT = 256

_ED25519 = b"\xed\x01"
_VALUES = {letter: value for value, letter in enumerate(ALPHABET)}


def to_base58(data: bytes) -> str:
    """Return the bytes in base58btc."""
    number, digits = int.from_bytes(data, "big"), ""
    while number:
        number, rest = divmod(number, 58)
        digits = ALPHABET[rest] + digits
    return "1" * (len(data) - len(data.lstrip(b"\0"))) + digits


def from_base58(text: str) -> bytes:
    """Return the bytes of base58btc text.

    Raises:
        Unreadable: Longer than ``LIMIT``, or a letter outside the alphabet.
    """
    if len(text) > LIMIT:
        raise Unreadable(f"At most {LIMIT} characters of base58 are read; these are {len(text)}.")
    number = 0
    for letter in text:
        if letter not in _VALUES:
            raise Unreadable(f"{letter!a} is no letter of base58.")
        number = number * 58 + _VALUES[letter]
    zeros = len(text) - len(text.lstrip("1"))
    return bytes(zeros) + number.to_bytes((number.bit_length() + 7) // 8, "big")


def to_multibase(data: bytes) -> str:
    """Return the bytes as multibase text, in base58btc."""
    return f"z{to_base58(data)}"


def from_multibase(text: str) -> bytes:
    """Return the bytes of multibase text.

    Raises:
        Unreadable: Of another base than base58btc, or not written in it.
    """
    if not text.startswith("z"):
        raise Unreadable("The text is not in base58btc: it does not begin with z.")
    return from_base58(text[1:])


def to_multikey(raw: bytes) -> str:
    """Return an Ed25519 public key of 32 bytes as a multikey."""
    return to_multibase(_ED25519 + raw)


def from_multikey(text: str) -> bytes:
    """Return the 32 bytes of an Ed25519 multikey.

    Raises:
        Unreadable: Not a multikey, or one of another sort of key.
    """
    data = from_multibase(text)
    if len(data) != len(_ED25519) + KEY or not data.startswith(_ED25519):
        raise Unreadable("The text names no Ed25519 key.")
    return data[len(_ED25519) :]


def to_did(raw: bytes) -> str:
    """Return the did:key of an Ed25519 public key of 32 bytes."""
    return DID + to_multikey(raw)


def from_did(text: str) -> bytes:
    """Return the 32 bytes of the Ed25519 key that a did:key names.

    Raises:
        Unreadable: Not a did:key, or one of another sort of key.
    """
    if not text.startswith(DID):
        raise Unreadable("The text is not a did:key.")
    return from_multikey(text.removeprefix(DID))


def to_method(raw: bytes) -> str:
    """Return the verification method of a key: its did:key, ``#``, and the multikey again."""
    return f"{to_did(raw)}#{to_multikey(raw)}"


def from_method(text: str) -> bytes:
    """Return the 32 bytes of the key that a verification method names.

    Raises:
        Unreadable: Not the method of a did:key, or its two halves name different keys.
    """
    did, _, fragment = text.partition("#")
    raw = from_did(did)
    if fragment != to_multikey(raw):
        raise Unreadable("The two halves of the verification method differ.")
    return raw
