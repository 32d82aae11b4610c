"""Whether the entries behind a published site are still those that were published.

Growth is known by the index of what each entry touches; a byte altered behind the book's back
touches nothing.  So each publishing hashes every entry of the book again.  Where all of them make
the root that the newest checkpoint signs, none was altered, and no page needs to ask again.  Where
they do not, they are compared with the tiles that lie in the site, which never change: what draws
on an altered entry is made anew, and tells it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from editions.ledger.tiles import WIDTH, tiles_for
from editions.ledger.tree import HASH, node_hash
from editions.pages.view import Room
from editions.store.growth import leaves_of, touched_by


def altered(room: Room, folder: Path, size: int) -> set[str]:
    """The codes of what the altered entries among the first ``size`` touch.

    Where a tile is gone from the site there is nothing to compare with: it is written again, and
    an audit tells.
    """
    connection, (newest, _) = room.desk.reading.connection, room.prover.newest()
    leaves = list(leaves_of(connection))
    if newest and newest.size == len(leaves) and newest.root == root_of(leaves):
        room.prover.hashed = True
        return set()
    return touched_by(connection, _altered(leaves, folder, size))


def root_of(leaves: Sequence[bytes]) -> bytes:
    """The root over leaf hashes, level by level (RFC 9162, 2.1.1); there must be one at least.

    Of an odd level the last hash goes up as it is: it is the root of a smaller complete tree.
    """
    level = list(leaves)
    while len(level) > 1:
        odd = level[-1:] if len(level) % 2 else []
        level = [*map(node_hash, level[::2], level[1::2]), *odd]
    return level[0]


def _altered(leaves: Sequence[bytes], folder: Path, size: int) -> Iterator[int]:
    for start, published in _published(folder, size):
        for at in range(start, min(start + len(published) // HASH, size)):
            place = (at - start) * HASH
            if leaves[at : at + 1] != [published[place : place + HASH]]:
                yield at


def _published(folder: Path, size: int) -> Iterator[tuple[int, bytes]]:
    """The first position and the bytes of each tile of leaves that covers a book of a size."""
    for tile in tiles_for(0, size):
        path = folder / tile.path
        if tile.level == 0 and path.is_file():
            yield tile.index * WIDTH, path.read_bytes()
