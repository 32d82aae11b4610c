"""A mirror's tiles, forged: none of them makes a rewritten book out of a true one, or hides one."""

from __future__ import annotations

from itertools import pairwise

import pytest

from certificates.claim import Claim
from certificates.mirror import growth, read_mirror
from editions.errors import BronzebookError
from editions.ledger.notes import VerifierKey
from tests.ledger.naive import NaiveTree
from tests.ledger.published import (
    ENTRIES,
    LOG,
    ORIGIN,
    TREE,
    Host,
    published,
    rewritten,
    signed,
)

KEY = VerifierKey(ORIGIN, LOG.public.raw)
SIZES = [1, 7, 255, 256, 257, 513]


def claim_at(size: int, tree: NaiveTree = TREE) -> Claim:
    """The claim of a paper that prints the book at this size."""
    return Claim(
        number="7DD6ZS4GDM6",
        leaf=bytes(32),
        index=size - 1,
        size=size,
        root=tree.root(size),
        origin=ORIGIN,
        paper="finished",
        artist="Ilse Varga",
        title="Heron, standing",
        designation="3/8",
        cast="2026",
        issued="2026-11-24",
    )


def found(claim: Claim, size: int, tiles: dict[str, bytes], tree: NaiveTree = TREE) -> str:
    """What a paper's holder finds of a mirror that shows a book of this size and these tiles."""
    host = Host({**tiles, "checkpoint": signed(tree, size).encode()})
    return growth(claim, read_mirror(host, [KEY])).result


def test_true_tiles_join_every_paper_to_every_later_state() -> None:
    for old in SIZES:
        for new in (size for size in SIZES if size >= old):
            assert found(claim_at(old), new, published(TREE, new)) == "agrees", (old, new)


@pytest.mark.parametrize(("old", "new"), [*pairwise(SIZES), (1, 513)])
def test_a_spoiled_tile_proves_nothing_against_a_true_book(old: int, new: int) -> None:
    honest = published(TREE, new)
    for path, data in honest.items():
        for wrong in (data[:-1], data + b"x", bytes(len(data)), data[32:] + data[:32], b""):
            if wrong != data:
                result = found(claim_at(old), new, {**honest, path: wrong})
                # A full tile that the proof does not pass through is not asked for.
                assert result in {"not checked", "agrees"}, (path, len(wrong))


@pytest.mark.parametrize(("old", "new"), [*pairwise(SIZES), (7, 513)])
def test_a_missing_tile_is_not_held_against_the_book(old: int, new: int) -> None:
    for path in published(TREE, new):
        tiles = {one: data for one, data in published(TREE, new).items() if one != path}
        assert found(claim_at(old), new, tiles) in {"not checked", "agrees"}
    assert found(claim_at(old), new, {}) == "not checked"


@pytest.mark.parametrize(("old", "new"), [*pairwise(SIZES)])
def test_a_rewritten_book_is_told_from_its_own_tiles(old: int, new: int) -> None:
    for at in {0, old // 2, old - 1}:
        tree = NaiveTree(rewritten(ENTRIES, at))
        assert found(claim_at(old), new, published(tree, new), tree) == "contradicts"


@pytest.mark.parametrize(("old", "new"), [*pairwise(SIZES)])
def test_the_true_books_tiles_do_not_hide_a_rewritten_one(old: int, new: int) -> None:
    tree = NaiveTree(rewritten(ENTRIES, old - 1))
    forged, true = published(tree, new), published(TREE, new)
    assert found(claim_at(old), new, true, tree) != "agrees"
    for path in forged:
        assert found(claim_at(old), new, {**forged, path: true[path]}, tree) != "agrees"


def test_a_host_that_fails_in_its_own_way_leaves_growth_unchecked() -> None:
    def flooded(path: str) -> bytes:
        if path == "checkpoint":
            return signed(TREE, 513).encode()
        raise BronzebookError(f"{path} is too large.")

    check = growth(claim_at(7), read_mirror(flooded, [KEY]))
    assert (check.result, "is too large" in check.says) == ("not checked", True)
