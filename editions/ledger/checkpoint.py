"""A checkpoint: the state of the book in three lines (C2SP tlog-checkpoint), signed as a note.

::

    book.example
    20852163
    CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

The origin names the book, and the log key signs under that name; then how many entries there are,
and the root of the tree over them.  The standard allows further lines; they are refused, since
nobody could audit what they say.
"""

from __future__ import annotations

from dataclasses import dataclass

from editions.errors import Contradiction, Unreadable
from editions.ledger.encodings import LARGEST, from_base64, from_decimal, to_base64
from editions.ledger.keys import PrivateKey, require_name
from editions.ledger.logkeys import LogKey, LogKeys
from editions.ledger.notes import open_note, sign_note, take_apart
from editions.ledger.tree import HASH, empty_root


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The origin of a book, how many entries it has, and the root over them, 32 bytes.

    Raises:
        Unreadable: The origin cannot name a key, or size and root cannot belong together.
    """

    origin: str
    size: int
    root: bytes

    def __post_init__(self) -> None:
        require_name(self.origin)
        if not 0 <= self.size <= LARGEST or len(self.root) != HASH:
            raise Unreadable("A checkpoint has a size of 0 or more and a root of 32 bytes.")
        if (self.size == 0) != (self.root == empty_root()):
            raise Unreadable("The size of the checkpoint and its root cannot belong together.")

    def __str__(self) -> str:
        return f"{self.origin}\n{self.size}\n{to_base64(self.root)}\n"

    @classmethod
    def parse(cls, text: str) -> Checkpoint:
        """Read a checkpoint from the text of a note; the inverse of ``str``.

        Raises:
            Unreadable: Not the three lines.
        """
        lines = text.split("\n")
        if len(lines) != 4 or lines[3]:
            raise Unreadable("A checkpoint has three lines: origin, size, root.")
        return cls(lines[0], from_decimal(lines[1]), from_base64(lines[2], HASH))


def sign_checkpoint(checkpoint: Checkpoint, private: PrivateKey) -> str:
    """Return the checkpoint as a note, signed under its origin."""
    return sign_note(str(checkpoint), checkpoint.origin, private)


def open_checkpoint(note: str, key: LogKey) -> Checkpoint:
    """Return the checkpoint of a note, once the log's key is verified.

    Args:
        note: The note.
        key: The log's key, or its keys through time: then the one that signs at this size.

    Raises:
        Unreadable: Not a signed checkpoint.
        Contradiction: The key did not sign it, or it is the checkpoint of another book.
    """
    if isinstance(key, LogKeys):
        key = key.at(Checkpoint.parse(take_apart(note)[0]).size)
    checkpoint = Checkpoint.parse(open_note(note, [key]).text)
    if checkpoint.origin != key.name:
        raise Contradiction(
            f"The checkpoint is of the book {checkpoint.origin}, but the key is that of {key.name}."
        )
    return checkpoint
