from __future__ import annotations

from editions.rules.contested import contested
from editions.trade.pieces import Mark, Piece
from editions.trade.statement import MarkLine


def piece(code: str, *marks: str | None, **more: object) -> Piece:
    borne = tuple(
        Mark(line=MarkLine(text=number or "I.V."), number=number, on="2026") for number in marks
    )
    return Piece(code=code, run="R-0001", marks=borne, **more)  # type: ignore[arg-type]


def test_a_number_that_two_bear_is_contested() -> None:
    one = piece("P-0001", "3/8", None, number="3/8")
    (contest,) = contested([one, piece("P-0002", "3/8"), piece("P-0003", "4/8")])
    assert (contest.number, contest.borne_by) == ("3/8", ("P-0001", "P-0002"))
    assert str(contest) == "3/8 is borne by P-0001 and P-0002; given to P-0001"


def test_a_contest_over_a_number_nobody_was_given_says_so() -> None:
    (contest,) = contested([piece("P-0001", "3/8"), piece("P-0002", "3/8")])
    assert str(contest) == "3/8 is borne by P-0001 and P-0002; given to none"


def test_a_number_marked_twice_on_one_bronze_is_not_contested() -> None:
    assert contested([piece("P-0001", "3/8", "3/8")]) == ()


def test_a_mark_that_reads_as_no_number_contests_nothing() -> None:
    assert contested([piece("P-0001", None), piece("P-0002", None)]) == ()


def test_a_scrapped_bronze_contests_nothing() -> None:
    gone = piece("P-0001", "3/8", number="3/8", scrapped="2026-03-02")
    assert contested([gone, piece("P-0002", "3/8")]) == ()


def test_no_bronze_contests_nothing() -> None:
    assert contested([]) == ()
