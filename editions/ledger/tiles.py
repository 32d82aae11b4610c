"""Tiles: the tree as files that never change (C2SP tlog-tiles), for proofs without a server.

A tile holds up to 256 hashes of one level of tiles, 32 bytes each and nothing else.  Those of level
0 are leaf hashes; each hash of a level above is the root over one *full* tile below, so a tile
stands for eight levels of the tree and the levels between are computed.  A full tile has 256
hashes; what the right edge of a tree leaves over is a *partial* tile, whose path tells its width:

==========================  ============================================
``tile/0/000``              the first full tile of leaf hashes
``tile/0/x001/x234/067``    the tile with the index 1,234,067
``tile/1/000.p/17``         a partial tile, 17 hashes wide, of level 1
==========================  ============================================

Tiles are published before the checkpoint that needs them.  A reader knows the size, and best the
root, of a checkpoint whose signature was verified: the standard lets nobody ask for a partial tile
otherwise.  A log may take a partial tile away once the full one is there; the reader then takes the
full one.  Entries themselves are never published.

>>> [tile.path for tile in tiles_for(0, 257)]
['tile/0/000', 'tile/0/001.p/1', 'tile/1/000.p/1']
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from editions.errors import Contradiction, NotKnown, Unreadable
from editions.ledger.encodings import LARGEST
from editions.ledger.tree import HASH, Frontier, Place, Read, node_hash

# Levels of the tree that a tile stands for, and the hashes of a full one (C2SP tlog-tiles).
HEIGHT = 8
WIDTH = 1 << HEIGHT
MOST_LEVELS = 64

Fetch = Callable[[str], bytes]
"""Returns what lies at a tile's path; raises ``NotKnown`` where nothing does."""

