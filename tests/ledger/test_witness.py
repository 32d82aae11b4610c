"""A witness at a book that grows, stands still, shrinks, is rewritten, or is another book."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import (
    FileUnusable,
)
from editions.ledger.checkpoint import Checkpoint
from editions.ledger.cosign import CosignerKey, cosign
from editions.ledger.notes import LIMIT, VerifierKey, sign_note
from editions.ledger.witness import Reason, Verdict, follow
from tests.ledger.naive import NaiveTree
from tests.ledger.published import (
    ENTRIES,
    LOG,
    MOST,
    ORIGIN,
    OTHER,
    TREE,
    WITNESS,
    Host,
    published,
    rewritten,
    seen,
    signed,
)

LOG_KEY = VerifierKey(ORIGIN, LOG.public.raw)
NAME = "witness.example"
KEY = CosignerKey(NAME, WITNESS.public.raw)
TIME = 1_795_521_600
BORDERS = [1, 2, 255, 256, 257, 511, 512, 513]


def shown(last: Checkpoint | None, size: int, tree: NaiveTree = TREE) -> Verdict:
    """What a witness finds of a book that is this tree, honestly published."""
    return follow(last, signed(tree, size), LOG_KEY, Host(published(tree, size)))


def is_refused(verdict: Verdict, reason: Reason, says: str) -> bool:
    return (
        verdict.outcome == "refused"
        and verdict.reason == reason
        and says in verdict.says
        and verdict.says.endswith(".")
    )


# A book that is kept as it should be


@pytest.mark.parametrize("size", [0, *BORDERS])
def test_a_book_is_followed_from_its_first_sight(size: int) -> None:
    verdict = shown(None, size)
    assert verdict.outcome == "advanced"
    assert verdict.reason is None
    assert verdict.checkpoint == seen(size)
    assert verdict.says == f"{ORIGIN} has {size} entries, seen for the first time."


@pytest.mark.parametrize("old", [0, *BORDERS])
def test_a_book_that_grew_is_found_advanced_across_every_border(old: int) -> None:
    for new in (old + 1, *(size for size in [*BORDERS, MOST] if size > old)):
        verdict = shown(seen(old), new)
        assert verdict.outcome == "advanced"
        assert verdict.checkpoint == seen(new)
        assert f"grew from {old} to {new} entries, by appending only" in verdict.says


@pytest.mark.parametrize("size", [0, *BORDERS])
def test_a_book_that_stands_still_is_unchanged_and_no_tile_is_asked_for(size: int) -> None:
    host = Host({})
    verdict = follow(seen(size), signed(TREE, size), LOG_KEY, host)
    assert verdict.outcome == "unchanged"
    assert verdict.says == f"{ORIGIN} still has {size} entries."
    assert not host.asked


# A book that is not


@pytest.mark.parametrize("old", BORDERS)
def test_a_shrunken_book_is_refused(old: int) -> None:
    for new in {0, 1, old // 2, old - 1} - {old}:
        verdict = shown(seen(old), new)
        assert is_refused(verdict, "shrunken", f"shows {new} entries, but {old} were seen before")


@pytest.mark.parametrize("size", BORDERS)
def test_another_root_at_the_same_size_is_a_fork(size: int) -> None:
    for at in {0, size // 2, size - 1}:
        verdict = shown(seen(size), size, NaiveTree(rewritten(ENTRIES, at)))
        assert is_refused(verdict, "fork", "under another root")


@pytest.mark.parametrize(("old", "new"), [(1, 2), (3, 5), (64, 128), (255, 256), (257, 513)])
def test_every_entry_that_was_seen_and_rewritten_makes_a_fork(old: int, new: int) -> None:
    for at in range(old):
        verdict = shown(seen(old), new, NaiveTree(rewritten(ENTRIES[:new], at)))
        assert is_refused(verdict, "fork", f"do not begin with the {old} seen before")
        assert verdict.checkpoint is not None


def test_an_entry_rewritten_after_what_was_seen_is_not_seen() -> None:
    # The unwitnessed tail: nobody can tell.
    for at in (257, 300, 512):
        tree = NaiveTree(rewritten(ENTRIES[:513], at))
        assert shown(seen(257), 513, tree).outcome == "advanced"


@pytest.mark.parametrize("change", ["deleted", "added", "swapped"])
@pytest.mark.parametrize("at", [0, 100, 254])
def test_entries_deleted_added_or_swapped_make_a_fork(change: str, at: int) -> None:
    wrong = list(ENTRIES[:600])
    if change == "deleted":
        del wrong[at]
    elif change == "added":
        wrong.insert(at, b"another")
    else:
        wrong[at], wrong[at + 1] = wrong[at + 1], wrong[at]
    verdict = shown(seen(256), 513, NaiveTree(wrong))
    assert is_refused(verdict, "fork", "the book was rewritten")


# What is shown to it is not a checkpoint of the book


@pytest.mark.parametrize(
    "note",
    [
        "",
        "nothing",
        str(seen(5)),
        sign_note("A text.\n", ORIGIN, LOG),
        sign_note(f"{seen(5)}extension\n", ORIGIN, LOG),
        signed(TREE, 5).replace("\n5\n", "\n05\n"),
        signed(TREE, 5)[:-1],
        "x" * (LIMIT + 1),
    ],
)
def test_what_is_no_checkpoint_is_refused(note: str) -> None:
    host = Host({})
    for last in (None, seen(5)):
        verdict = follow(last, note, LOG_KEY, host)
        assert is_refused(verdict, "unreadable", "This is no signed checkpoint.")
        assert verdict.checkpoint is None
    assert not host.asked


@pytest.mark.parametrize("last", [None, seen(5)])
def test_another_book_is_refused(last: Checkpoint | None) -> None:
    for key in (LOG, OTHER):
        note = signed(TREE, 7, key, "else.example")
        verdict = follow(last, note, LOG_KEY, Host(published(TREE, 7)))
        assert is_refused(verdict, "another book", f"is of else.example, not of {ORIGIN}")


def test_a_memory_of_another_book_is_refused() -> None:
    last = Checkpoint("else.example", 5, TREE.root(5))
    verdict = follow(last, signed(TREE, 7), LOG_KEY, Host(published(TREE, 7)))
    assert is_refused(verdict, "another book", "What was seen last is of else.example")


@pytest.mark.parametrize("last", [None, seen(5)])
def test_a_checkpoint_that_another_key_signed_is_refused(last: Checkpoint | None) -> None:
    host = Host(published(TREE, 7))
    text = str(seen(7))
    for note in (
        signed(TREE, 7, OTHER),
        sign_note(text, "else.example", LOG),
        # A cosignature of the log's key is not its signature.
        cosign(signed(TREE, 7, OTHER), ORIGIN, LOG, TIME),
    ):
        verdict = follow(last, note, LOG_KEY, host)
        assert is_refused(verdict, "another key", f"The key of {ORIGIN} does not vouch for it.")
    broken = signed(TREE, 7).replace("\n7\n", "\n8\n")
    assert is_refused(follow(last, broken, LOG_KEY, host), "another key", "does not hold")
    assert not host.asked


def test_every_bit_of_a_checkpoint_flipped_is_refused() -> None:
    data = signed(TREE, 7).encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        note = wrong.decode(errors="surrogateescape")
        verdict = follow(seen(5), note, LOG_KEY, Host(published(TREE, 7)))
        assert verdict.outcome == "refused"
        assert verdict.reason in {"unreadable", "another book", "another key"}


# Tiles that do not serve


@pytest.mark.parametrize("last", [None, seen(0), seen(5), seen(256), seen(300)])
def test_missing_tiles_are_no_fork(last: Checkpoint | None) -> None:
    note = signed(TREE, 513)
    verdict = follow(last, note, LOG_KEY, Host({}))
    assert is_refused(verdict, "tiles", "The tiles of book.example do not serve to follow it.")
    assert "Nothing lies at tile/" in verdict.says


def test_spoiled_tiles_are_no_fork() -> None:
    honest = published(TREE, 513)
    for path, data in honest.items():
        for wrong in (data[:-1], data + b"x", bytes(len(data)), data[32:] + data[:32]):
            verdict = follow(seen(255), signed(TREE, 513), LOG_KEY, Host({**honest, path: wrong}))
            # A full tile of leaves that the proof does not need is not asked for.
            harmless = wrong == data or path == "tile/0/001"
            assert (verdict.outcome == "advanced") == harmless
            assert verdict.reason == (None if harmless else "tiles")


@pytest.mark.parametrize("last", [None, seen(0), seen(257)])
def test_the_tiles_of_the_true_book_do_not_serve_a_forged_checkpoint(
    last: Checkpoint | None,
) -> None:
    forged = NaiveTree(rewritten(ENTRIES, 3))
    verdict = follow(last, signed(forged, 513), LOG_KEY, Host(published(TREE, 513)))
    assert is_refused(verdict, "tiles", "do not make the root")


def test_tiles_of_two_books_do_not_hide_a_fork() -> None:
    # The edge is that of the forged tree, the tiles below it are what the witness had seen.
    forged = NaiveTree(rewritten(ENTRIES, 3))
    tiles = published(forged, 513) | {"tile/0/000": published(TREE, 513)["tile/0/000"]}
    verdict = follow(seen(255), signed(forged, 513), LOG_KEY, Host(tiles))
    assert is_refused(verdict, "tiles", "is not of the tree")


def test_a_host_that_fails_in_its_own_way_is_reported_or_heard() -> None:
    def too_large(path: str) -> bytes:
        raise FileUnusable(f"{path} is too large.")

    def refused(path: str) -> bytes:
        raise PermissionError(path)

    note = signed(TREE, 7)
    assert is_refused(follow(seen(5), note, LOG_KEY, too_large), "tiles", "is too large")
    with pytest.raises(PermissionError):
        follow(seen(5), note, LOG_KEY, refused)


@given(note=st.text(alphabet="ab— =\n+A1", max_size=60), last=st.none() | st.just(seen(5)))
def test_any_note_is_judged_and_raises_nothing(note: str, last: Checkpoint | None) -> None:
    assert follow(last, note, LOG_KEY, Host({})).outcome == "refused"
