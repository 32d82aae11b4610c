r"""Public keys as text: what a paper carries in ``keys.txt``, and what a checker brings along.

One key a line: its use, one space, and a verifier key of a signed note (C2SP signed-note,
``name+id+base64``).  ``foundry`` keys sign claims, ``log`` keys sign checkpoints.  A key that came
with the paper proves only that the paper agrees with itself.

>>> key = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k"
>>> read_keys(f"log {key}\n")[0].verifier().name
'example.com/foo'
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Literal, get_args

import msgspec

from editions.errors import BronzebookError, KeyUnusable
from editions.ledger.keys import fingerprint
from editions.ledger.notes import VerifierKey

Use = Literal["foundry", "log"]

_LIMIT = 64 * 1024
_REMEDY = "Each line is 'foundry' or 'log', a space, and a key as name+id+base64."


class PublicKeyEntry(msgspec.Struct, frozen=True, kw_only=True):
    """A public key and what it may sign."""

    use: Use
    key: str

    def verifier(self) -> VerifierKey:
        """The key, read from its text."""
        return _parsed(self.key)

    def fingerprint(self) -> str:
        """SHA-256 of the raw key in groups of four, as a paper prints it."""
        return fingerprint(self.verifier().public)


@lru_cache(maxsize=256)
def _parsed(key: str) -> VerifierKey:
    """A key read once: whoever checks many papers brings the same few keys along."""
    return VerifierKey.parse(key)


def read_keys(text: str) -> tuple[PublicKeyEntry, ...]:
    """The keys in a key file; the inverse of :func:`write_keys`.

    Raises:
        KeyUnusable: If there is no key, or a line cannot be read; the line is named.
    """
    if len(text) > _LIMIT:
        raise KeyUnusable("The key file is too large.", _REMEDY)
    lines = text.removesuffix("\n").split("\n")
    return tuple(_read_line(at, line) for at, line in enumerate(lines, 1))


def write_keys(keys: Iterable[PublicKeyEntry]) -> str:
    """A key file, one key a line."""
    return "".join(f"{entry.use} {entry.key}\n" for entry in keys)


def _read_line(at: int, line: str) -> PublicKeyEntry:
    use, _, key = line.partition(" ")
    entry = PublicKeyEntry(use=_use(use, at), key=key)
    try:
        entry.verifier()
    except BronzebookError as fault:
        raise KeyUnusable(f"Line {at} of the key file: {fault.message}", _REMEDY) from None
    return entry


def _use(word: str, at: int) -> Use:
    for use in get_args(Use):
        if word == use:
            found: Use = use
            return found
    raise KeyUnusable(f"Line {at} of the key file does not begin with a use.", _REMEDY)