_PATH = re.compile(
    r"tile/(?P<level>[0-9]{1,2})/(?P<index>(?:x[0-9]{3}/){0,5}[0-9]{3})(?:\.p/(?P<width>[0-9]{1,3}))?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Tile:
    """A tile's level, its index within the level, and how many hashes it holds.

    Raises:
        Unreadable: There can be no such tile.
    """

    level: int
    index: int
    width: int = WIDTH

    def __post_init__(self) -> None:
        if not (0 <= self.level < MOST_LEVELS and 0 <= self.index <= LARGEST):
            raise Unreadable("A tile has a level of 0 to 63 and an index of 0 or more.")
        if not 1 <= self.width <= WIDTH:
            raise Unreadable(f"A tile holds 1 to {WIDTH} hashes.")

    @property
    def path(self) -> str:
        """Where the tile is published, below the address of the book."""
        groups = [f"{self.index % 1000:03d}"]
        rest = self.index // 1000
        while rest:
            groups.insert(0, f"x{rest % 1000:03d}")
            rest //= 1000
        partial = "" if self.width == WIDTH else f".p/{self.width}"
        return f"tile/{self.level}/{'/'.join(groups)}{partial}"

    @classmethod
    def parse(cls, path: str) -> Tile:
        """Read a tile from its path; the inverse of :attr:`path`.

        Raises:
            Unreadable: Not the path of a tile, or not its one spelling.
        """
        found = _PATH.fullmatch(path)
        if not found:
            raise Unreadable("This is not the path of a tile.", "Such as tile/0/x001/234.p/17")
        index = int(re.sub("[x/]", "", found["index"]))
        tile = cls(int(found["level"]), index, int(found["width"] or WIDTH))
        if tile.path != path:
            raise Unreadable("The path of a tile is not in its one spelling.")
        return tile


def tiles_for(old_size: int, new_size: int) -> list[Tile]:
    """Return the tiles that are new or wider when a tree grows, lowest level first.

    Raises:
        Contradiction: The sizes are negative, or the tree would shrink.
    """
    if not 0 <= old_size <= new_size:
        raise Contradiction(f"A book of {old_size} entries does not grow to {new_size}.")
    tiles, level = list[Tile](), 0
    while new_size:
        if new_size > old_size:
            last = (new_size - 1) // WIDTH
            tiles += [
                Tile(level, index, min(WIDTH, new_size - index * WIDTH))
                for index in range(old_size // WIDTH, last + 1)
            ]
        old_size, new_size, level = old_size // WIDTH, new_size // WIDTH, level + 1
    return tiles


def tile_bytes(tile: Tile, read: Read) -> bytes:
    """Return what a tile holds, from stored nodes, asked for at once.

    Raises:
        Contradiction: A stored node is missing.
    """
    first, level = tile.index * WIDTH, tile.level * HEIGHT
    hashes = read([(level, first + at) for at in range(tile.width)])
    if len(hashes) != tile.width or any(len(one) != HASH for one in hashes):
        raise Contradiction(f"The nodes of {tile.path} are not all in the store.")
    return b"".join(hashes)


class TileReader:
    """Reads nodes of the tree from tiles, for the proofs of :mod:`editions.ledger.tree`.

    With a root, every tile is checked before it is used: those of the right edge make the root,
    and each full one makes its hash in the tile above.  A fault of the tiles is then told apart
    from a fault of the book.  Without one, a proof must show for itself what it was made from.

    Args:
        fetch: Returns what lies at a path; raises ``NotKnown`` where nothing does.
        size: The size of a checkpoint that was verified.
        root: Its root.
    """

    __slots__ = ("_checked", "_edge_holds", "_fetch", "_tiles", "root", "size")

    def __init__(self, fetch: Fetch, size: int, root: bytes | None = None) -> None:
        self.size, self.root = size, root
        self._fetch = fetch
        self._tiles: dict[Tile, bytes] = {}
        self._checked: set[Tile] = set()
        self._edge_holds = root is None

    def __call__(self, places: Sequence[Place]) -> list[bytes]:
        """Return the hashes of complete nodes.

        Raises:
            Contradiction: The tree has no such node, or the tiles do not make its root.
            Unreadable: A tile has not its length.
            NotKnown: A tile is not there.
        """
        self.check()
        return [self._node(*place) for place in places]

    def check(self) -> None:
        """Check that the tiles of the right edge make the root, where one was given.

        Raises:
            Contradiction: They do not.
            Unreadable: A tile has not its length.
            NotKnown: A tile is not there.
        """
        if self._edge_holds:
            return
        frontier = Frontier.from_nodes(
            self.size, lambda places: [self._unchecked(*place) for place in places]
        )
        if frontier.root() != self.root:
            raise Contradiction("The tiles do not make the root of their checkpoint.")
        self._edge_holds = True

    def _node(self, level: int, index: int) -> bytes:
        if min(level, index) < 0 or (index + 1) << level > self.size:
            raise Contradiction(
                f"A tree of {self.size} leaves has no node {index} of level {level}."
            )
        if self.root is not None:
            self._require_checked(self._tile_over(level, index))
        return self._unchecked(level, index)

    def _unchecked(self, level: int, index: int) -> bytes:
        tile = self._tile_over(level, index)
        below = level % HEIGHT
        start = (index << below) % WIDTH * HASH
        return _over(self._held(tile)[start : start + (HASH << below)])

    def _tile_over(self, level: int, index: int) -> Tile:
        """Return the tile, as wide as the tree has it, that holds what is under a node."""
        at = (index << level % HEIGHT) // WIDTH
        hashes = (self.size >> level // HEIGHT * HEIGHT) - at * WIDTH
        return Tile(level // HEIGHT, at, min(WIDTH, hashes))

    def _require_checked(self, tile: Tile) -> None:
        """Check a full tile against the one above, and so on; partial ones are on the edge."""
        if tile.width < WIDTH or tile in self._checked:
            return
        above = self._node((tile.level + 1) * HEIGHT, tile.index)
        if _over(self._held(tile)) != above:
            raise Contradiction(f"The tile {tile.path} is not of the tree of its checkpoint.")
        self._checked.add(tile)

    def _held(self, tile: Tile) -> bytes:
        """Return the hashes of a tile, fetched once."""
        if tile not in self._tiles:
            self._tiles[tile] = self._fetched(tile)
        return self._tiles[tile]

    def _fetched(self, tile: Tile) -> bytes:
        try:
            return _of_length(self._fetch(tile.path), tile)
        except NotKnown:
            if tile.width == WIDTH:
                raise
        full = Tile(tile.level, tile.index)
        return _of_length(self._fetch(full.path), full)[: tile.width * HASH]


def _of_length(data: bytes, tile: Tile) -> bytes:
    wanted = tile.width * HASH
    if len(data) != wanted:
        raise Unreadable(f"The tile {tile.path} has {len(data)} bytes where {wanted} belong.")
    return data


def _over(data: bytes) -> bytes:
    """Return the root over the hashes of a complete subtree."""
    hashes = [data[at : at + HASH] for at in range(0, len(data), HASH)]
    while len(hashes) > 1:
        hashes = [node_hash(*pair) for pair in zip(hashes[::2], hashes[1::2], strict=True)]
    return hashes[0]
