"""What a witness keeps: a life beside a book that grows or forks, and its memory as a text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Contradiction, KeyUnusable, Unreadable
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.cosign import CosignerKey, cosign, open_cosigned
from editions.ledger.notes import LIMIT, VerifierKey, open_note, take_apart
from editions.ledger.witness import Memory, Verdict, follow, remember
from tests.ledger.naive import NaiveTree
from tests.ledger.published import (
    ENTRIES,
    LOG,
    ORIGIN,
    OTHER,
    TREE,
    WITNESS,
    Host,
    entries,
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


def memory_of(size: int, time: int = TIME) -> Memory:
    return remember(shown(None, size), LOG_KEY, NAME, WITNESS, time)


# A life of a witness


@given(
    growth=st.lists(st.integers(0, 150), min_size=1, max_size=6),
    forked=st.none() | st.integers(0, 5),
    data=st.data(),
)
def test_a_witness_follows_a_log_until_it_forks(
    growth: list[int], forked: int | None, data: st.DataObject
) -> None:
    tree, size = NaiveTree(entries(1000)), 0
    kept: Memory | None = None
    for visit, more in enumerate(growth):
        last, before = (kept.last().checkpoint if kept else None), size
        size += more
        if visit == forked and before:
            at = data.draw(st.integers(0, before - 1))
            verdict = shown(last, size, NaiveTree(rewritten(entries(1000), at)))
            assert verdict.reason == "fork"
            with pytest.raises(Contradiction, match="does not sign what it refused"):
                remember(verdict, LOG_KEY, NAME, WITNESS, TIME + visit, kept)
            return
        verdict = shown(last, size, tree)
        assert verdict.outcome == ("unchanged" if kept and not more else "advanced")
        kept = remember(verdict, LOG_KEY, NAME, WITNESS, TIME + visit, kept)
        assert kept.last().checkpoint == seen(size, tree)
        assert kept.last().time == TIME + visit
        assert Memory.parse(str(kept)) == kept


def test_two_faces_of_a_book_cannot_both_be_witnessed() -> None:
    left, right = NaiveTree([*ENTRIES[:300], b"left"]), NaiveTree([*ENTRIES[:300], b"right", b"x"])
    kept = remember(shown(seen(300), 301, left), LOG_KEY, NAME, WITNESS, TIME)
    assert shown(kept.last().checkpoint, 302, right).reason == "fork"


# What it remembers


def test_a_memory_holds_the_keys_and_the_cosigned_note() -> None:
    kept = memory_of(7)
    text = str(kept)
    assert text.startswith(f"bronzebook-witness-1\nlog {LOG_KEY}\nwitness {KEY}\n\n{ORIGIN}\n7\n")
    assert open_note(kept.note, [LOG_KEY, KEY]).signed_by == (ORIGIN, NAME)
    assert open_cosigned(kept.note, KEY).checkpoint == seen(7)
    assert kept.last().seen == "2026-11-24T12:00:00Z"


def test_a_memory_keeps_no_lines_of_others() -> None:
    crowded = signed(TREE, 7)
    for number in range(31):
        crowded = cosign(crowded, f"w{number}", OTHER, TIME)
    verdict = follow(None, crowded, LOG_KEY, Host(published(TREE, 7)))
    kept = remember(verdict, LOG_KEY, NAME, WITNESS, TIME)
    assert [line.name for line in take_apart(kept.note)[1]] == [ORIGIN, NAME]
    assert kept == memory_of(7)


def test_a_book_unchanged_is_cosigned_again_later() -> None:
    kept = memory_of(7)
    again = remember(shown(kept.last().checkpoint, 7), LOG_KEY, NAME, WITNESS, TIME + 3600, kept)
    assert again.last().checkpoint == kept.last().checkpoint
    assert again.last().time == TIME + 3600
    assert again.note.count("— ") == 2


def test_a_clock_that_went_back_signs_nothing() -> None:
    kept = memory_of(7)
    with pytest.raises(Contradiction, match="The clock stands before the last cosignature, 2026"):
        remember(shown(seen(7), 8), LOG_KEY, NAME, WITNESS, TIME - 1, kept)
    assert remember(shown(seen(7), 8), LOG_KEY, NAME, WITNESS, TIME, kept).last().time == TIME


@pytest.mark.parametrize("size", [1, 2, 3])
def test_every_refusal_is_left_unsigned(size: int) -> None:
    for verdict in (
        shown(seen(size + 1), size),
        shown(seen(size), size, NaiveTree(rewritten(ENTRIES, 0))),
        follow(None, signed(TREE, size), LOG_KEY, Host({})),
        follow(None, "", LOG_KEY, Host({})),
    ):
        with pytest.raises(Contradiction, match="does not sign what it refused"):
            remember(verdict, LOG_KEY, NAME, WITNESS, TIME)


def test_a_name_that_cannot_be_a_witness_is_refused() -> None:
    with pytest.raises(KeyUnusable):
        remember(shown(None, 7), LOG_KEY, "a witness", WITNESS, TIME)


def test_every_bit_of_a_memory_flipped_is_refused() -> None:
    data = str(memory_of(7)).encode()
    for bit in range(len(data) * 8):
        wrong = bytearray(data)
        wrong[bit // 8] ^= 1 << bit % 8
        with pytest.raises(BronzebookError):
            Memory.parse(wrong.decode(errors="surrogateescape"))


def test_every_memory_cut_short_or_lengthened_is_refused() -> None:
    text = str(memory_of(7))
    for end in range(len(text)):
        with pytest.raises(BronzebookError):
            Memory.parse(text[:end])
    for more in ("\n", "x", "\n\n", "— \n"):
        with pytest.raises(BronzebookError):
            Memory.parse(text + more)


def test_a_memory_of_other_keys_or_texts_is_refused() -> None:
    kept = memory_of(7)
    plain, other = signed(TREE, 7), CosignerKey(NAME, OTHER.public.raw)
    for log, witness, note in (
        (LOG_KEY, KEY, plain),
        (LOG_KEY, other, kept.note),
        (VerifierKey(ORIGIN, OTHER.public.raw), KEY, kept.note),
        (VerifierKey("else.example", LOG.public.raw), KEY, kept.note),
        (LOG_KEY, KEY, cosign(signed(TREE, 7, OTHER), NAME, WITNESS, TIME)),
    ):
        with pytest.raises(Contradiction):
            Memory(log, witness, note)
    elsewhere = sign_checkpoint(Checkpoint("else.example", 7, TREE.root(7)), LOG)
    with pytest.raises(Contradiction):
        Memory(LOG_KEY, KEY, cosign(elsewhere, NAME, WITNESS, TIME))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("bronzebook-witness-1", "bronzebook-witness-2"),
        ("log ", "Log "),
        ("log ", ""),
        ("witness ", "cosigner "),
        ("\nwitness", "\n\nwitness"),
        ("\n\n", "\n"),
        ("\n\n", "\nmore\n\n"),
    ],
)
def test_what_has_not_the_form_of_a_memory_is_refused(old: str, new: str) -> None:
    text = str(memory_of(7))
    with pytest.raises(Unreadable):
        Memory.parse(text.replace(old, new, 1))


def test_a_memory_that_is_far_too_long_is_refused_unread() -> None:
    with pytest.raises(Unreadable, match="at most"):
        Memory.parse("x" * (2 * LIMIT + 1))
