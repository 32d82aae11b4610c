"""What people do with the numbers of a run."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.issue import reserve
from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.numbers import (
    end_promise,
    free_number,
    give_next_number,
    give_number,
    next_number,
    number_in,
    numbers_of,
    promise_number,
)
from editions.registry.acts.pieces import register_cast, scrap_piece, start_piece, take_wax
from editions.registry.acts.waxes import number_wax
from editions.registry.auditing import audit
from editions.rules.designations import roman
from editions.trade.runs import Declaration, Run
from editions.trade.statement import ProofSeries
from tests.registry.builders import PASSPHRASE, a_mold, a_party, a_piece, a_run, a_wax, state


def _run(**declared: Any) -> Run:
    proofs = (
        ProofSeries(series="AP", count=4, numerals="roman"),
        ProofSeries(series="HC", count=2),
    )
    said = {"work": "K-0001", "authorised_by": "Y-0002", "size": 8, "proofs": proofs, **declared}
    return Run(code="R-0001", declared=Declaration(**said))


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("3/8", "3/8"),
        ("3 of 8", "3/8"),
        ("No. 3/8", "3/8"),
        ("3", "3/8"),
        (" 8 ", "8/8"),
        ("AP II/IV", "AP II/IV"),
        ("A.P. ii", "AP II/IV"),
        ("HC 1", "HC 1/2"),
        ("TP 1", "TP 1"),
        ("AP 2", "AP 2"),
    ],
)
def test_a_number_is_read_in_short_where_the_run_tells_the_rest(text: str, number: str) -> None:
    assert number_in(_run(), text) == number


@pytest.mark.parametrize(
    ("text", "number"), [("iii", "III/VIII"), ("C", "C/VIII"), ("V", "V/VIII")]
)
def test_a_roman_run_reads_a_bare_numeral_as_one_and_not_as_a_letter(
    text: str, number: str
) -> None:
    assert number_in(_run(numerals="roman"), text) == number


def test_a_lettered_run_reads_letters_and_an_unsized_one_no_bare_number() -> None:
    assert number_in(_run(numerals="letter"), "c") == "C"
    with pytest.raises(Unreadable):
        number_in(_run(size=None), "3")


@pytest.mark.parametrize("text", ["", "0", "eight", "3/", "III/8", "03/8", "3.5", "3/8/2", "٣"])
def test_what_is_no_number_is_never_guessed_at(text: str) -> None:
    with pytest.raises(Unreadable, match="not a number of a run"):
        number_in(_run(), text)


@given(st.integers(1, 500), st.integers(1, 500))
def test_short_and_full_forms_mean_the_same(position: int, size: int) -> None:
    arabic, romans = _run(size=size), _run(size=size, numerals="roman")
    assert number_in(arabic, str(position)) == number_in(arabic, f"{position}/{size}")
    short, full = roman(position), f"{roman(position)}/{roman(size)}"
    assert number_in(romans, short) == number_in(romans, full)


def test_a_number_is_given_once(registry: Registry) -> None:
    run = a_run(registry)
    one, two = a_piece(registry, run, tag="T-0101"), a_piece(registry, run)
    with registry.writing() as w:
        give_number(w, "t-0101", "3 of 8")
    assert state(registry, one).number == "3/8"
    with pytest.raises(Refused, match="3/8 was given to P-0001"), registry.writing() as w:
        give_number(w, two, "3/8")
    with pytest.raises(Refused, match="bears 3/8 already"), registry.writing() as w:
        give_number(w, one, "4/8")
    assert state(registry, two).number is None


@pytest.mark.parametrize(
    "number", ["9/8", "3/9", "III/VIII", "A", "PU", "AP 1/4", "AP V/IV", "EA 1"]
)
def test_a_number_that_the_run_does_not_give_is_refused(registry: Registry, number: str) -> None:
    piece = a_piece(registry)
    with pytest.raises(Refused), registry.writing() as w:
        give_number(w, piece, number)
    assert state(registry, piece).number is None


def test_the_next_number_skips_given_promised_elsewhere_and_cut_in_wax(registry: Registry) -> None:
    run = a_run(registry, elsewhere=["2/8=Lund"])
    wax = a_wax(registry, a_mold(registry, "D-0001"), run=run)
    a_piece(registry, run, number="1/8")
    pieces = [a_piece(registry, run) for _ in range(5)]
    with registry.writing() as w:
        promise_number(w, run, "3/8", held_for="Payment", to="a friend of the house")
        number_wax(w, wax, "4/8")
        take_wax(w, pieces[4], wax)
        for piece in pieces[:2]:
            give_next_number(w, piece)
        give_next_number(w, pieces[2], series="ap")
        give_next_number(w, pieces[3], series="A.P.")
        # What is cut into its wax goes before what is next.
        give_next_number(w, pieces[4])
    numbers = [state(registry, piece).number for piece in pieces]
    assert numbers == ["5/8", "6/8", "AP I/IV", "AP II/IV", "4/8"]


def test_when_none_is_free_it_is_said(registry: Registry) -> None:
    run = a_run(registry, size=1, proofs=["1 AP"])
    a_piece(registry, run, number="1/1")
    a_piece(registry, run, number="AP 1")
    last = a_piece(registry, run)
    with pytest.raises(Refused, match=f"No number of {run} is free"), registry.writing() as w:
        give_next_number(w, last)
    with pytest.raises(Refused, match=f"series AP of {run} is free"), registry.writing() as w:
        give_next_number(w, last, series="ap")
    with pytest.raises(Refused, match="no series “HC”"), registry.writing() as w:
        give_next_number(w, last, series="HC")


def test_a_unique_cast_is_given_its_one_number(registry: Registry) -> None:
    piece = a_piece(registry, a_run(registry, edition_class="unique", size=1, proofs=[]))
    with registry.writing() as w:
        give_next_number(w, piece)
    assert state(registry, piece).number == "PU"


def test_a_promise_holds_a_number_until_it_ends(registry: Registry) -> None:
    run = a_run(registry)
    with registry.writing() as w:
        promise_number(w, run, "3/8", to="Ada Quill")
    with pytest.raises(Refused, match="spoken for already"), registry.writing() as w:
        promise_number(w, run, "3")
    with registry.writing() as w:
        end_promise(w, run, "3 of 8", reason="withdrew")
    assert state(registry, run).promised == ()
    with pytest.raises(Refused, match="not promised"), registry.writing() as w:
        end_promise(w, run, "3/8")
    with pytest.raises(Unreadable, match="reason to hold"), registry.writing() as w:
        promise_number(w, run, "3/8", held_for="fun")


def test_the_paper_that_reserved_a_number_lapses_with_its_promise(registry: Registry) -> None:
    run = a_run(registry)
    with registry.writing() as w:
        promise_number(w, run, "3/8")
        promise_number(w, run, "4/8")
    (paper,) = reserve(registry, run, "3/8", passphrase=PASSPHRASE)
    (other,) = reserve(registry, run, "4/8", passphrase=PASSPHRASE)
    with registry.writing() as w:
        ended = end_promise(w, run, "3/8", on="2026-02-28")
    assert "lapses" in ended.remarks[0]
    lapsed = state(registry, paper.number)
    assert (lapsed.standing, lapsed.ended) == ("lapsed", "2026-02-28")
    assert state(registry, other.number).standing == "stands"
    with registry.reading() as reading:
        assert reading.history(paper.number)[-1][1].facts.kind == "promise_ended"


def test_the_audit_folds_a_lapse_again(registry: Registry) -> None:
    run = a_run(registry)
    with registry.writing() as w:
        promise_number(w, run, "3/8")
    reserve(registry, run, "3/8", passphrase=PASSPHRASE)
    with registry.writing() as w:
        end_promise(w, run, "3/8")
    assert audit(registry).faults == ()


def test_a_promised_number_is_given_with_a_remark(registry: Registry) -> None:
    run = a_run(registry)
    piece = a_piece(registry, run)
    with registry.writing() as w:
        promise_number(w, run, "3/8", held_for="sale")
        made = give_number(w, piece, "3/8")
    assert made.remarks == ("3/8 was spoken for (sale).",)


def test_the_number_of_a_scrapped_piece_returns_to_the_run(registry: Registry) -> None:
    run = a_run(registry)
    piece = a_piece(registry, run, to="poured", number="3/8")
    with pytest.raises(Refused, match="not proven destroyed"), registry.writing() as w:
        free_number(w, piece)
    with registry.writing() as w:
        scrap_piece(w, piece, evidence="broken up, photograph 12")
        free_number(w, piece)
    held: Run = state(registry, run)
    assert held.given[0].freed
    assert held.bearer("3/8") is None
    with registry.writing() as w:
        again = start_piece(w, run).code
        give_number(w, again, "3/8")
    assert state(registry, run).bearer("3/8") == again
    with pytest.raises(Refused, match="bears no number"), registry.writing() as w:
        free_number(w, piece)


def test_a_released_piece_gives_its_number_back_only_by_surrender(registry: Registry) -> None:
    run, by = a_run(registry), a_party(registry)
    piece = a_piece(registry, run, to="released", number="3/8")
    with registry.writing() as w:
        scrap_piece(w, piece, evidence="melted before two witnesses")
    with pytest.raises(Refused, match="Who authorised"), registry.writing() as w:
        free_number(w, piece)
    with pytest.raises(Refused, match="holds no authority"), registry.writing() as w:
        free_number(w, piece, authorised_by=by)
    with registry.writing() as w:
        free_number(w, piece, authorised_by="Y-0002", evidence="witnesses' letter")
    assert state(registry, run).bearer("3/8") is None


def test_a_piece_of_no_run_takes_no_number(registry: Registry) -> None:
    a_run(registry)
    with registry.writing() as w:
        cast = register_cast(w, "K-0001").code
    with pytest.raises(Refused, match="of no run"), registry.writing() as w:
        give_next_number(w, cast)
    with pytest.raises(NotKnown, match="T-0999"), registry.writing() as w:
        give_number(w, "T-0999", "1/8")


def test_every_number_is_listed_with_how_it_stands(registry: Registry) -> None:
    run = a_run(registry, size=5, proofs=["1 AP"], elsewhere=["2/5=Lund"])
    mold = a_mold(registry, "D-0001")
    loose, promised = a_wax(registry, mold, run=run), a_wax(registry, mold, run=run)
    piece = a_piece(registry, run, number="1/5")
    trial = a_piece(registry, run, purpose="trial", number="TP 1")
    with registry.writing() as w:
        number_wax(w, loose, "3")
        promise_number(w, run, "4/5", held_for="payment")
        number_wax(w, promised, "4")
    with registry.reading() as r:
        lines = numbers_of(r, run.lower())
    assert [(line.number, line.standing, line.code, line.says) for line in lines] == [
        ("1/5", "given", piece, ""),
        ("2/5", "elsewhere", None, "Lund"),
        ("3/5", "cut in wax", loose, ""),
        ("4/5", "spoken for", promised, "payment"),
        ("5/5", "free", None, ""),
        ("AP 1/1", "free", None, ""),
        ("TP 1", "given", trial, ""),
    ]


def test_the_next_of_a_series_that_is_not_declared_is_answered_with_those_that_are(
    book: Registry,
) -> None:
    run = state(book, a_run(book))
    with book.reading() as reading, pytest.raises(Refused, match="declares no series “HC”") as why:
        next_number(reading, run, "HC")
    assert why.value.remedy == "Its series: AP."
