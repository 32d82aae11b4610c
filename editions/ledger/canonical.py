r"""Canonical bytes: one value, one sequence of bytes (RFC 8785, the JSON Canonicalization Scheme).

Of JSON only what a book needs: text, whole numbers, true, false, null, arrays and objects.  It is
stricter than the standard, so that two readers can never differ:

- no floating point; whole numbers within 2^53 - 1 either way;
- text is Unicode normalization form C, without lone surrogates;
- keys are ASCII, so that order by character and order by UTF-16 unit are the same;
- nesting ends at ``DEPTH``.

A tuple is written as an array.  Reading accepts only bytes that writing gives: no space, no other
escape, no duplicate key.

>>> canonical({"b": [1, None], "a": "Caf\u00e9"}).decode()
'{"a":"Café","b":[1,null]}'
>>> parse(b'{"a":1}')
{'a': 1}
"""

from __future__ import annotations

import unicodedata
from typing import Any

import msgspec

from editions.errors import Unreadable
from editions.ledger.encodings import LARGEST

LIMIT = 1 << 20
DEPTH = 32

_encoder = msgspec.json.Encoder(order="sorted")
_decoder = msgspec.json.Decoder()


def canonical(value: object) -> bytes:
    """Return the canonical bytes of a value.

    Raises:
        Unreadable: The value holds what the rules above leave out.
    """
    require_plain(value)
    return written(value)


def written(value: object) -> bytes:
    """Return the canonical bytes of a value that is known to be plain."""
    return _encoder.encode(value)


def parse(data: bytes, limit: int = LIMIT) -> Any:
    """Return the value of canonical bytes.

    Args:
        data: Bytes that :func:`canonical` gave.
        limit: The greatest number of bytes read.

    Raises:
        Unreadable: Too long, not JSON, not canonical, or holding what the rules leave out.
    """
    value = read_json(data, _decoder, limit)
    require_plain(value)
    require_same(value, data)
    return value


def read_json(data: bytes, decoder: msgspec.json.Decoder[Any], limit: int = LIMIT) -> Any:
    """Return what a decoder makes of bytes that may still not be canonical.

    Raises:
        Unreadable: Too long, not JSON, or not what the decoder expects.
    """
    if len(data) > limit:
        raise Unreadable(f"{len(data)} bytes are too many: at most {limit} are read.")
    try:
        return decoder.decode(data)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as fault:
        raise Unreadable(f"The bytes are not what was expected: {fault}.") from None


def require_same(value: object, data: bytes) -> None:
    """Check that a value is written as exactly these bytes; the value must be plain.

    Raises:
        Unreadable: The bytes are another spelling of the value.
    """
    if written(value) != data:
        raise Unreadable("The bytes are not in canonical form (RFC 8785).")


def require_plain(value: object, depth: int = DEPTH) -> None:
    """Check that a value holds only what may be written.

    Raises:
        Unreadable: It does not; the message says what was found.
    """
    kind = type(value)
    if kind is str:
        require_text(value)  # type: ignore[arg-type]
    elif kind is dict:
        _require_plain_object(value, depth)  # type: ignore[arg-type]
    elif kind is int:
        _require_small(value)  # type: ignore[arg-type]
    elif kind is list or kind is tuple:
        _require_depth(depth)
        for item in value:  # type: ignore[attr-defined]
            require_plain(item, depth - 1)
    elif value is not None and kind is not bool:
        raise Unreadable(f"A {kind.__name__} cannot be kept in the book.", "Give text instead.")


def require_text(text: str) -> None:
    """Check that text is normalized and whole.

    Raises:
        Unreadable: It is not in form C, or holds half of a character.
    """
    if text.isascii():
        return
    if not unicodedata.is_normalized("NFC", text):
        raise Unreadable("Text is not in Unicode normalization form C.")
    try:
        text.encode()
    except UnicodeEncodeError:
        raise Unreadable("Text holds half of a character (a lone surrogate).") from None


def _require_plain_object(value: dict[object, object], depth: int) -> None:
    _require_depth(depth)
    for key, item in value.items():
        if type(key) is not str or not key.isascii():
            raise Unreadable(f"The key {key!a} is not ASCII text.")
        require_plain(item, depth - 1)


def _require_small(number: int) -> None:
    if not -LARGEST <= number <= LARGEST:
        raise Unreadable("A whole number is greater than 2^53 - 1.", "Give it as text.")


def _require_depth(depth: int) -> None:
    if depth == 0:
        raise Unreadable(f"Values lie nested more than {DEPTH} deep.")
