"""The Merkle tree by its recursive definition (RFC 9162, 2.1), and nothing else.

Slow and plain on purpose: it keeps no node, and shares no line with what it checks.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from functools import cache


def hashed(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()


class NaiveTree:
    """A tree over entries; every range of leaves is hashed as the standard says."""

    def __init__(self, entries: Sequence[bytes]) -> None:
        self.entries = entries
        self.over = cache(self._over)

    def root(self, size: int) -> bytes:
        return self.over(0, size)

    def _over(self, low: int, high: int) -> bytes:
        if high == low:
            return hashed(b"")
        if high - low == 1:
            return hashed(b"\x00" + self.entries[low])
        middle = low + largest_power_below(high - low)
        return hashed(b"\x01" + self.over(low, middle) + self.over(middle, high))

    def inclusion(self, index: int, low: int, high: int) -> list[bytes]:
        """PATH(m, D_n) for the leaf ``index`` of all, within the leaves ``low`` to ``high``."""
        if high - low == 1:
            return []
        middle = low + largest_power_below(high - low)
        if index < middle:
            return [*self.inclusion(index, low, middle), self.over(middle, high)]
        return [*self.inclusion(index, middle, high), self.over(low, middle)]

    def consistency(self, old: int, low: int, high: int, *, whole: bool = True) -> list[bytes]:
        """SUBPROOF(m, D_n, b) for the first ``old`` of all leaves."""
        if old == high:
            return [] if whole else [self.over(low, high)]
        middle = low + largest_power_below(high - low)
        if old <= middle:
            return [*self.consistency(old, low, middle, whole=whole), self.over(middle, high)]
        return [*self.consistency(old, middle, high, whole=False), self.over(low, middle)]


def largest_power_below(width: int) -> int:
    power = 1
    while power * 2 < width:
        power *= 2
    return power
