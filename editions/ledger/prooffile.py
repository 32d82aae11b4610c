"""A proof file: all that shows an entry to be in the book, as one text (C2SP tlog-proof).

::

    c2sp.org/tlog-proof@v1
    index 73894
    gSKyXoYZUgZ6jduWYrkDOARinOMGJveXjgMkBTcdPlQ=
    B95lDa8R83lS8n0eG+o0buTxRKQTYFi//1U8anccXmA=

    book.example
    109482
    ...

First the position of the entry, then the proof of inclusion, a hash a line from the leaf upward;
after an empty line the signed checkpoint as it was issued.  The standard's line ``extra`` is
refused, since nothing vouches for it.  The extension of such files is ``.tlog-proof``.
"""

from __future__ import annotations

from dataclasses import dataclass

from editions.errors import Unreadable
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.encodings import LARGEST, from_base64, from_decimal, to_base64
from editions.ledger.logkeys import LogKey
from editions.ledger.notes import LIMIT
from editions.ledger.tree import HASH, verify_inclusion

# A tree of 2^53 - 1 leaves has 53 levels.
MOST_HASHES = 53

_FIRST = "c2sp.org/tlog-proof@v1"
_INDEX = "index "


@dataclass(frozen=True, slots=True)
class ProofFile:
    """The position of an entry, its proof of inclusion, and a signed checkpoint that covers it.

    Raises:
        Unreadable: The position is out of bounds, or the hashes are too many or not 32 bytes.
    """

    index: int
    hashes: tuple[bytes, ...]
    checkpoint_note: str

    def __post_init__(self) -> None:
        if not 0 <= self.index < LARGEST or len(self.hashes) > MOST_HASHES:
            raise Unreadable(f"A proof file has a position and at most {MOST_HASHES} hashes.")
        if any(len(one) != HASH for one in self.hashes):
            raise Unreadable(f"A hash of a proof has {HASH} bytes.")

    def __str__(self) -> str:
        lines = [_FIRST, f"{_INDEX}{self.index}", *map(to_base64, self.hashes), "", ""]
        return "\n".join(lines) + self.checkpoint_note

    @classmethod
    def parse(cls, text: str) -> ProofFile:
        """Read a proof file; the inverse of ``str``.

        Raises:
            Unreadable: Not such a file; its checkpoint is read by :meth:`check`.
        """
        if len(text) > LIMIT:
            raise Unreadable(f"A proof file has at most {LIMIT} characters.")
        head, parted, note = text.partition("\n\n")
        first, *lines = head.split("\n")
        if first != _FIRST or not parted or not lines or not lines[0].startswith(_INDEX):
            raise Unreadable("This is not a proof file: its first lines are not there.")
        index = from_decimal(lines[0].removeprefix(_INDEX))
        return cls(index, tuple(from_base64(line, HASH) for line in lines[1:]), note)

    def check(self, leaf: bytes, key: LogKey) -> Checkpoint:
        """Return the checkpoint, once it is verified and the entry with this leaf hash is in it.

        Raises:
            Unreadable: The checkpoint is not a signed checkpoint.
            Contradiction: A signature does not hold, or the entry is not in the book.
        """
        checkpoint = open_checkpoint(self.checkpoint_note, key)
        verify_inclusion(leaf, self.index, checkpoint.size, self.hashes, checkpoint.root)
        return checkpoint
