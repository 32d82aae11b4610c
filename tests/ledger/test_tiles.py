"""Tiles against the standard's formulas: where they lie, which a tree has, what they hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Contradiction, Unreadable
from editions.ledger.encodings import LARGEST
from editions.ledger.tiles import Tile, tile_bytes, tiles_for
from editions.ledger.tree import (
    leaf_hash,
)
from tests.ledger.published import ENTRIES, MOST, TREE, path_of, published, stored, tiles_of

BORDERS = [1, 2, 3, 255, 256, 257, 258, 511, 512, 513, MOST]
LEAVES = [leaf_hash(entry) for entry in ENTRIES]


STORED = stored(LEAVES)[1]


def as_tiles(tiles: set[tuple[int, int, int]]) -> list[Tile]:
    return [Tile(*tile) for tile in sorted(tiles)]


# Paths


@pytest.mark.parametrize(
    ("tile", "path"),
    [
        # C2SP tlog-tiles, "Merkle Tree": index 1234067 is x001/x234/067.
        (Tile(0, 1_234_067), "tile/0/x001/x234/067"),
        # By the same rule, no example of the standard.
        (Tile(0, 0), "tile/0/000"),
        (Tile(0, 999), "tile/0/999"),
        (Tile(0, 1000), "tile/0/x001/000"),
        (Tile(1, 67), "tile/1/067"),
        (Tile(63, 5, 255), "tile/63/005.p/255"),
        (Tile(2, 1_234_067, 1), "tile/2/x001/x234/067.p/1"),
        (Tile(0, LARGEST), "tile/0/x009/x007/x199/x254/x740/991"),
    ],
)
def test_paths_are_those_of_the_standard(tile: Tile, path: str) -> None:
    assert tile.path == path
    assert Tile.parse(path) == tile


@given(
    level=st.integers(0, 63),
    index=st.integers(0, LARGEST) | st.integers(0, 2000),
    width=st.integers(1, 256),
)
def test_a_tile_returns_through_its_path(level: int, index: int, width: int) -> None:
    tile = Tile(level, index, width)
    assert tile.path == path_of(level, index, width)
    assert Tile.parse(tile.path) == tile


@pytest.mark.parametrize(
    "path",
    [
        "",
        "tile",
        "tile/0",
        "tile/0/",
        "tile/0/0",
        "tile/0/0000",
        "tile/00/000",
        "tile/64/000",
        "tile/-1/000",
        "tile/0/x000/067",
        "tile/0/x001/x234",
        "tile/0/001/234",
        "tile/0/x1/234",
        "tile/0/X001/234",
        "tile/0/000.p/0",
        "tile/0/000.p/256",
        "tile/0/000.p/01",
        "tile/0/000.p/",
        "tile/0/000.p",
        "tile/0/000/p/1",
        "/tile/0/000",
        "tile/0/000/",
        "tile/0/000\n",
        "tile/entries/000",
        "tile/0/../000",
        "tile/0/٠٠٠",
        "tile/0/x009/x007/x199/x254/x740/992",
        "tile/0/x001/x009/x007/x199/x254/x740/991",
    ],
)
def test_what_is_not_the_path_of_a_tile_is_refused(path: str) -> None:
    with pytest.raises(Unreadable):
        Tile.parse(path)


@given(path=st.text(alphabet="tile/0123.px", max_size=30))
def test_any_path_is_read_back_or_refused(path: str) -> None:
    try:
        assert Tile.parse(path).path == path
    except Unreadable:
        assert path != "tile/0/000"


@pytest.mark.parametrize(
    "values", [(-1, 0, 1), (64, 0, 1), (0, -1, 1), (0, LARGEST + 1, 1), (0, 0, 0), (0, 0, 257)]
)
def test_a_tile_that_cannot_be_is_not_made(values: tuple[int, int, int]) -> None:
    with pytest.raises(Unreadable):
        Tile(*values)


# Which tiles a tree has


def test_a_tree_of_70000_has_the_tiles_of_the_standard() -> None:
    # C2SP tlog-tiles, "Partial Tiles": the example of a tree of size 70,000.
    tiles = tiles_for(0, 70_000)
    assert [tile.path for tile in tiles if tile.width < 256] == [
        "tile/0/273.p/112",
        "tile/1/001.p/17",
        "tile/2/000.p/1",
    ]
    full = [tile for tile in tiles if tile.width == 256]
    assert full == [*(Tile(0, index) for index in range(273)), Tile(1, 0)]


def test_a_tree_of_256_has_a_full_tile_and_one_above_of_one_hash() -> None:
    # C2SP tlog-tiles, "Partial Tiles".
    assert tiles_for(0, 256) == [Tile(0, 0), Tile(1, 0, 1)]


@pytest.mark.parametrize("size", [*range(MOST + 1), *range(65_534, 65_539), 131_072, 2**24, 2**53])
def test_every_tree_has_the_tiles_of_the_formula(size: int) -> None:
    if size < 2**24:
        assert tiles_for(0, size) == as_tiles(tiles_of(size))
    # What is at the edge of the largest trees, without the millions of tiles before it.
    wanted, level = [], 0
    while 256**level <= size:
        if width := size // 256**level % 256:
            wanted.append(Tile(level, size // 256 ** (level + 1), width))
        level += 1
    near = max(size - 300, 0)
    assert [tile for tile in tiles_for(near, size) if tile.width < 256] == wanted


@pytest.mark.parametrize("old", [0, *BORDERS])
def test_a_growing_tree_publishes_what_it_did_not_have(old: int) -> None:
    had = tiles_of(old)
    for new in range(old, MOST + 1):
        assert tiles_for(old, new) == as_tiles(tiles_of(new) - had)


@pytest.mark.parametrize("old", [65_535, 65_536, 65_537])
def test_a_large_tree_publishes_what_it_did_not_have(old: int) -> None:
    for new in (old, 65_536, 65_537, 65_792, 66_000):
        if new >= old:
            assert tiles_for(old, new) == as_tiles(tiles_of(new) - tiles_of(old))


@pytest.mark.parametrize(("old", "new"), [(1, 0), (-1, 0), (-2, -1), (257, 256)])
def test_no_tiles_are_for_a_tree_that_shrinks(old: int, new: int) -> None:
    with pytest.raises(Contradiction):
        tiles_for(old, new)


# What a tile holds


def test_every_tile_to_600_holds_the_hashes_of_the_definition() -> None:
    for size in range(1, MOST + 1):
        made = {tile.path: tile_bytes(tile, STORED) for tile in tiles_for(size - 1, size)}
        whole = published(TREE, size)
        assert made
        assert {path: whole[path] for path in made} == made


def test_a_tile_is_asked_for_at_once_and_refused_where_a_node_is_missing() -> None:
    asked = []

    def read(places: object) -> list[bytes]:
        asked.append(places)
        return [bytes(32)] * 3

    assert tile_bytes(Tile(1, 2, 3), read) == bytes(96)
    assert asked == [[(8, 512), (8, 513), (8, 514)]]
    with pytest.raises(Contradiction, match=r"tile/0/000\.p/4"):
        tile_bytes(Tile(0, 0, 4), read)
    with pytest.raises(Contradiction):
        tile_bytes(Tile(0, 0, 1), lambda _: [bytes(31)])
