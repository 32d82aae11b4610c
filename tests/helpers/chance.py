"""A random source that a test can repeat: SHA-256 of a seed and a counter."""

from __future__ import annotations

from hashlib import sha256


class Chance:
    """Callable like ``os.urandom``: the same seed gives the same bytes in the same order.

    >>> Chance("a")(40) == Chance("a")(40) != Chance("b")(40)
    True
    """

    def __init__(self, seed: str = "bronze") -> None:
        self.seed = seed.encode()
        self.counter = 0

    def __call__(self, size: int) -> bytes:
        stream = bytearray()
        while len(stream) < size:
            stream += sha256(self.seed + self.counter.to_bytes(8, "big")).digest()
            self.counter += 1
        return bytes(stream[:size])
