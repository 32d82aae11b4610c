"""Papers held side by side: what their proofs show, alone and with the book of today."""

from __future__ import annotations

import functools

import pytest
from msgspec.structs import replace

from certificates.checks import GROWTH, agrees, contradicts
from certificates.claim import Claim
from certificates.comparing import (
    BOOK,
    FIRST,
    TOGETHER,
    Comparison,
    Seen,
    Witness,
    compare,
    nodes_seen,
    shared,
)
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.tree import Frontier, inclusion_proof, leaf_hash
from tests.certificates.builders import NUMBER, ORIGIN

MOST = 70
LOG = VerifierKey(ORIGIN, PrivateKey(bytes(range(32))).public.raw)


@functools.cache
def book(changed: int | None = None) -> tuple[tuple[bytes, ...], dict[tuple[int, int], bytes]]:
    """The leaves and full nodes of a book, one entry of it changed where one is named."""
    leaves = tuple(leaf_hash(b"%d%s" % (at, b"!" * (at == changed))) for at in range(MOST))
    _, nodes = Frontier(0, ()).grown(leaves)
    return leaves, {(node.level, node.index): node.hash for node in nodes}


def proved(index: int, size: int, changed: int | None = None) -> Seen:
    leaves, nodes = book(changed)
    hashes = inclusion_proof(index, size, lambda places: [nodes[at] for at in places])
    return nodes_seen(leaves[index], index, size, hashes)


def root(size: int, changed: int | None = None) -> bytes:
    return Frontier(0, ()).grown(book(changed)[0][:size])[0].root()


def witness(name: str, index: int, size: int, changed: int | None = None) -> Witness:
    claim = Claim(
        number=NUMBER,
        leaf=book(changed)[0][index],
        index=index,
        size=size,
        root=root(size, changed),
        origin=ORIGIN,
        paper="finished",
        artist="Ilse Varga",
        title="Heron",
        issued="2026-11-24",
    )
    return Witness(name=name, claim=claim, logs=frozenset({LOG}), seen=proved(index, size, changed))


def said(found: Comparison, name: str) -> str:
    return next(check.says for check in found.checks if check.name == name)


def results(found: Comparison) -> list[tuple[str, str]]:
    return [(check.name, check.result) for check in found.checks]


def test_what_a_proof_shows_is_the_tree_s_own_at_every_place_of_every_size() -> None:
    _, nodes = book()
    for size in range(1, MOST):
        for index in range(size):
            seen = proved(index, size)
            assert all(nodes[at] == one for at, one in seen.full.items())
            assert all((number + 1) << level <= size for level, number in seen.full)
            assert seen.roots == {each: root(each) for each in (index, index + 1) if each}


def test_papers_stand_in_the_order_of_the_states_they_print() -> None:
    given = [witness("c", 30, 31), witness("a", 3, 4), witness("b", 10, 12)]
    assert compare(given, ["none"]).order == ("a", "b", "c", "none")


def test_a_later_paper_whose_proof_begins_at_the_earlier_state_holds_all_of_it() -> None:
    found = compare([witness("a", 10, 12), witness("b", 12, 20)])
    assert results(found) == [(TOGETHER, "agrees")]
    assert said(found, TOGETHER) == "b holds all 12 entries of a unchanged."


def test_papers_that_overlap_in_part_say_how_far_and_what_to_bring() -> None:
    found = compare([witness("a", 35, 37), witness("b", 50, 60)])
    assert results(found) == [(TOGETHER, "not checked")]
    assert "the first 32 are the same in both" in said(found, TOGETHER)
    assert "--site" in said(found, TOGETHER)


def test_papers_that_do_not_overlap_say_so() -> None:
    found = compare([witness("a", 2, 4), witness("b", 60, 70)])
    assert results(found) == [(TOGETHER, "not checked")]
    assert "nothing in their proofs overlaps" in said(found, TOGETHER)


