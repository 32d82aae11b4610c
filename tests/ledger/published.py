"""A book as a host would publish it: its tiles by path, made from the definition of the tree."""

from __future__ import annotations

from collections.abc import Sequence

from editions.errors import NotKnown
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.tree import Frontier, Read
from tests.ledger.naive import NaiveTree

ORIGIN = "book.example"
LOG, WITNESS, OTHER = (PrivateKey(bytes(range(first, first + 32))) for first in range(3))


MOST = 600


def entries(count: int) -> list[bytes]:
    return [b"entry %d" % number for number in range(count)]


ENTRIES = entries(MOST)
TREE = NaiveTree(ENTRIES)


class Host:
    """Serves tiles by path, and remembers what it was asked for."""

    def __init__(self, tiles: dict[str, bytes]) -> None:
        self.tiles = dict(tiles)
        self.asked: list[str] = []

    def __call__(self, path: str) -> bytes:
        self.asked.append(path)
        if path not in self.tiles:
            raise NotKnown(f"Nothing lies at {path}.")
        return self.tiles[path]


def index_elements(index: int) -> str:
    """The index in elements of three digits, all but the last after an x (C2SP tlog-tiles)."""
    digits = str(index)
    digits = digits.zfill(-(-len(digits) // 3) * 3)
    groups = [digits[at : at + 3] for at in range(0, len(digits), 3)]
    return "/".join([*(f"x{group}" for group in groups[:-1]), groups[-1]])


def tiles_of(size: int) -> set[tuple[int, int, int]]:
    """Level, index and width of every tile of a tree, by the standard's two formulas."""
    tiles, level = set(), 0
    while 256**level <= size:
        tiles |= {(level, index, 256) for index in range(size // 256 ** (level + 1))}
        if width := size // 256**level % 256:
            tiles.add((level, size // 256 ** (level + 1), width))
        level += 1
    return tiles


def path_of(level: int, index: int, width: int) -> str:
    return f"tile/{level}/{index_elements(index)}" + ("" if width == 256 else f".p/{width}")


def hashes_of(tree: NaiveTree, level: int, index: int, width: int) -> bytes:
    """MTH(D[(n * 256 + i) * 256**l : (n * 256 + i + 1) * 256**l]) for each i of the tile."""
    step, first = 256**level, index * 256
    return b"".join(tree.over((first + at) * step, (first + at + 1) * step) for at in range(width))


def published(tree: NaiveTree, size: int) -> dict[str, bytes]:
    """Every tile of the tree of a size, by its path."""
    return {path_of(*tile): hashes_of(tree, *tile) for tile in tiles_of(size)}


def stored(leaves: Sequence[bytes]) -> tuple[Frontier, Read]:
    """The frontier of these leaf hashes, and a reader of every node kept on the way."""
    frontier, closed = Frontier(0, ()).grown(leaves)
    kept = {(node.level, node.index): node.hash for node in closed}
    return frontier, lambda places: [kept[place] for place in places]


def seen(size: int, tree: NaiveTree = TREE) -> Checkpoint:
    return Checkpoint(ORIGIN, size, tree.root(size))


def rewritten(old: Sequence[bytes], at: int) -> list[bytes]:
    """The same entries, but for one."""
    return [*old[:at], b"another entry", *old[at + 1 :]]


def signed(tree: NaiveTree, size: int, key: PrivateKey = LOG, origin: str = ORIGIN) -> str:
    return sign_checkpoint(Checkpoint(origin, size, tree.root(size)), key)
