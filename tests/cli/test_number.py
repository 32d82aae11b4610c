"""``bronzebook number``: given, promised, freed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from editions.registry import Registry
from editions.registry.acts.numbers import give_number, promise_number
from editions.registry.acts.pieces import register_cast, scrap_piece, take_wax
from editions.registry.acts.waxes import number_wax
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import a_piece, a_run, a_wax, state


@pytest.mark.parametrize("words", [["4/8"], ["4"], ["4", "of", "8"], ["No.", "4/8"]])
def test_a_number_is_given_as_people_write_it(
    call: Call, registry: Registry, shop: Shop, words: list[str]
) -> None:
    done = call("number", "give", "t-0101", *words)
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith(f"{shop.run}  number given  4/8 to t-0101  ")
    assert state(registry, shop.poured).number == "4/8"


def test_a_proof_is_given_without_quotation_marks(
    call: Call, registry: Registry, shop: Shop
) -> None:
    assert call("number", "give", "T-0101", "AP", "II/IV").exit_code == 0
    assert state(registry, shop.poured).number == "AP II/IV"


def test_a_rack_is_given_the_next_numbers(call: Call, registry: Registry, shop: Shop) -> None:
    pieces = [a_piece(registry, shop.run, tag=f"T-020{n}") for n in (1, 2, 3)]
    done = call("number", "give", "T-0201..T-0203", "--next")
    assert [line.split("  ")[2] for line in done.stdout.splitlines()] == [
        "1/8 to T-0201",
        "2/8 to T-0202",
        "4/8 to T-0203",
    ]
    assert [state(registry, piece).number for piece in pieces] == ["1/8", "2/8", "4/8"]
    assert call("number", "give", "T-0101", "--series", "ap").exit_code == 0
    assert state(registry, shop.poured).number == "AP I/IV"


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0101"], 2, "NUMBER is missing"),
        (["T-0101", "3/8"], 6, "3/8 was given to P-0002"),
        (["T-0101", "9/8"], 6, "above the total"),
        (["T-0101", "3", "of", "12"], 6, "another total"),
        (["T-0101", "three"], 2, "not a number of a run"),
        (["T-0101", "4/8", "--next"], 2, "the next is asked for"),
        (["T-0102", "4/8"], 6, "bears 3/8 already"),
        (["T-0101..T-0103"], 2, "Which numbers is not said"),
        (["T-0101..T-0103", "4/8"], 2, "cannot share 4/8"),
        (["T-0199", "4/8"], 4, "T-0199"),
    ],
)
def test_a_number_that_cannot_be_given_is_said(
    call: Call, registry: Registry, shop: Shop, words: list[str], status: int, says: str
) -> None:
    done = call("number", "give", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert state(registry, shop.poured).number is None


def test_the_next_number_is_the_likely_answer(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("number", "give", "T-0101", answers="\n")
    assert "Which number [1/8]: " in shown.text
    assert state(registry, shop.poured).number == "1/8"


def test_the_number_cut_into_the_wax_is_likelier_still(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    wax = a_wax(registry, shop.mold, run=shop.run)
    with registry.writing() as w:
        number_wax(w, wax, "7/8")
        take_wax(w, shop.started, wax)
    shown = at_terminal("number", "give", "T-0103", answers="\n")
    assert "Which number [7/8]: " in shown.text
    assert state(registry, shop.started).number == "7/8"


def test_where_none_is_free_none_is_likely(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    run = a_run(registry, shop.work, size=1, proofs=["1 AP"])
    a_piece(registry, run, number="1/1")
    last = a_piece(registry, run)
    shown = at_terminal("number", "give", last, answers="AP 1\n")
    assert "Which number: " in shown.text
    assert state(registry, last).number == "AP 1/1"


def test_a_cast_of_no_run_has_no_likely_number(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        cast = register_cast(w, shop.work).code
    shown = at_terminal("number", "give", cast, answers="1/8\n")
    assert shown.status == 6
    assert "of no run" in shown.text


def test_a_number_is_promised_and_the_promise_ended(
    call: Call, registry: Registry, shop: Shop
) -> None:
    done = call("number", "promise", shop.run, "5", "of", "8", "--for", "payment", "--to", "A. Q.")
    assert (done.exit_code, done.stderr) == (0, "")
    assert f"{shop.run}  number promised  5/8, payment" in done.stdout
    assert "A. Q." not in done.output
    done = call("number", "unpromise", shop.run, "5/8", "--reason", "withdrew")
    assert done.exit_code == 0
    assert "5/8 is free again" in done.stdout
    assert state(registry, shop.run).promised == ()


def test_a_number_that_a_cast_bears_is_not_free_when_its_promise_ends(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "4/8")
        give_number(w, shop.poured, "4/8")
    done = call("number", "unpromise", shop.run, "4/8")
    assert f"4/8, {shop.poured} bears it" in done.stdout
    assert "free again" not in done.output


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["promise", "R-0001", "3/8"], 6, "was given"),
        (["promise", "R-0001", "9/8"], 6, "above the total"),
        (["promise", "R-0001", "4/8", "--for", "love"], 2, "not a reason to hold"),
        (["promise", "R-0009", "4/8"], 4, "No run R-0009"),
        (["promise", "R-0001"], 2, "NUMBER"),
        (["unpromise", "R-0001", "4/8"], 6, "not promised"),
        (["free", "T-0102"], 6, "not proven destroyed"),
        (["free", "T-0101"], 6, "bears no number"),
    ],
)
def test_what_cannot_be_promised_or_freed_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("number", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_a_promised_number_is_given_with_a_remark(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        promise_number(w, shop.run, "4/8", held_for="sale")
    done = call("number", "give", "T-0101", "4/8")
    assert done.exit_code == 0
    assert done.stderr == f"remark: {shop.run}: 4/8 was spoken for (sale).\n"


def test_the_number_of_a_scrapped_piece_is_freed(
    call: Call, at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    with registry.writing() as w:
        scrap_piece(w, shop.numbered, evidence="broken up")
    shown = at_terminal("number", "free", "T-0102", answers="n\n")
    assert f"Return 3/8 of {shop.numbered} to {shop.run}?" in shown.text
    assert shown.status == 130
    done = call("number", "free", "T-0102", "--evidence", "photograph 12")
    assert done.exit_code == 0
    assert f"{shop.run}  number freed  3/8 of {shop.numbered}" in done.stdout
    with registry.writing() as w:
        give_number(w, shop.poured, "3/8")
    assert state(registry, shop.run).bearer("3/8") == shop.poured
