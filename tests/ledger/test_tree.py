"""The tree against the standard's own figures and against its recursive definition."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Contradiction, NotKnown
from editions.ledger.tree import (
    Frontier,
    Node,
    Read,
    consistency_proof,
    empty_root,
    inclusion_proof,
    leaf_hash,
    node_hash,
    verify_consistency,
    verify_inclusion,
)
from tests.ledger.eight_leaves import CONSISTENCY, INCLUSION, LEAVES, OVER, ROOTS
from tests.ledger.naive import NaiveTree

MOST = 200
EMPTY = Frontier(0, ())
ENTRIES = [b"entry %d" % number for number in range(MOST)]
TREE = NaiveTree(ENTRIES)


def grown_from(entries: Sequence[bytes]) -> tuple[Frontier, list[Node]]:
    return EMPTY.grown([leaf_hash(entry) for entry in entries])


def reader(nodes: Sequence[Node]) -> Read:
    kept = {(node.level, node.index): node.hash for node in nodes}
    return lambda places: [kept[place] for place in places]


READ = reader(grown_from(ENTRIES)[1])
READ_EIGHT = reader(grown_from(LEAVES)[1])
Check = Callable[[Sequence[bytes]], None]


def including(index: int, size: int) -> tuple[list[bytes], Check]:
    """A proof of inclusion, and the check that it must pass."""
    leaf, root = leaf_hash(ENTRIES[index]), TREE.root(size)
    proof = inclusion_proof(index, size, READ)
    return proof, lambda proof: verify_inclusion(leaf, index, size, proof, root)


def joining(old: int, new: int) -> tuple[list[bytes], Check]:
    """A proof of consistency, and the check that it must pass."""
    old_root, new_root = TREE.root(old), TREE.root(new)
    proof = consistency_proof(old, new, READ)
    return proof, lambda proof: verify_consistency(old, old_root, new, new_root, proof)


def all_proofs(most: int) -> Iterator[tuple[list[bytes], Check]]:
    for size in range(1, most + 1):
        for at in range(size):
            yield including(at, size)
            yield joining(at + 1, size)


def refused(check: Check, proof: Sequence[bytes]) -> bool:
    try:
        check(proof)
    except Contradiction:
        return True
    return False


# The tree of eight leaves


def test_the_empty_tree_has_the_hash_of_nothing() -> None:
    # RFC 9162, 2.1.1; the SHA-256 of no bytes is in FIPS 180-4's examples.
    assert empty_root().hex() == ROOTS[0]
    assert EMPTY.root() == empty_root()


@pytest.mark.parametrize("size", range(9))
def test_the_roots_of_eight_leaves_are_those_published(size: int) -> None:
    assert grown_from(LEAVES[:size])[0].root().hex() == ROOTS[size]
    assert NaiveTree(LEAVES).root(size).hex() == ROOTS[size]


@pytest.mark.parametrize(("index", "size", "over"), INCLUSION)
def test_published_proofs_of_inclusion_are_made_and_hold(
    index: int, size: int, over: list[str]
) -> None:
    proof = [bytes.fromhex(OVER[leaves]) for leaves in over]
    assert inclusion_proof(index, size, READ_EIGHT) == proof
    root = bytes.fromhex(ROOTS[size])
    verify_inclusion(leaf_hash(LEAVES[index]), index, size, proof, root)


@pytest.mark.parametrize(("old", "new", "over"), CONSISTENCY)
def test_published_proofs_of_consistency_are_made_and_hold(
    old: int, new: int, over: list[str]
) -> None:
    proof = [bytes.fromhex(OVER[leaves]) for leaves in over]
    assert consistency_proof(old, new, READ_EIGHT) == proof
    verify_consistency(old, bytes.fromhex(ROOTS[old]), new, bytes.fromhex(ROOTS[new]), proof)


def test_all_72_proofs_of_eight_leaves_are_those_of_the_definition_and_hold() -> None:
    naive, roots = NaiveTree(LEAVES), [bytes.fromhex(root) for root in ROOTS]
    pairs = [(index, size) for size in range(1, 9) for index in range(size)]
    assert len(pairs) == 36
    for index, size in pairs:
        proof = inclusion_proof(index, size, READ_EIGHT)
        assert proof == naive.inclusion(index, 0, size)
        verify_inclusion(leaf_hash(LEAVES[index]), index, size, proof, roots[size])
        old = index + 1
        proof = consistency_proof(old, size, READ_EIGHT)
        assert proof == naive.consistency(old, 0, size)
        verify_consistency(old, roots[old], size, roots[size], proof)


# Stored nodes against the definition


def test_every_root_and_every_proof_to_200_leaves_is_that_of_the_definition() -> None:
    frontier = EMPTY
    for size in range(1, MOST + 1):
        frontier, _ = frontier.grown([leaf_hash(ENTRIES[size - 1])])
        assert frontier.root() == TREE.root(size)
        for at in range(size):
            assert inclusion_proof(at, size, READ) == TREE.inclusion(at, 0, size)
            assert consistency_proof(at + 1, size, READ) == TREE.consistency(at + 1, 0, size)


@pytest.mark.parametrize("size", [1, 2, 3, 7, 8, 64, 100, 127, 128, 129, 200])
def test_every_complete_node_closes_once_and_is_that_of_the_definition(size: int) -> None:
    _, closed = grown_from(ENTRIES[:size])
    levels = range(size.bit_length())
    complete = {(level, index) for level in levels for index in range(size >> level)}
    assert len(closed) == len(complete)
    assert {(node.level, node.index) for node in closed} == complete
    for node in closed:
        low, high = node.index << node.level, (node.index + 1) << node.level
        assert node.hash == TREE.over(low, high)


@given(cuts=st.lists(st.integers(0, MOST), max_size=6), size=st.integers(0, MOST))
def test_growing_in_pieces_is_growing_at_once(cuts: list[int], size: int) -> None:
    edges = [0, *sorted(min(cut, size) for cut in cuts), size]
    frontier, closed = EMPTY, list[Node]()
    for low, high in pairwise(edges):
        frontier, more = frontier.grown([leaf_hash(entry) for entry in ENTRIES[low:high]])
        closed += more
    assert (frontier, closed) == grown_from(ENTRIES[:size])


@pytest.mark.parametrize("size", [0, 1, 2, 3, 63, 64, 65, 199, 200])
def test_a_frontier_is_rebuilt_from_stored_nodes(size: int) -> None:
    assert Frontier.from_nodes(size, READ) == grown_from(ENTRIES[:size])[0]


def test_a_proof_asks_the_store_once_and_for_few_nodes() -> None:
    # At a million entries: 20 levels, and at most as many nodes again on the right edge.
    asked: list[int] = []

    def read(places: Sequence[tuple[int, int]]) -> list[bytes]:
        assert len(set(places)) == len(places)
        assert all((index + 1) << level <= 999_999 for level, index in places)
        asked.append(len(places))
        return [bytes(32)] * len(places)

    for at in (1, 2, 524_287, 524_288, 777_777, 999_998):
        inclusion_proof(at, 999_999, read)
        consistency_proof(at, 999_999, read)
    assert len(asked) == 12
    assert max(asked) <= 40


# What must be refused


def test_every_hash_of_every_proof_to_100_leaves_corrupted_is_refused() -> None:
    corrupted = 0
    for proof, check in all_proofs(100):
        for place, one in enumerate(proof):
            bit = 1 << corrupted % 8
            wrong = bytes([one[0] ^ bit]) + one[1:]
            assert refused(check, [*proof[:place], wrong, *proof[place + 1 :]])
            corrupted += 1
    # Counted by the recursive definition: as many as all the proofs have hashes.
    sizes = range(1, 101)
    inclusions = sum(len(TREE.inclusion(at, 0, size)) for size in sizes for at in range(size))
    joins = sum(len(TREE.consistency(at + 1, 0, size)) for size in sizes for at in range(size))
    assert corrupted == inclusions + joins > 50_000


def test_every_proof_to_40_leaves_cut_lengthened_or_turned_round_is_refused() -> None:
    for proof, check in all_proofs(40):
        check(proof)
        assert refused(check, [*proof, bytes(32)])
        assert refused(check, [*proof, *proof[-1:], bytes(32)])
        if proof:
            assert refused(check, proof[:-1])
            assert refused(check, proof[1:])
            assert refused(check, [*proof, proof[-1]])
        if len(proof) > 1:
            assert refused(check, proof[::-1])


def test_every_proof_of_inclusion_at_another_place_or_of_another_leaf_is_refused() -> None:
    for size in range(2, 41):
        root = TREE.root(size)
        for index in range(size):
            leaf, proof = leaf_hash(ENTRIES[index]), inclusion_proof(index, size, READ)
            for other in {*range(size)} - {index}:
                with pytest.raises(Contradiction):
                    verify_inclusion(leaf, other, size, proof, root)
            with pytest.raises(Contradiction):
                verify_inclusion(leaf_hash(b"another"), index, size, proof, root)


def test_every_proof_of_inclusion_against_another_root_is_refused() -> None:
    for size in range(1, 41):
        for index in range(size):
            leaf, proof = leaf_hash(ENTRIES[index]), inclusion_proof(index, size, READ)
            for other in {*range(1, 42)} - {size}:
                with pytest.raises(Contradiction):
                    verify_inclusion(leaf, index, size, proof, TREE.root(other))


def test_every_proof_of_consistency_between_other_roots_is_refused() -> None:
    wrong = hashlib.sha256(b"rewritten").digest()
    for new in range(1, 41):
        for old in range(1, new + 1):
            proof = consistency_proof(old, new, READ)
            with pytest.raises(Contradiction, match="does not join"):
                verify_consistency(old, wrong, new, TREE.root(new), proof)
            with pytest.raises(Contradiction, match="does not join"):
                verify_consistency(old, TREE.root(old), new, wrong, proof)


def test_a_book_with_one_older_entry_rewritten_is_never_consistent() -> None:
    for rewritten in range(8):
        entries = [*ENTRIES[:20]]
        entries[rewritten] = b"rewritten"
        frontier, nodes = grown_from(entries)
        for old in range(rewritten + 1, 21):
            proof = consistency_proof(old, 20, reader(nodes))
            with pytest.raises(Contradiction):
                verify_consistency(old, TREE.root(old), 20, frontier.root(), proof)


def test_a_proof_for_a_tree_of_another_shape_is_refused() -> None:
    for size in range(2, 41):
        leaf, root = leaf_hash(ENTRIES[0]), TREE.root(size)
        proof = inclusion_proof(0, size, READ)
        for other in range(1, 41):
            if (other - 1).bit_length() != (size - 1).bit_length():
                with pytest.raises(Contradiction):
                    verify_inclusion(leaf, 0, other, proof, root)


def test_a_proof_to_a_tree_of_another_depth_is_refused_though_its_hashes_lead_to_the_root() -> None:
    # 3 to 7 without its last hash is 3 to 4: right roots, wrong size.
    for new in range(1, 41):
        for old in range(1, new + 1):
            proof = consistency_proof(old, new, READ)
            for other in range(old, 41):
                if (other - 1).bit_length() != (new - 1).bit_length():
                    with pytest.raises(Contradiction):
                        verify_consistency(old, TREE.root(old), other, TREE.root(new), proof)


def test_a_hash_too_many_is_refused_though_it_leads_to_the_root() -> None:
    # Roots made to fit, as a book that signs what it likes could make them.
    more = hashlib.sha256(b"more").digest()
    for size in range(1, 41):
        above = node_hash(more, TREE.root(size))
        for at in range(size):
            proof = [*inclusion_proof(at, size, READ), more]
            with pytest.raises(Contradiction, match="more hashes than the tree has levels"):
                verify_inclusion(leaf_hash(ENTRIES[at]), at, size, proof, above)
            old_above = node_hash(more, TREE.root(at + 1))
            proof = [*consistency_proof(at + 1, size, READ), more]
            with pytest.raises(Contradiction, match="does not join"):
                verify_consistency(at + 1, old_above, size, above, proof)


@pytest.mark.parametrize(("index", "size"), [(-1, 5), (5, 5), (6, 5), (0, 0), (0, -1)])
def test_no_leaf_is_proved_outside_the_tree(index: int, size: int) -> None:
    with pytest.raises(NotKnown):
        inclusion_proof(index, size, READ)
    with pytest.raises(Contradiction, match="position"):
        verify_inclusion(bytes(32), index, size, [], bytes(32))


@pytest.mark.parametrize(("old", "new"), [(0, 0), (0, 5), (6, 5), (-1, 5), (0, -1)])
def test_nothing_is_proved_from_nothing_nor_backwards(old: int, new: int) -> None:
    with pytest.raises(NotKnown):
        consistency_proof(old, new, READ)
    with pytest.raises(Contradiction, match="No proof leads"):
        verify_consistency(old, empty_root(), new, empty_root(), [])


@pytest.mark.parametrize("length", [0, 31, 33, 64])
def test_a_hash_of_another_length_is_refused_wherever_it_stands(length: int) -> None:
    wrong, right = bytes(length), bytes(32)
    for leaf, root, proof in ((wrong, right, []), (right, wrong, []), (right, right, [wrong])):
        with pytest.raises(Contradiction, match="32 bytes"):
            verify_inclusion(leaf, 0, 2, proof, root)
        with pytest.raises(Contradiction, match="32 bytes"):
            verify_consistency(1, leaf, 2, root, proof)
    with pytest.raises(Contradiction, match="32 bytes"):
        EMPTY.grown([wrong])
    with pytest.raises(Contradiction, match="32 bytes"):
        Frontier(1, (wrong,))
    with pytest.raises(Contradiction, match="32 bytes"):
        inclusion_proof(0, 2, lambda places: [wrong] * len(places))


@pytest.mark.parametrize(("size", "hashes"), [(0, 1), (1, 0), (1, 2), (3, 1), (8, 3), (-1, 1)])
def test_a_frontier_has_as_many_hashes_as_its_size_has_ones(size: int, hashes: int) -> None:
    with pytest.raises(Contradiction, match="cannot stand for"):
        Frontier(size, (bytes(32),) * hashes)


def test_a_store_that_lost_a_node_is_noticed() -> None:
    def lossy(places: Sequence[tuple[int, int]]) -> Sequence[bytes]:
        return READ(places)[:-1]

    with pytest.raises(Contradiction, match="Of 3 nodes of the tree, 2 were found"):
        inclusion_proof(0, 8, lossy)
    with pytest.raises(Contradiction, match="were found"):
        consistency_proof(3, 8, lossy)
    with pytest.raises(Contradiction, match="were found"):
        Frontier.from_nodes(7, lossy)


def test_a_leaf_can_never_pass_for_a_node() -> None:
    # RFC 9162, 2.1.1: the two prefixes are what keeps an entry from posing as a pair of hashes.
    left, right = leaf_hash(b"left"), leaf_hash(b"right")
    assert leaf_hash(left + right) != node_hash(left, right)
    with pytest.raises(Contradiction):
        verify_inclusion(leaf_hash(left + right), 0, 1, [], node_hash(left, right))
