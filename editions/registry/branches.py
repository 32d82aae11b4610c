"""Paths through the tree for many entries at once: nodes are read in a few statements and kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from editions.errors import Contradiction
from editions.ledger.tree import HASH, Place, inclusion_proof
from editions.store import queries
from editions.store.connection import Connection

_IN_ONE_LOOK = 300


class Branches:
    """The nodes of a book's tree, each read at most once."""

    def __init__(self, connection: Connection) -> None:
        self._look = queries.node_reader(connection)
        self._known: dict[Place, bytes] = {}

    def read(self, places: Sequence[Place]) -> Sequence[bytes]:
        """The hashes at these places.

        Raises:
            Contradiction: If one is missing.
        """
        missing = [place for place in dict.fromkeys(places) if place not in self._known]
        for start in range(0, len(missing), _IN_ONE_LOOK):
            part = missing[start : start + _IN_ONE_LOOK]
            self._known.update(zip(part, self._look(part), strict=True))
        return [self._known[place] for place in places]

    def fetch(self, positions: Iterable[int], size: int) -> None:
        """Read every node that the paths of these entries will need.

        Raises:
            Contradiction: If one is missing, or an entry lies beyond the checkpoint.
        """
        wanted: dict[Place, None] = {}

        def note(places: Sequence[Place]) -> Sequence[bytes]:
            wanted.update(dict.fromkeys(places))
            return [bytes(HASH)] * len(places)

        for position in positions:
            if position >= size:
                raise Contradiction(f"Entry {position} lies under no signed checkpoint.")
            inclusion_proof(position, size, note)
        self.read(list(wanted))

    def path(self, position: int, size: int) -> list[bytes]:
        """The path from an entry to the root at a size."""
        return inclusion_proof(position, size, self.read)
