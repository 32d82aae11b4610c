"""The status note: which certificates no longer stand, signed and dated by the book.

A tree cannot prove that nothing was withdrawn since; somebody must say so, with a date.  The text
of the note, which the log key signs under the origin of the book::

    bronzebook-status-1
    origin book.example
    issued 2026-11-24T10:00:00Z
    size 1042
    root CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=
    3c1d…64 hex digits… withdrawn 2026-11-02
    a90f…64 hex digits… stolen 2026-08~
    count 2

A certificate is named by the leaf of its issuing entry and by nothing else: who does not hold the
paper learns no number and no name.  Lines are in order of the leaf, each leaf once.  A note that
was made before a certificate was issued says nothing of it: ask :meth:`StatusNote.speaks_of` first,
since ``standing_of`` gives None for what the note never knew as well as for what stands.

>>> from editions.ledger.checkpoint import Checkpoint
>>> note = StatusNote(Checkpoint("book.example", 5, bytes(32)), "2026-11-24T10:00:00Z",
...     (Ended(bytes(32), "withdrawn", "2026-11"),))
>>> note.standing_of(bytes(32)), StatusNote.parse(str(note)) == note
('withdrawn', True)
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Literal, get_args

from editions.errors import Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.encodings import from_base64, from_decimal, to_base64
from editions.ledger.keys import PrivateKey
from editions.ledger.logkeys import LogKey, LogKeys
from editions.ledger.moments import from_moment
from editions.ledger.notes import named_value, open_note, sign_note, take_apart
from editions.ledger.tree import HASH
from editions.trade.dates import read_when

Word = Literal["withdrawn", "replaced", "lost", "stolen", "disputed", "lapsed"]
WORDS: tuple[Word, ...] = get_args(Word)

MOST_ENDED = 100_000
# A line has at most 99 characters; the rest is for the head and the signatures.
LIMIT = 1 << 24

_FIRST = "bronzebook-status-1"
_HEAD = ("origin", "issued", "size", "root")
_value = partial(named_value, "A status note")
_LINE = re.compile(rf"([0-9a-f]{{64}}) ({'|'.join(WORDS)}) ([0-9X~?%./-]{{1,23}})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Ended:
    """A certificate that no longer stands: its issuing leaf, how it ended, and when (EDTF)."""

    leaf: bytes
    word: Word
    on: str

    def __str__(self) -> str:
        return f"{self.leaf.hex()} {self.word} {self.on}"


@dataclass(frozen=True, slots=True)
class StatusNote:
    """The state of a book, when this was said of it, and the certificates that no longer stand.

    Raises:
        Unreadable: A line has not its form, they are too many, or not in order of the leaf.
    """

    checkpoint: Checkpoint
    issued: str
    ended: tuple[Ended, ...] = ()

    def __post_init__(self) -> None:
        from_moment(self.issued)
        if len(self.ended) > MOST_ENDED:
            raise Unreadable(f"A status note has at most {MOST_ENDED} certificates.")
        if any(len(one.leaf) != HASH or one.word not in WORDS for one in self.ended):
            raise Unreadable(f"A status note names a leaf of {HASH} bytes and one of its words.")
        if any(one.leaf >= other.leaf for one, other in pairwise(self.ended)):
            raise Unreadable("The certificates of a status note are in order, each once.")
        # Dates repeat: each is read once.
        for when in {one.on for one in self.ended}:
            if read_when(when) != when:
                raise Unreadable("A date of a status note is not as it is kept.")

    def __str__(self) -> str:
        state = self.checkpoint
        values = (state.origin, self.issued, str(state.size), to_base64(state.root))
        head = (f"{name} {value}" for name, value in zip(_HEAD, values, strict=True))
        lines = (_FIRST, *head, *map(str, self.ended), f"count {len(self.ended)}", "")
        return "\n".join(lines)

    @classmethod
    def parse(cls, text: str) -> StatusNote:
        """Read a status note's text; the inverse of ``str``.

        Raises:
            Unreadable: Not such a text, or not in its one form.
        """
        if len(text) > LIMIT:
            raise Unreadable(f"A status note has at most {LIMIT} characters.")
        first, *lines = text.split("\n")
        if first != _FIRST or len(lines) < 6 or lines.pop():
            raise Unreadable("This is not a status note: its first and last lines are not there.")
        count = from_decimal(_value("count", lines.pop()))
        if count != len(lines) - len(_HEAD):
            raise Unreadable("The count of the status note is not that of its lines.")
        values = map(_value, _HEAD, lines)
        origin, issued, size, root = values
        checkpoint = Checkpoint(origin, from_decimal(size), from_base64(root, HASH))
        return cls(checkpoint, issued, tuple(map(_ended, lines[len(_HEAD) :])))

    def standing_of(self, leaf: bytes) -> Word | None:
        """Return how the certificate of an issuing leaf ended, or None where it is not named."""
        one = self.find(leaf)
        return one.word if one else None

    def find(self, leaf: bytes) -> Ended | None:
        """Return the line of an issuing leaf, or None."""
        at = bisect_left(self.ended, leaf, key=lambda one: one.leaf)
        if at < len(self.ended) and self.ended[at].leaf == leaf:
            return self.ended[at]
        return None

    def speaks_of(self, claim_size: int) -> bool:
        """Tell whether the note knew a certificate issued under a checkpoint of this size."""
        return self.checkpoint.size >= claim_size

    def is_newer_than(self, other: StatusNote) -> bool:
        """Tell whether this note was issued after another of the same book.

        Raises:
            Contradiction: They are of two books, or cannot both be true: the later one speaks of
                fewer entries, or two roots stand at one size.
        """
        mine, its = self.checkpoint, other.checkpoint
        if mine.origin != its.origin:
            raise Contradiction(f"Two status notes are of two books: {mine.origin}, {its.origin}.")
        if mine.size == its.size and mine.root != its.root:
            raise Contradiction("Two status notes of one size have two roots: the book was forked.")
        time, its_time = from_moment(self.issued), from_moment(other.issued)
        if (time - its_time) * (mine.size - its.size) < 0:
            raise Contradiction("Of two status notes the later one speaks of fewer entries.")
        return (time, mine.size) > (its_time, its.size)


def sign_status(status: StatusNote, private: PrivateKey) -> str:
    """Return the status as a note, signed under the origin of the book."""
    return sign_note(str(status), status.checkpoint.origin, private)


def open_status(note: str, key: LogKey) -> StatusNote:
    """Return the status of a note, once the log's key is verified.

    Raises:
        Unreadable: Not a signed status note.
        Contradiction: The key did not sign it, or it is the status of another book.
    """
    if isinstance(key, LogKeys):
        key = key.at(StatusNote.parse(take_apart(note, LIMIT)[0]).checkpoint.size)
    status = StatusNote.parse(open_note(note, [key], LIMIT).text)
    origin = status.checkpoint.origin
    if origin != key.name:
        raise Contradiction(
            f"The status note is of the book {origin}, but the key is that of {key.name}."
        )
    return status


def _ended(line: str) -> Ended:
    found = _LINE.fullmatch(line)
    if not found:
        raise Unreadable("A line of the status note is not a leaf, a word and a date.")
    word: Word = found[2]  # type: ignore[assignment]  # the expression lists the words alone
    return Ended(bytes.fromhex(found[1]), word, found[3])
