"""Proofs made from tiles alone, against the definition of the tree; and tiles that are wrong."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, NotKnown, Unreadable
from editions.ledger.tiles import TileReader, tile_bytes, tiles_for
from editions.ledger.tree import (
    Frontier,
    consistency_proof,
    inclusion_proof,
    leaf_hash,
    verify_consistency,
    verify_inclusion,
)
from tests.ledger.published import ENTRIES, MOST, TREE, Host, path_of, published, stored

BORDERS = [1, 2, 3, 255, 256, 257, 258, 511, 512, 513, MOST]
# A full tile of level 1 stands over 256 times 256 leaves.
FULL_LEVEL_ONE = 65_536

LEAVES = [leaf_hash(entry) for entry in ENTRIES]
STORED = stored(LEAVES)[1]


def host_of(size: int) -> Host:
    return Host(published(TREE, size))


def reader_of(size: int, *, checked: bool = True) -> TileReader:
    return TileReader(host_of(size), size, TREE.root(size) if checked else None)


# Reading nodes


@pytest.mark.parametrize("size", BORDERS)
@pytest.mark.parametrize("checked", [True, False])
def test_every_complete_node_is_read_from_tiles(size: int, checked: bool) -> None:
    read = reader_of(size, checked=checked)
    for level in range(size.bit_length()):
        places = [(level, index) for index in range(size >> level)]
        assert read(places) == list(STORED(places))


@pytest.mark.parametrize("size", [0, *BORDERS])
def test_no_other_node_is_read(size: int) -> None:
    host = host_of(size)
    read = TileReader(host, size)
    beyond = [(level, size >> level) for level in range(12)]
    for place in [*beyond, (-1, 0), (0, -1), (16, 0), (60, 0)]:
        with pytest.raises(Contradiction, match="has no node"):
            read([place])
    assert not host.asked


@pytest.mark.parametrize("size", BORDERS)
def test_only_tiles_of_the_tree_are_asked_for_and_each_once(size: int) -> None:
    host = host_of(size)
    read = TileReader(host, size, TREE.root(size))
    for index in range(0, size, 7):
        inclusion_proof(index, size, read)
    assert len(host.asked) == len(set(host.asked))
    assert set(host.asked) <= host.tiles.keys()


def test_a_proof_asks_for_few_tiles() -> None:
    # 65,536 leaves and more: three levels of tiles, at most two tiles a level.
    host, size, _ = large(FULL_LEVEL_ONE + 1)
    consistency_proof(40_000, size, TileReader(host, size))
    assert len(host.asked) <= 6


def test_the_empty_tree_has_its_root_and_nothing_to_read() -> None:
    host = Host({})
    read = TileReader(host, 0, TREE.root(0))
    read.check()
    assert read([]) == []
    assert not host.asked


# Proofs from tiles alone


def test_proofs_from_tiles_are_those_of_the_definition_at_every_size() -> None:
    for size in range(1, MOST + 1):
        read, root = reader_of(size), TREE.root(size)
        for index in {0, size // 2, size - 1, min(255, size - 1), min(256, size - 1)}:
            proof = inclusion_proof(index, size, read)
            assert proof == TREE.inclusion(index, 0, size)
            verify_inclusion(LEAVES[index], index, size, proof, root)
            old = index + 1
            proof = consistency_proof(old, size, read)
            assert proof == TREE.consistency(old, 0, size)
            verify_consistency(old, TREE.root(old), size, root, proof)


@pytest.mark.parametrize("size", BORDERS)
def test_every_proof_across_the_borders_holds_and_no_corrupted_one_does(size: int) -> None:
    read, root = reader_of(size), TREE.root(size)
    for index in range(size):
        old = index + 1
        including = inclusion_proof(index, size, read)
        joining = consistency_proof(old, size, read)
        assert including == TREE.inclusion(index, 0, size)
        assert joining == TREE.consistency(old, 0, size)
        for proof in corrupted(including):
            with pytest.raises(Contradiction):
                verify_inclusion(LEAVES[index], index, size, proof, root)
        for proof in corrupted(joining):
            with pytest.raises(Contradiction):
                verify_consistency(old, TREE.root(old), size, root, proof)


def corrupted(proof: list[bytes]) -> list[list[bytes]]:
    """The proof with a bit flipped in each hash, a hash too many, and one too few."""
    wrong = [
        [*proof[:at], bytes([proof[at][0] ^ 1]) + proof[at][1:], *proof[at + 1 :]]
        for at in range(len(proof))
    ]
    return [*wrong, [*proof, bytes(32)], *([proof[:-1]] if proof else [])]


def large(size: int) -> tuple[Host, int, Frontier]:
    leaves = [leaf_hash(b"%d" % number) for number in range(size)]
    frontier, read = stored(leaves)
    return Host({t.path: tile_bytes(t, read) for t in tiles_for(0, size)}), size, frontier


@pytest.mark.parametrize("size", [65_535, 65_536, 65_537])
def test_proofs_from_three_levels_of_tiles_hold_and_no_corrupted_one_does(size: int) -> None:
    host, _, frontier = large(size)
    read, root = TileReader(host, size, frontier.root()), frontier.root()
    assert ("tile/2/000.p/1" in host.tiles) == (size >= FULL_LEVEL_ONE)
    for index in (0, 255, 256, 32_767, 65_279, 65_280, size - 1):
        leaf, old = leaf_hash(b"%d" % index), index + 1
        proof = inclusion_proof(index, size, read)
        verify_inclusion(leaf, index, size, proof, root)
        old_root = Frontier.from_nodes(old, read).root()
        joining = consistency_proof(old, size, read)
        verify_consistency(old, old_root, size, root, joining)
        for wrong in corrupted(proof):
            with pytest.raises(Contradiction):
                verify_inclusion(leaf, index, size, wrong, root)
        for wrong in corrupted(joining):
            with pytest.raises(Contradiction):
                verify_consistency(old, old_root, size, root, wrong)


# Tiles that are missing, or not what they should be


def test_where_a_partial_tile_is_gone_the_full_one_is_taken() -> None:
    # C2SP tlog-tiles, "Partial Tiles": a log may delete it once the full tile is there.
    for size in range(257, 512):
        now = published(TREE, size)
        del now[path_of(0, 1, size - 256)]
        later = Host({**published(TREE, 513), **now})
        read = TileReader(later, size, TREE.root(size))
        assert inclusion_proof(size - 1, size, read) == TREE.inclusion(size - 1, 0, size)
        assert "tile/0/001" in later.asked


def test_the_partial_tile_is_taken_where_it_is_there() -> None:
    host = Host(published(TREE, 300) | published(TREE, 513))
    inclusion_proof(299, 300, TileReader(host, 300))
    assert "tile/0/001.p/44" in host.asked
    assert "tile/0/001" not in host.asked


@pytest.mark.parametrize("size", [3, 256, 257, 513])
def test_a_missing_tile_is_named(size: int) -> None:
    for path in host_of(size).tiles:
        host = host_of(size)
        del host.tiles[path]
        with pytest.raises(NotKnown, match="tile/"):
            read_all(TileReader(host, size, TREE.root(size)))


@pytest.mark.parametrize("size", [3, 256, 257, 513])
@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data[:-1],
        lambda data: data[:-32],
        lambda data: data + bytes(1),
        lambda data: data + bytes(32),
        lambda data: data + bytes(8192),
        lambda data: data[:0],
    ],
)
def test_a_tile_of_another_length_is_refused(size: int, spoil: Callable[[bytes], bytes]) -> None:
    for path in host_of(size).tiles:
        host = host_of(size)
        host.tiles[path] = spoil(host.tiles[path])
        with pytest.raises(Unreadable, match="bytes where"):
            read_all(TileReader(host, size, TREE.root(size)))


def test_a_full_tile_in_the_place_of_a_partial_one_must_be_full() -> None:
    host = host_of(300)
    host.tiles["tile/0/001"] = host.tiles.pop("tile/0/001.p/44")
    with pytest.raises(Unreadable, match="8192 belong"):
        TileReader(host, 300)([(0, 299)])


@pytest.mark.parametrize("size", [1, 3, 256, 257, 513])
def test_with_a_root_every_hash_of_every_tile_flipped_is_refused(size: int) -> None:
    honest = host_of(size).tiles
    for path, data in honest.items():
        for at in range(0, len(data), 32):
            wrong = bytearray(data)
            wrong[at + at // 32 % 32] ^= 1 << at // 32 % 8
            host = Host({**honest, path: bytes(wrong)})
            with pytest.raises(Contradiction, match="tile"):
                read_all(TileReader(host, size, TREE.root(size)))


def test_without_a_root_a_flipped_hash_spoils_the_proof_that_it_is_in() -> None:
    size, root, honest = 513, TREE.root(513), host_of(513).tiles
    for index in (0, 255, 256, 512):
        refused = 0
        for path, data in honest.items():
            for at in range(0, len(data), 32):
                wrong = data[:at] + bytes(32) + data[at + 32 :]
                read = TileReader(Host({**honest, path: wrong}), size)
                proof = inclusion_proof(index, size, read)
                if proof != TREE.inclusion(index, 0, size):
                    refused += 1
                    with pytest.raises(Contradiction):
                        verify_inclusion(LEAVES[index], index, size, proof, root)
        # All of the leaf's own tile but the leaf, and the two other hashes of the edge; the last
        # leaf is alone in its tile, and is joined to two hashes only.
        assert refused == (2 if index == 512 else 255 + 2)


@pytest.mark.parametrize("size", BORDERS)
def test_the_tiles_of_another_book_are_refused(size: int) -> None:
    for root in (bytes(32), TREE.root(size - 1), TREE.root(0)):
        with pytest.raises(Contradiction, match="do not make the root"):
            TileReader(host_of(size), size, root)([(0, 0)])


@given(spoiled=st.dictionaries(st.sampled_from(sorted(host_of(257).tiles)), st.binary()))
def test_any_tiles_raise_no_other_error(spoiled: dict[str, bytes]) -> None:
    read = TileReader(Host({**host_of(257).tiles, **spoiled}), 257, TREE.root(257))
    try:
        assert inclusion_proof(3, 257, read) == TREE.inclusion(3, 0, 257)
    except BronzebookError:
        assert spoiled


def read_all(read: TileReader) -> None:
    read([(0, index) for index in range(read.size)])
