r"""Base64 and decimals in the one spelling that each value has.

Base64 is that of RFC 4648, section 4, with padding and with zero trailing bits; a decimal has no
sign and no leading zero.  Whatever is accepted is written again as the same text.

>>> to_base64(bytes(3)), from_base64("AAAA"), from_decimal("10")
('AAAA', b'\x00\x00\x00', 10)
"""

from __future__ import annotations

import base64
import binascii
import re

from editions.errors import Unreadable

# Greatest integer that every JSON reader keeps exactly (RFC 8785, appendix D, after RFC 7493).
LARGEST = 2**53 - 1

_DECIMAL = re.compile(r"0|[1-9][0-9]{0,15}", re.ASCII)


def to_base64(data: bytes) -> str:
    """Return the bytes as base64."""
    return base64.b64encode(data).decode("ascii")


def from_base64(text: str, length: int | None = None) -> bytes:
    """Return the bytes of base64 text, exactly ``length`` of them where it is given.

    Raises:
        Unreadable: Not base64, not in its one spelling, or of another length.
    """
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise Unreadable("A line that should be base64 is not.") from None
    if to_base64(data) != text:
        raise Unreadable("A line of base64 is not in its one spelling.")
    if length is not None and len(data) != length:
        raise Unreadable(f"A line of base64 holds {len(data)} bytes where {length} belong.")
    return data


def from_decimal(text: str) -> int:
    """Return the whole number that the text writes.

    Raises:
        Unreadable: Not a decimal without sign or leading zero, or greater than ``LARGEST``.
    """
    if not _DECIMAL.fullmatch(text) or int(text) > LARGEST:
        raise Unreadable("A number is not written as a plain decimal.")
    return int(text)
