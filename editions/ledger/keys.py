"""Ed25519 keys (RFC 8032): signing, checking, fingerprints and the files keys are kept in.

A *fingerprint* is the SHA-256 of the 32 public bytes, printed for eyes; its first 8 bytes are the
*key id* of a claim.  The *public text* of a key is the verifier key of C2SP signed notes,
``name+note id+base64``, which is also how keys are published.

A private key lies in one of two files.  The log key must sign without anybody at hand: one plain
line, guarded by the file's mode.  The certifying key is locked under a passphrase, as
:mod:`editions.ledger.locked` writes it; :func:`lock_private` and :func:`unlock_private` do it.

>>> key = PrivateKey(bytes(32))
>>> key.public.verify(key.sign(b"text"), b"text")
>>> fingerprint(key.public.raw)[:14]
'139E 3940 E64B'
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from hashlib import sha256

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from editions.errors import Contradiction, KeyUnusable, Unreadable
from editions.ledger.encodings import from_base64, to_base64

Random = Callable[[int], bytes]

KEY = 32
SIGNATURE = 64
ED25519 = b"\x01"
COST = 1 << 17

# Edwards25519 (RFC 8032, 5.1): the prime, and the y of its eight points of small order as listed by
# Chalkias, Garillot and Nikolaenko, "Taming the many EdDSAs" (2020), table 1.
_PRIME = 2**255 - 19
_Y8 = int.from_bytes(
    bytes.fromhex("c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a"), "little"
)
_SMALL_ORDER = frozenset({0, 1, _PRIME - 1, _Y8, _PRIME - _Y8})

_PLAIN = "bronzebook-private-key-1"
_NAME = re.compile(r"[^\s+\x00-\x1f\x7f]{1,255}")


class PublicKey:
    """A public key, from its 32 bytes.

    Raises:
        KeyUnusable: They are not 32, or are a key under which anybody can sign anything.
    """

    __slots__ = ("_key", "raw")

    def __init__(self, raw: bytes) -> None:
        if len(raw) != KEY:
            raise KeyUnusable(f"A public key has {KEY} bytes; this one has {len(raw)}.")
        if _has_small_order(raw):
            raise KeyUnusable("This public key is no key: anybody could sign under it.")
        self.raw = bytes(raw)
        self._key = Ed25519PublicKey.from_public_bytes(self.raw)

    def verify(self, signature: bytes, message: bytes) -> None:
        """Check the signature of a message.

        Raises:
            Contradiction: It is not this key's signature of this message.
        """
        try:
            self._key.verify(signature, message)
        except InvalidSignature:
            raise Contradiction("The signature does not hold.") from None

    def __eq__(self, other: object) -> bool:
        return isinstance(other, PublicKey) and other.raw == self.raw

    def __hash__(self) -> int:
        return hash(self.raw)

    def __repr__(self) -> str:
        return f"PublicKey({fingerprint(self.raw)})"


class PrivateKey:
    """A private key, from its 32 secret bytes; never printed.

    Raises:
        KeyUnusable: They are not 32.
    """

    __slots__ = ("_key", "public", "seed")

    def __init__(self, seed: bytes) -> None:
        if len(seed) != KEY:
            raise KeyUnusable(f"A private key has {KEY} bytes; this one has {len(seed)}.")
        self.seed = bytes(seed)
        self._key = Ed25519PrivateKey.from_private_bytes(self.seed)
        self.public = PublicKey(self._key.public_key().public_bytes_raw())

    @classmethod
    def generate(cls, random: Random = os.urandom) -> PrivateKey:
        """Return a new key from a source of random bytes."""
        return cls(random(KEY))

    def sign(self, message: bytes) -> bytes:
        """Return the signature of a message, 64 bytes."""
        return self._key.sign(message)

    def __repr__(self) -> str:
        return f"PrivateKey(of {self.public!r})"


def _has_small_order(raw: bytes) -> bool:
    y = int.from_bytes(raw, "little") & ((1 << 255) - 1)
    return y % _PRIME in _SMALL_ORDER


def fingerprint(raw: bytes) -> str:
    """Return the SHA-256 of a public key in 16 groups of 4 hex digits, to be compared by eye."""
    digits = sha256(raw).hexdigest().upper()
    return " ".join(digits[at : at + 4] for at in range(0, 64, 4))


def key_id(raw: bytes) -> bytes:
    """Return the id by which a claim names its key: the first 8 bytes of the fingerprint."""
    return sha256(raw).digest()[:8]


def note_id(name: str, raw: bytes) -> bytes:
    """Return the id by which a signed note names a key, 4 bytes (C2SP signed-note)."""
    return sha256(name.encode() + b"\n" + ED25519 + raw).digest()[:4]


def require_name(name: str) -> None:
    """Check the name of a key: neither empty nor long, no space, plus or control character.

    Raises:
        Unreadable: It is not such a name (C2SP signed-note; the length of 255 is ours).
    """
    if not _NAME.fullmatch(name) or not _is_whole(name):
        raise Unreadable(f"{name[:40]!a} cannot be the name of a key.", "Such as: book.example")


def _is_whole(text: str) -> bool:
    return not any("\ud800" <= one <= "\udfff" for one in text)


def public_text(name: str, raw: bytes) -> str:
    """Return a public key as text: its name, note id and bytes.

    Raises:
        Unreadable: The name cannot be a key's.
        KeyUnusable: The key has not 32 bytes.
    """
    require_name(name)
    public = PublicKey(raw).raw
    return f"{name}+{note_id(name, public).hex()}+{to_base64(ED25519 + public)}"


def read_public_text(text: str) -> tuple[str, bytes]:
    """Return the name and the 32 bytes of a public key's text.

    Raises:
        KeyUnusable: Not the text of an Ed25519 key, or its id is not the key's.
    """
    name, first, rest = text.partition("+")
    _, second, encoded = rest.partition("+")
    try:
        raw = from_base64(encoded, 1 + KEY)[1:]
        whole = bool(first and second) and public_text(name, raw) == text
    except Unreadable:
        whole = False
    if not whole:
        raise KeyUnusable("This is not the text of a public key.", "Such as: name+1a2b3c4d+AX…")
    return name, raw


def dump_private(private: PrivateKey) -> str:
    """Return the plain file of a private key: its bytes, and the id of its public key."""
    return f"{_PLAIN} {to_base64(private.seed)} {key_id(private.public.raw).hex()}\n"


def load_private(text: str) -> PrivateKey:
    """Return the key of a plain file.

    Raises:
        KeyUnusable: Not such a file, or the key was damaged.
    """
    words = text.split(" ")
    try:
        private = PrivateKey(from_base64(words[1], KEY)) if len(words) == 3 else None
    except Unreadable:
        private = None
    if private is None or dump_private(private) != text:
        raise KeyUnusable("This is not a whole file of a private key.", "Restore the safe copy.")
    return private


def lock_private(
    private: PrivateKey, passphrase: str, random: Random = os.urandom, cost: int = COST
) -> str:
    """Return the file of a private key locked under a passphrase.

    Args:
        private: The key.
        passphrase: Any text but none; compared in Unicode normalization form C.
        random: The source of the salt and the nonce.
        cost: N of scrypt (RFC 7914), a power of two; memory is 1 kB times N.

    Raises:
        KeyUnusable: The passphrase is empty, or the cost is out of bounds.
    """
    from editions.ledger import locked

    return locked.lock(private.seed, private.public.raw, passphrase, random, cost)


def unlock_private(text: str, passphrase: str) -> PrivateKey:
    """Return the key of a locked file.

    Raises:
        KeyUnusable: Not such a file, a wrong passphrase, or the file was altered.
    """
    from editions.ledger import locked

    private = PrivateKey(locked.unlock(text, passphrase))
    if private.public.raw != locked.public_of(text):
        raise KeyUnusable("The locked key is not the one its file names.")
    return private