def test_two_states_of_one_size_with_two_roots_contradict_without_the_book() -> None:
    found = compare([witness("a", 35, 37), witness("b", 36, 37, changed=36)])
    assert results(found) == [(TOGETHER, "contradicts")]
    assert "give the book's 37 entries two different roots" in said(found, TOGETHER)


@pytest.mark.parametrize("changed", range(32))
def test_an_entry_rewritten_in_what_both_show_contradicts_without_the_book(changed: int) -> None:
    found = compare([witness("a", 35, 37), witness("b", 50, 60, changed)])
    assert results(found) == [(TOGETHER, "contradicts")]
    assert "show different entries within the first 37" in said(found, TOGETHER)
    assert "a and b" in said(found, TOGETHER)


@pytest.mark.parametrize("size", range(2, 24))
def test_what_two_papers_share_is_never_more_than_both_hold_and_never_wrong(size: int) -> None:
    for index in range(size):
        one = witness("a", index, size)
        for later in range(size, 40, 3):
            count, differ = shared(one, witness("b", later, later + 1))
            assert not differ
            assert 0 <= count <= size
            # Whatever is rewritten within what they share, they tell.
            if count:
                _, differ = shared(one, witness("b", later, later + 1, changed=count - 1))
                assert differ


def test_the_first_paper_that_the_book_contradicts_is_named_with_what_still_agrees() -> None:
    sound, bad = agrees(GROWTH, "grown"), contradicts(GROWTH, "rewritten")
    given = [
        replace(witness("late", 60, 62), grown=bad),
        replace(witness("early", 10, 12), grown=sound),
        replace(witness("first", 35, 37), grown=bad),
    ]
    found = compare(given)
    assert found.first == "first"
    assert results(found) == [(FIRST, "contradicts")]
    assert "first, certificate 4MH8" in said(found, FIRST).replace(NUMBER, "")
    assert "lies before entry 37 and from entry 12 on, since early still agrees." in said(
        found, FIRST
    )
    assert "So does one more of these papers." in said(found, FIRST)


def test_papers_that_the_book_has_grown_from_are_states_of_one_book() -> None:
    grown = agrees(GROWTH, "grown")
    given = [replace(witness(name, at, at + 2), grown=grown) for name, at in (("a", 3), ("b", 40))]
    found = compare(given)
    assert results(found) == [(TOGETHER, "agrees")]
    assert "2 states of one book" in said(found, TOGETHER)
    assert "of 5, 42 entries" in said(found, TOGETHER)


def test_one_name_with_two_keys_is_two_books_unless_the_book_joins_them() -> None:
    other = VerifierKey(ORIGIN, PrivateKey(bytes(range(1, 33))).public.raw)
    found = compare([witness("a", 3, 5), replace(witness("b", 12, 14), logs=frozenset({other}))])
    assert results(found) == [(BOOK, "not checked"), (TOGETHER, "not checked")]
    assert "carry different keys of its log" in said(found, BOOK)
    grown = agrees(GROWTH, "grown")
    both = [replace(witness("a", 3, 5), grown=grown), replace(witness("b", 12, 14), grown=grown)]
    found = compare([both[0], replace(both[1], logs=frozenset({other}))])
    assert results(found) == [(TOGETHER, "agrees")]


def test_papers_of_two_books_are_not_compared_and_what_proves_nothing_is_no_witness() -> None:
    one = witness("a", 3, 5)
    other = replace(one, name="b", claim=replace(one.claim, origin="elsewhere.example"))
    found = compare([one, other], ["c"])
    assert results(found) == [(BOOK, "not checked"), (BOOK, "not checked")]
    assert "2 books, elsewhere.example, hollow-oak.example/book" in said(found, BOOK)
    assert "c does not prove itself" in found.checks[-1].says
    assert found.contradicted == ()


def test_a_code_alone_shows_its_state_and_no_node() -> None:
    code = replace(witness("code", 10, 12), seen=Seen(), logs=frozenset())
    found = compare([code, witness("b", 12, 20)])
    assert results(found) == [(TOGETHER, "agrees")]
    assert results(compare([code])) == []
