"""Whether the entries behind a published site are still those that were published.

Growth is known by the index of what each entry touches; a byte altered behind the book's back
touches nothing.  So each publishing hashes every entry again and compares it with the tiles that
lie in the site, which never change.  What draws on an altered entry is made anew, and tells it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from editions.ledger.tiles import WIDTH, tiles_for
from editions.ledger.tree import HASH
from editions.store.connection import Connection
from editions.store.growth import leaves_of, touched_by


def altered(connection: Connection, folder: Path, size: int) -> set[str]:
    """The codes of what the altered entries among the first ``size`` touch.

    Where a tile is gone from the site there is nothing to compare with: it is written again, and
    an audit tells.
    """
    return touched_by(connection, _altered_positions(connection, folder, size))


def _altered_positions(connection: Connection, folder: Path, size: int) -> Iterator[int]:
    leaves = leaves_of(connection, 0, size)
    for start, published in _published(folder, size):
        made = list(islice(leaves, min(WIDTH, size - start)))
        if published is not None and b"".join(made) != published:
            yield from (
                start + at
                for at, leaf in enumerate(made)
                if leaf != published[at * HASH : (at + 1) * HASH]
            )


def _published(folder: Path, size: int) -> Iterator[tuple[int, bytes | None]]:
    """The first position and the bytes of each tile of leaves that covers a book of a size."""
    for tile in tiles_for(0, size):
        if tile.level == 0:
            path = folder / tile.path
            yield tile.index * WIDTH, path.read_bytes() if path.is_file() else None
