r"""Signed notes (C2SP signed-note): text, a blank line, and one line for each signature.

::

    This is the text.

    — book.example l0ng…base64=

The text ends in a newline and is parted from the signatures by the last empty line.  A signature
line is an em dash, a space, the name of a key, a space, and base64 of the key's note id and its
signature.  Opening a note ignores the lines of keys that were not given, so that others may sign
too; a line of a given key must hold, and at least one must be there.  Nothing of a note is to be
believed before that.

What a key's signature is over depends on its type: type 0x01, here, is over the text itself; type
0x04 is that of :mod:`editions.ledger.cosign`.  Keys of all types open notes side by side.

>>> from editions.ledger.keys import PrivateKey
>>> key = PrivateKey(bytes(32))
>>> note = sign_note("A text.\n", "book.example", key)
>>> open_note(note, [VerifierKey("book.example", key.public.raw)])
OpenedNote(text='A text.\n', signed_by=('book.example',))
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from editions.errors import Contradiction, KeyUnusable, Unreadable
from editions.ledger.encodings import from_base64, to_base64
from editions.ledger.keys import (
    PrivateKey,
    PublicKey,
    note_id,
    public_text,
    read_public_text,
    require_name,
)

# The standard asks for 16 at least, of which post-quantum ones may have 5 kB each.
MOST_SIGNATURES = 32
LIMIT = 1 << 18

_ID = 4
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\ud800-\udfff]")
_LINE = re.compile(r"— (?P<name>[^\s+]+) (?P<signature>[A-Za-z0-9+/]+={0,2})")


class NoteKey(Protocol):
    """A key that is trusted under a name, of any type."""

    @property
    def name(self) -> str:
        """The name that stands on its lines."""
        ...

    @property
    def id(self) -> bytes:
        """Its note id, 4 bytes."""
        ...

    def check(self, text: str, signature: bytes) -> None:
        """Check its signature of a note's text, or raise ``Contradiction``."""
        ...


@dataclass(frozen=True, slots=True)
class VerifierKey:
    """An Ed25519 key (signature type 0x01) that is trusted under a name.

    Raises:
        KeyUnusable: The name or the key cannot be one.
    """

    name: str
    public: bytes

    def __post_init__(self) -> None:
        try:
            public_text(self.name, self.public)
        except Unreadable as fault:
            raise KeyUnusable(fault.message, fault.remedy) from None

    @property
    def id(self) -> bytes:
        """The key's note id, 4 bytes."""
        return note_id(self.name, self.public)

    def __str__(self) -> str:
        return public_text(self.name, self.public)

    @classmethod
    def parse(cls, text: str) -> VerifierKey:
        """Read a key from its public text; the inverse of ``str``.

        Raises:
            KeyUnusable: Not the text of an Ed25519 key.
        """
        return cls(*read_public_text(text))

    def check(self, text: str, signature: bytes) -> None:
        """Check the key's signature of a note's text.

        Raises:
            Contradiction: It does not hold.
        """
        try:
            PublicKey(self.public).verify(signature, text.encode())
        except Contradiction:
            raise Contradiction(f"The signature of {self.name} does not hold.") from None


@dataclass(frozen=True, slots=True)
class OpenedNote:
    """The text of a note, and the names of the given keys that signed it."""

    text: str
    signed_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoteLine:
    """One signature line: the name and the note id of its key, and what the key signed."""

    name: str
    id: bytes
    signature: bytes

    def __str__(self) -> str:
        return f"— {self.name} {to_base64(self.id + self.signature)}\n"

    def is_of(self, key: NoteKey) -> bool:
        """Tell whether the line says that it is this key's."""
        return self.name == key.name and self.id == key.id


def sign_note(text: str, name: str, private: PrivateKey) -> str:
    """Return the note of a text, signed by one key under a name.

    Raises:
        Unreadable: The text does not end in a newline or holds a control character, or the name
            cannot be a key's.
    """
    require_name(name)
    _require_text(text)
    line = NoteLine(name, note_id(name, private.public.raw), private.sign(text.encode()))
    return put_together(text, [line])


def open_note(note: str, keys: Sequence[NoteKey], limit: int = LIMIT) -> OpenedNote:
    """Return the text of a note, once every given key that signed it is verified.

    Args:
        note: The text, an empty line, signature lines.
        keys: The keys that are trusted; lines of others are ignored.
        limit: The greatest number of characters that the note may have.

    Raises:
        Unreadable: Not a signed note, or too long.
        Contradiction: None of the keys signed it, or the signature of one does not hold.
    """
    text, lines = take_apart(note, limit)
    signed_by: dict[str, None] = {}
    for line in lines:
        for key in keys:
            if line.is_of(key):
                key.check(text, line.signature)
                signed_by[key.name] = None
    if not signed_by:
        raise Contradiction(
            "The note is signed by none of the keys it is checked with.",
            "Compare the key's fingerprint with an independent place.",
        )
    return OpenedNote(text, tuple(signed_by))


def put_together(text: str, lines: Iterable[NoteLine]) -> str:
    """Return the note of a text and its signature lines; the inverse of :func:`take_apart`."""
    return "".join((text, "\n", *map(str, lines)))


def take_apart(note: str, limit: int = LIMIT) -> tuple[str, list[NoteLine]]:
    """Return the text and the signature lines of a note, none of them verified.

    Raises:
        Unreadable: Not a signed note, or too long.
    """
    if len(note) > limit:
        raise Unreadable(f"A signed note has at most {limit} characters.")
    before, parted, after = note.rpartition("\n\n")
    lines = after.split("\n")
    if not parted or lines.pop() != "":
        raise Unreadable("This is not a signed note: text, an empty line, signatures.")
    if not 1 <= len(lines) <= MOST_SIGNATURES:
        raise Unreadable(f"A signed note has 1 to {MOST_SIGNATURES} signatures.")
    text = before + "\n"
    _require_text(text)
    return text, [_line(line) for line in lines]


def named_value(note: str, name: str, line: str) -> str:
    """What a line of a note's text says under a name; ``note`` says of which note it is.

    Raises:
        Unreadable: If the line has another name, or says nothing.
    """
    before, parted, value = line.partition(" ")
    if not parted or before != name:
        raise Unreadable(f"{note} has a line '{name}' where another was found.")
    return value


def _line(line: str) -> NoteLine:
    found = _LINE.fullmatch(line)
    if not found:
        raise Unreadable("A signature line of the note cannot be read.")
    require_name(found["name"])
    data = from_base64(found["signature"])
    if len(data) <= _ID:
        raise Unreadable("A signature line of the note is too short.")
    return NoteLine(found["name"], data[:_ID], data[_ID:])


def _require_text(text: str) -> None:
    if not text.endswith("\n") or _CONTROL.search(text):
        raise Unreadable("The text of a note ends in a newline and holds no control character.")
