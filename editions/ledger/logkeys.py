"""The keys of a book's log through time: which of them signs the checkpoint of which size.

A log has one key at a time.  The entry at position N that admits the next one is covered by the
first checkpoint that the next one signs: sizes up to N are the old key's, from N + 1 on the new's.
All go under one name, the origin of the book.

>>> from editions.ledger.keys import PrivateKey
>>> old, new = (VerifierKey("book.example", PrivateKey(bytes([n] * 32)).public.raw) for n in (1, 2))
>>> keys = LogKeys(((0, old), (13, new)))
>>> keys.at(12) == old, keys.at(13) == new, keys.newest == new
(True, True, True)
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from editions.errors import Contradiction
from editions.ledger.notes import VerifierKey


@dataclass(frozen=True, slots=True)
class LogKeys:
    """Each key with the first size that it signs; the first of them from 0 on.

    Raises:
        Contradiction: There is none, they are out of order, or of two books.
    """

    keys: tuple[tuple[int, VerifierKey], ...]

    def __post_init__(self) -> None:
        starts = [start for start, _ in self.keys]
        if not starts or starts[0] != 0 or any(a >= b for a, b in pairwise(starts)):
            raise Contradiction("The keys of a log follow one another, the first from 0 on.")
        if len({key.name for _, key in self.keys}) != 1:
            raise Contradiction("The keys of a log go under the one name of its book.")

    @classmethod
    def only(cls, key: VerifierKey) -> LogKeys:
        """The keys of a log that never had another."""
        return cls(((0, key),))

    @property
    def name(self) -> str:
        """The origin of the book."""
        return self.newest.name

    @property
    def newest(self) -> VerifierKey:
        """The key that signs now."""
        return self.keys[-1][1]

    @property
    def first(self) -> VerifierKey:
        """The key of entry 0."""
        return self.keys[0][1]

    def at(self, size: int) -> VerifierKey:
        """The key that signs the checkpoint of a size."""
        return next(key for start, key in reversed(self.keys) if start <= max(size, 0))


LogKey = VerifierKey | LogKeys


def key_at(key: LogKey, size: int) -> VerifierKey:
    """The one key that must have signed at a size."""
    return key.at(size) if isinstance(key, LogKeys) else key
