"""A private key under a passphrase: a text file of stated cost.

::

    bronzebook-locked-key-1
    scrypt N=131072 r=8 p=1
    salt <base64, 16 bytes>
    AES-256-GCM nonce <base64, 12 bytes>
    public <base64, 32 bytes>
    <base64, 48 bytes: the secret key and its tag>

The key of the cipher is scrypt (RFC 7914) of the passphrase, as UTF-8 in normalization form C, and
the salt.  The five lines before the secret are authenticated with it, so that none can be altered.
At the stated cost one guess takes 128 MiB and some tenths of a second; the usual encrypted PEM
takes 2,048 rounds of a hash and no memory.  The cost read from a file is bounded both ways: a file
can ask neither for all memory nor for a lock that is none.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Callable
from typing import NamedTuple

from editions.errors import KeyUnusable, Unreadable
from editions.ledger.encodings import from_base64, to_base64

LOWEST, HIGHEST = 1 << 10, 1 << 20
SALT, NONCE, PUBLIC, SECRET = 16, 12, 32, 48
BLOCK, LANES = 8, 1

_FORM = re.compile(
    r"(?P<header>bronzebook-locked-key-1\n"
    r"scrypt N=(?P<cost>[1-9][0-9]{3,6}) r=8 p=1\n"
    r"salt (?P<salt>\S{1,99})\n"
    r"AES-256-GCM nonce (?P<nonce>\S{1,99})\n"
    r"public (?P<public>\S{1,99})\n)"
    r"(?P<secret>\S{1,99})\n",
    re.ASCII,
)


class _Parts(NamedTuple):
    """The file taken apart; ``header`` is what the cipher authenticates."""

    header: bytes
    cost: int
    salt: bytes
    nonce: bytes
    public: bytes
    secret: bytes


def lock(
    seed: bytes, public: bytes, passphrase: str, random: Callable[[int], bytes], cost: int
) -> str:
    """Return the file of a secret key of 32 bytes.

    Raises:
        KeyUnusable: The passphrase is empty, or the cost is out of bounds.
    """
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    _require_cost(cost)
    salt, nonce = random(SALT), random(NONCE)
    header = (
        f"bronzebook-locked-key-1\nscrypt N={cost} r={BLOCK} p={LANES}\nsalt {to_base64(salt)}\n"
        f"AES-256-GCM nonce {to_base64(nonce)}\npublic {to_base64(public)}\n"
    )
    cipher = AESGCM(_derive(passphrase, salt, cost))
    return f"{header}{to_base64(cipher.encrypt(nonce, seed, header.encode()))}\n"


def unlock(text: str, passphrase: str) -> bytes:
    """Return the secret key of a file, 32 bytes.

    Raises:
        KeyUnusable: Not such a file, a wrong passphrase, or the file was altered.
    """
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    parts = _take_apart(text)
    cipher = AESGCM(_derive(passphrase, parts.salt, parts.cost))
    try:
        return cipher.decrypt(parts.nonce, parts.secret, parts.header)
    except InvalidTag:
        raise KeyUnusable(
            "The passphrase is wrong, or the key's file was altered.", "Type it once more."
        ) from None


def public_of(text: str) -> bytes:
    """Return the public key that a file names; **authenticated only by unlocking it**.

    Raises:
        KeyUnusable: Not such a file.
    """
    return _take_apart(text).public


def _take_apart(text: str) -> _Parts:
    found = _FORM.fullmatch(text)
    if not found:
        raise _foreign()
    cost = int(found["cost"])
    _require_cost(cost)
    try:
        return _Parts(
            header=found["header"].encode(),
            cost=cost,
            salt=from_base64(found["salt"], SALT),
            nonce=from_base64(found["nonce"], NONCE),
            public=from_base64(found["public"], PUBLIC),
            secret=from_base64(found["secret"], SECRET),
        )
    except Unreadable:
        raise _foreign() from None


def _foreign() -> KeyUnusable:
    return KeyUnusable("This is not a whole file of a locked key.", "Restore the safe copy.")


def _require_cost(cost: int) -> None:
    if not LOWEST <= cost <= HIGHEST or cost.bit_count() != 1:
        raise KeyUnusable(
            f"The cost N={cost} is not a power of two from {LOWEST} to {HIGHEST}.",
            "A key's file that asks for it was not written here.",
        )


def _derive(passphrase: str, salt: bytes, cost: int) -> bytes:
    """Return the cipher's key of 32 bytes."""
    try:
        secret = unicodedata.normalize("NFC", passphrase).encode()
    except UnicodeEncodeError:
        secret = b""
    if not secret:
        raise KeyUnusable("The passphrase is empty or cannot be read.", "Type it once more.")
    # RFC 7914, section 2: 128 bytes by r by N, and OpenSSL's own working space above it.
    memory = 128 * BLOCK * (cost + LANES + 2) + (1 << 20)
    try:
        return hashlib.scrypt(secret, salt=salt, n=cost, r=BLOCK, p=LANES, maxmem=memory, dklen=32)
    except (MemoryError, ValueError):
        raise KeyUnusable(
            f"The key's lock needs {memory >> 20} MiB of memory, which this machine does not give.",
            "Close other programs, or use a larger machine.",
        ) from None
