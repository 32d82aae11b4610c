"""Held facts: sealed in the entry, kept beside it, opened or erased one by one.

The entry carries, for every held field of its kind, the digest ``SHA-256(salt || value)``: the salt
is 32 random bytes, the value is the canonical bytes of ``[field, value]``.  Absence is sealed as
null, so that it does not show; equal values do not show, since every salt is new; the field's name
lies under the seal, so that one field cannot be shown as another.  Erasing destroys value and salt:
the digest stays in the book and opens no more.

>>> digest = seal("price", "12000", bytes(32))
>>> opens(digest, "price", "12000", bytes(32)), opens(digest, "price", "9000", bytes(32))
(True, False)
"""

from __future__ import annotations

import hashlib
import hmac

from editions.errors import Unreadable
from editions.ledger.canonical import canonical

SALT = 32


def seal(field: str, value: object, salt: bytes) -> str:
    """Return the digest that an entry carries for a held field, in hex.

    Args:
        field: The name of the field.
        value: Its value, or None where nothing was said.
        salt: 32 random bytes, used once.

    Raises:
        Unreadable: The value cannot be kept, or the salt is not 32 bytes.
    """
    if len(salt) != SALT:
        raise Unreadable(f"A salt has {SALT} bytes; this one has {len(salt)}.")
    return hashlib.sha256(salt + canonical([field, value])).hexdigest()


def opens(digest: str, field: str, value: object, salt: bytes) -> bool:
    """Tell whether the value and salt are those that were sealed.

    Raises:
        Unreadable: The value cannot be kept, or the salt is not 32 bytes.
    """
    return hmac.compare_digest(digest.encode(), seal(field, value, salt).encode())
