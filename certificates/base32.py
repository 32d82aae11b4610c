"""Base32 without padding (RFC 4648, section 6): how a printed code carries its signed claim.

In capitals, so that a code stays in its alphanumeric mode.  What no encoder writes is refused: a
length that no bytes have, and bits left over that are not empty.

>>> to_base32(b"foob"), from_base32("MZXW6YQ")
('MZXW6YQ', b'foob')
"""

from __future__ import annotations

import base64

from editions.errors import Unreadable

# The digits of base32 as Python counts in base 32; other figures are none of them.
_DIGITS = str.maketrans(
    "ABCDEFGHIJKLMNOPQRSTUVWXYZ2345670189", "0123456789abcdefghijklmnopqrstuv!!!!"
)


def to_base32(data: bytes) -> str:
    """Bytes as base32 in capitals, without padding."""
    return base64.b32encode(data).decode("ascii").rstrip("=")


def from_base32(text: str) -> bytes:
    """The bytes of base32 in capitals; the inverse of :func:`to_base32`.

    Raises:
        Unreadable: If no encoder writes it so.
    """
    bits = len(text) * 5
    left = bits % 8
    try:
        # Python would count a sign, a space, an underscore, small letters and other figures too.
        plain = text.isascii() and text.isalnum() and text == text.upper()
        number = int(text.translate(_DIGITS), 32) if plain else -1
    except ValueError:
        number = -1
    # An encoder leaves fewer bits than a character has, and leaves them empty.
    if number < 0 or left > 4 or number & ((1 << left) - 1):
        raise Unreadable("The signed claim in this code is damaged.", "Scan the code once more.")
    return (number >> left).to_bytes(bits // 8, "big")
