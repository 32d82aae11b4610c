r"""An opening: one held field of one entry, shown to one person, in a file that anyone can check.

The bytes are canonical JSON of exactly these fields:

==========  ================================================================
``v``       1, the version of this form
``entry``   the canonical bytes of the entry, as text
``field``   the name of the held field
``value``   what was said, null where nothing was
``salt``    the 32 random bytes that were sealed with it, in hex
``proof``   the proof file of the entry (C2SP tlog-proof)
``log``     the public key that signed its checkpoint, as a verifier key
==========  ================================================================

Checking takes the two steps of :meth:`Opening.check`: salt, field and value hash to the digest that
the entry carries; the entry lies in the book that the log key signed.  The other held fields of the
entry stay shut.  The key within the file proves only that the file agrees with itself.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import msgspec

from editions.errors import Contradiction, Unreadable
from editions.ledger import held
from editions.ledger.canonical import canonical, parse
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.envelope import Entry, decode, leaf_of
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile

VERSION = 1
# An entry and the value each have a mebibyte at most, a proof a quarter; escapes may double a text.
LIMIT = 1 << 22

_SALT = re.compile(r"[0-9a-f]{64}")


class _Plain(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The fields as they stand in the file."""

    v: int
    entry: str
    field: str
    value: Any
    salt: str
    proof: str
    log: str


@dataclass(frozen=True, slots=True)
class Opening:
    """One held field of an entry, with what proves it; nothing of it is believed before a check."""

    entry: bytes
    field: str
    value: Any
    salt: bytes
    proof: ProofFile
    log: VerifierKey

    def to_bytes(self) -> bytes:
        """The file of this opening.

        Raises:
            Unreadable: The value cannot be kept.
        """
        return canonical(
            {
                "v": VERSION,
                "entry": self.entry.decode(),
                "field": self.field,
                "value": self.value,
                "salt": self.salt.hex(),
                "proof": str(self.proof),
                "log": str(self.log),
            }
        )

    @classmethod
    def from_bytes(cls, data: bytes) -> Opening:
        """Read the file of an opening; the inverse of :meth:`to_bytes`.

        Raises:
            Unreadable: Not such a file, or not in canonical form.
            KeyUnusable: The key in it is no key.
        """
        plain = _plain(data)
        if plain.v != VERSION or not _SALT.fullmatch(plain.salt):
            raise Unreadable("The opening is of another version, or its salt has not its form.")
        decode(plain.entry.encode())
        return cls(
            entry=plain.entry.encode(),
            field=plain.field,
            value=plain.value,
            salt=bytes.fromhex(plain.salt),
            proof=ProofFile.parse(plain.proof),
            log=VerifierKey.parse(plain.log),
        )

    def sealed(self) -> Entry:
        """The entry, once the value is seen to be what was sealed in it.

        Raises:
            Contradiction: The entry has no such held field, or another value was sealed.
            Unreadable: The entry's bytes are no entry.
        """
        entry = decode(self.entry)
        if self.field not in entry.held:
            raise Contradiction(f"The entry has no held field {self.field[:64]!a}.")
        if not held.opens(entry.held[self.field], self.field, self.value, self.salt):
            raise Contradiction(
                f"This is not what the entry sealed as {self.field}.",
                "The value, the salt or the entry was altered.",
            )
        return entry

    def placed(self, key: VerifierKey) -> Checkpoint:
        """The signed checkpoint, once the entry is seen to lie in the book that it is of.

        Raises:
            Contradiction: The key did not sign it, or the entry is not in the book.
            Unreadable: The checkpoint is not one.
        """
        return self.proof.check(leaf_of(self.entry), key)

    def check(self, log_key: VerifierKey) -> Checkpoint:
        """Check seal and place with a key that is trusted; return the checkpoint it rests on.

        Raises:
            Contradiction: Something does not agree, the key named in the file included.
            Unreadable: A part of it is not what it should be.
        """
        if self.log != log_key:
            raise Contradiction("The opening names another key of the book than the one given.")
        self.sealed()
        return self.placed(log_key)


def _plain(data: bytes) -> _Plain:
    try:
        return msgspec.convert(parse(data, LIMIT), _Plain)
    except msgspec.ValidationError as fault:
        raise Unreadable(f"This is not an opening: {fault}.") from None
