"""The note of ended keys: which keys sign no more, why, and from which place in the log on.

A key file says which keys there were, not what became of them.  The text of the note, which the log
key signs under the origin of the book::

    bronzebook-revocations-1
    origin book.example
    size 1042
    root CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=
    artist book.example/Y-0002+1f0c2a9d+AY… lost 412
    foundry book.example+7d3a90b1+AX… compromised 380
    count 2

A line is the use of a key, the key as the book names it, why it ended, and the first position in
the log that it does not sign; 0 is wholly.  Lines are in order of their text, each key once.  No
date stands in the note: what counts is a place, and so its bytes follow from the state of the book.
A note that was made before an entry says nothing of it: ask :meth:`Revocations.speaks_of`.  What it
says has ended has ended, however old it is.

>>> from editions.ledger.checkpoint import Checkpoint
>>> note = Revocations(Checkpoint("book.example", 5, bytes(32)))
>>> Revocations.parse(str(note)) == note, note.speaks_of(5), note.speaks_of(6)
(True, True, False)
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import get_args

from editions.errors import BronzebookError, Contradiction, Unreadable
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.encodings import from_base64, from_decimal, to_base64
from editions.ledger.keys import PrivateKey, key_id
from editions.ledger.logkeys import LogKey, LogKeys
from editions.ledger.notes import VerifierKey, named_value, open_note, sign_note, take_apart
from editions.ledger.tree import HASH
from editions.trade.parties import Ended, KeyUse

USES: tuple[KeyUse, ...] = get_args(KeyUse)
WORDS: tuple[Ended, ...] = get_args(Ended)

MOST_KEYS = 10_000
# A line has at most some 400 characters; the rest is for the head and the signatures.
LIMIT = 1 << 22

_FIRST = "bronzebook-revocations-1"
_HEAD = ("origin", "size", "root")
_value = partial(named_value, "A note of ended keys")
_LINE = re.compile(rf"({'|'.join(USES)}) (\S{{1,320}}) ({'|'.join(WORDS)}) (\d{{1,16}})", re.ASCII)


@dataclass(frozen=True, slots=True)
class KeyEnd:
    """A key that ended: its use, itself, why, and the first position that it does not sign."""

    use: KeyUse
    key: VerifierKey
    because: Ended
    start: int

    def __str__(self) -> str:
        return f"{self.use} {self.key} {self.because} {self.start}"

    @property
    def betrayed(self) -> bool:
        """Whether somebody else may hold it and sign with it whatever they like."""
        return self.because == "compromised"


@dataclass(frozen=True, slots=True)
class Revocations:
    """The state of a book, and every key of it that had ended by then.

    Raises:
        Unreadable: A line has not its form, they are too many, not in order, or of another book.
    """

    checkpoint: Checkpoint
    ended: tuple[KeyEnd, ...] = ()

    def __post_init__(self) -> None:
        if len(self.ended) > MOST_KEYS:
            raise Unreadable(f"A note of ended keys has at most {MOST_KEYS} keys.")
        for one in self.ended:
            _require_fits(one, self.checkpoint)
        if any(str(one) >= str(other) for one, other in pairwise(self.ended)):
            raise Unreadable("The keys of a note of ended keys are in order, each once.")
        if len({one.key.public for one in self.ended}) < len(self.ended):
            raise Unreadable("A note of ended keys names a key twice.")

    @classmethod
    def of(cls, checkpoint: Checkpoint, ended: Iterable[KeyEnd]) -> Revocations:
        """The note of these keys, put in order."""
        return cls(checkpoint, tuple(sorted(ended, key=str)))

    def __str__(self) -> str:
        state = self.checkpoint
        values = (state.origin, str(state.size), to_base64(state.root))
        head = (f"{name} {value}" for name, value in zip(_HEAD, values, strict=True))
        return "\n".join((_FIRST, *head, *map(str, self.ended), f"count {len(self.ended)}", ""))

    @classmethod
    def parse(cls, text: str) -> Revocations:
        """Read a note's text; the inverse of ``str``.

        Raises:
            Unreadable: Not such a text, or not in its one form.
        """
        if len(text) > LIMIT:
            raise Unreadable(f"A note of ended keys has at most {LIMIT} characters.")
        first, *lines = text.split("\n")
        if first != _FIRST or len(lines) < len(_HEAD) + 2 or lines.pop():
            raise Unreadable("This is not a note of ended keys: its first or last line is not so.")
        if from_decimal(_value("count", lines.pop())) != len(lines) - len(_HEAD):
            raise Unreadable("The count of the note of ended keys is not that of its lines.")
        origin, size, root = map(_value, _HEAD, lines)
        state = Checkpoint(origin, from_decimal(size), from_base64(root, HASH))
        return cls(state, tuple(map(_ended, lines[len(_HEAD) :])))

    def speaks_of(self, size: int) -> bool:
        """Tell whether the note knew the state of a book of this size."""
        return self.checkpoint.size >= size

    def named(self, kid: bytes) -> KeyEnd | None:
        """Return the line of a certifying key by the first 8 bytes of its fingerprint, or None."""
        of_foundry = (one for one in self.ended if one.use == "foundry")
        return next((one for one in of_foundry if key_id(one.key.public) == kid), None)

    def find(self, public: bytes) -> KeyEnd | None:
        """Return the line of a raw key of any use, or None."""
        return next((one for one in self.ended if one.key.public == public), None)


def sign_revocations(revocations: Revocations, private: PrivateKey) -> str:
    """Return the revocations as a note, signed under the origin of the book."""
    return sign_note(str(revocations), revocations.checkpoint.origin, private)


def open_revocations(note: str, key: LogKey) -> Revocations:
    """Return the revocations of a note, once the log's key is verified.

    Raises:
        Unreadable: Not a signed note of ended keys.
        Contradiction: The key did not sign it, it is of another book, or it says itself that this
            key signed no more by then.
    """
    if isinstance(key, LogKeys):
        key = key.at(Revocations.parse(take_apart(note, LIMIT)[0]).checkpoint.size)
    found = Revocations.parse(open_note(note, [key], LIMIT).text)
    state = found.checkpoint
    if state.origin != key.name:
        raise Contradiction(
            f"The note of ended keys is of the book {state.origin}, but the key is that of"
            f" {key.name}."
        )
    own = found.find(key.public)
    if own is not None and state.size > own.start:
        raise Contradiction("The note of ended keys is signed with a key that it says had ended.")
    return found


def _require_fits(one: KeyEnd, state: Checkpoint) -> None:
    """Refuse a line that no state of this book can have."""
    name, origin = one.key.name, state.origin
    own = name == origin if one.use != "artist" else name.startswith(f"{origin}/")
    if one.use not in USES or one.because not in WORDS or not own:
        raise Unreadable("A note of ended keys names keys of its own book, each with a known word.")
    if not 0 <= one.start < state.size:
        raise Unreadable("A key of the note ended at no place that lies in the book.")


def _ended(line: str) -> KeyEnd:
    found = _LINE.fullmatch(line)
    if not found:
        raise Unreadable("A line of the note of ended keys is not a use, a key, a word, a place.")
    use: KeyUse = found[1]  # type: ignore[assignment]  # the expression lists the uses alone
    word: Ended = found[3]  # type: ignore[assignment]  # and the words alone
    try:
        key = VerifierKey.parse(found[2])
    except BronzebookError as fault:
        raise Unreadable(f"A key of the note of ended keys: {fault.message}") from None
    return KeyEnd(use, key, word, from_decimal(found[4]))
