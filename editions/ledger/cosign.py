r"""Cosignatures: a witness says which checkpoint of a book it has seen, and when (C2SP).

A cosignature is a line more on the note of a checkpoint (C2SP tlog-cosignature v1, signature type
0x04).  It is Ed25519 over two lines and the whole text of the note::

    cosignature/v1
    time 1679315147
    book.example
    20852163
    CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

and the line holds the key's note id, the time as 8 bytes, big-endian, and the signature, 64 bytes.
It says that at this time this was the largest consistent tree of the book that the witness had
seen; so it is made only of what :mod:`editions.ledger.witness` found to follow.  The signed text
does not name the witness: a key is used under one name.

>>> from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
>>> from editions.ledger.keys import PrivateKey
>>> key, log = PrivateKey(bytes(32)), PrivateKey(bytes([1] * 32))
>>> note = sign_checkpoint(Checkpoint("book.example", 1, bytes(32)), log)
>>> note = cosign(note, "witness.example", key, 1679315147)
>>> open_cosigned(note, CosignerKey("witness.example", key.public.raw)).seen
'2023-03-20T12:25:47Z'
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from editions.errors import Contradiction, KeyUnusable, Unreadable
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.encodings import from_base64, to_base64
from editions.ledger.keys import KEY, SIGNATURE, PrivateKey, PublicKey, require_name
from editions.ledger.moments import LATEST, to_moment
from editions.ledger.notes import NoteLine, open_note, put_together, take_apart

COSIGNATURE = b"\x04"

_TIME = 8


@dataclass(frozen=True, slots=True)
class CosignerKey:
    """An Ed25519 key of a witness (signature type 0x04), trusted under a name.

    Raises:
        KeyUnusable: The name or the key cannot be one.
    """

    name: str
    public: bytes

    def __post_init__(self) -> None:
        PublicKey(self.public)
        try:
            require_name(self.name)
        except Unreadable as fault:
            raise KeyUnusable(fault.message, fault.remedy) from None

    @property
    def id(self) -> bytes:
        """The key's note id, 4 bytes (C2SP tlog-cosignature)."""
        return sha256(self.name.encode() + b"\n" + COSIGNATURE + self.public).digest()[:4]

    def __str__(self) -> str:
        return f"{self.name}+{self.id.hex()}+{to_base64(COSIGNATURE + self.public)}"

    @classmethod
    def parse(cls, text: str) -> CosignerKey:
        """Read a key from its public text; the inverse of ``str``.

        Raises:
            KeyUnusable: Not the text of a witness's key, or its id is not the key's.
        """
        name, _, encoded = text.partition("+")
        try:
            key = cls(name, from_base64(encoded.partition("+")[2], 1 + KEY)[1:])
        except Unreadable:
            key = None
        if key is None or str(key) != text:
            raise KeyUnusable(
                "This is not the text of a witness's public key.", "Such as: name+1a2b3c4d+BX…"
            )
        return key

    def check(self, text: str, signature: bytes) -> None:
        """Check the time and the signature of one of the key's lines.

        Raises:
            Contradiction: It does not hold, or its time is out of bounds.
        """
        time, signed = _parts(signature)
        try:
            PublicKey(self.public).verify(signed, _message(text, time))
        except Contradiction:
            raise Contradiction(f"The cosignature of {self.name} does not hold.") from None


@dataclass(frozen=True, slots=True)
class Cosigned:
    """A checkpoint, and when a witness had seen it, in seconds since 1970."""

    checkpoint: Checkpoint
    time: int

    @property
    def seen(self) -> str:
        """The time as text, such as ``2026-11-24T10:00:00Z``."""
        return to_moment(self.time)


def cosign(note: str, name: str, private: PrivateKey, time: int) -> str:
    """Return the note of a checkpoint with a witness's line at its end.

    An older line of the same key gives way to it.

    Args:
        note: The note of a checkpoint; its other lines stay as they are, unread.
        name: The name of the witness.
        private: The key of the witness, used under no other name.
        time: Seconds since 1970.

    Raises:
        Unreadable: Not the note of a checkpoint, no room for a line more, or no such time.
        KeyUnusable: The name cannot be a witness's.
    """
    text, lines = take_apart(note)
    Checkpoint.parse(text)
    to_moment(time)
    key = CosignerKey(name, private.public.raw)
    signed = time.to_bytes(_TIME, "big") + private.sign(_message(text, time))
    others = [line for line in lines if not line.is_of(key)]
    return _with_room(put_together(text, [*others, NoteLine(name, key.id, signed)]))


def open_cosigned(note: str, key: CosignerKey) -> Cosigned:
    """Return the checkpoint of a note and the latest time at which a witness had seen it.

    Raises:
        Unreadable: Not the note of a checkpoint.
        Contradiction: The witness did not sign it, or a signature does not hold.
    """
    checkpoint = Checkpoint.parse(open_note(note, [key]).text)
    lines = take_apart(note)[1]
    return Cosigned(checkpoint, max(_parts(one.signature)[0] for one in lines if one.is_of(key)))


def gather(note: str, others: Sequence[str], keys: Sequence[CosignerKey]) -> str:
    """Return a note with the lines that these witnesses put on copies of it.

    What stands on the note stays; a copy gives only lines of the given keys, each verified and
    each once.

    Raises:
        Unreadable: One is no signed note, or there is no room for all lines.
        Contradiction: A copy has another text, or a line of a given key does not hold.
    """
    text, lines = take_apart(note)
    for other in others:
        other_text, other_lines = take_apart(other)
        if other_text != text:
            raise Contradiction("A witness's copy is not of the same checkpoint.")
        for line in other_lines:
            key = next((key for key in keys if line.is_of(key)), None)
            if key and line not in lines:
                key.check(text, line.signature)
                lines.append(line)
    return _with_room(put_together(text, lines))


def _with_room(note: str) -> str:
    """Return a note that can be read back; one with too many lines cannot."""
    take_apart(note)
    return note


def _message(text: str, time: int) -> bytes:
    return f"cosignature/v1\ntime {time}\n{text}".encode()


def _parts(signature: bytes) -> tuple[int, bytes]:
    """Return the time and the Ed25519 signature of a line.

    The standard lets verifiers refuse times to come; those after the year 9999 are.
    """
    time = int.from_bytes(signature[:_TIME], "big")
    if len(signature) != _TIME + SIGNATURE or time > LATEST:
        raise Contradiction("A cosignature has not its form: 8 bytes of time, 64 signed.")
    return time, signature[_TIME:]
