from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.trade.certificates import CertificateWithdrawn
from editions.trade.pieces import Piece
from editions.trade.runs import (
    Elsewhere,
    NumberFreed,
    NumberGiven,
    NumberPromised,
    PromiseEnded,
    Run,
)
from editions.trade.statement import ProofSeries
from editions.trade.waxes import WaxNumbered
from tests.rules.judging.shop import ARTIST, ESTATE, HAND, NUMBERS, RUN, Shop


def giving(designation: str, piece: str = "P-0001") -> NumberGiven:
    return NumberGiven(piece=piece, designation=designation)


def freeing(piece: str = "P-0001", designation: str = "3/8", **changes: object) -> NumberFreed:
    facts = {"because": "scrapped before release", "evidence": "broken up", **changes}
    return NumberFreed(piece=piece, designation=designation, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize("number", ["1/8", "8/8", "AP I/IV", "AP IV/IV"])
def test_a_number_of_the_run_is_given(shop: Shop, number: str) -> None:
    shop.start("P-0001")
    assert shop.enter(RUN, giving(number)) == ()
    assert shop.get("P-0001", Piece).number == number
    assert shop.bearer(RUN, number) == "P-0001"
    assert shop.get(RUN, Run).bearer(number) == "P-0001"


@pytest.mark.parametrize(
    ("number", "says"),
    [
        ("9/8", "9/8 is above the total: R-0001 is declared as a run of 8"),
        ("3/9", "3/9 is out of another total"),
        ("3/7", "3/7 is out of another total"),
        ("3", "is not read as a designation"),
        ("three", "is not read as a designation"),
        ("AC/1", "is not read as a designation"),
        ("3 of 8", "is written 3/8"),
        ("No. 3/8", "is written 3/8"),
        ("III/VIII", "numbers in Arabic numerals; III/VIII is in Roman"),
        ("A", "numbers in Arabic numerals; A is a letter"),
        ("AP V/IV", "AP V/IV is above the total"),
        ("AP I/V", "AP I/V is out of another total"),
        ("AP 1/4", "numbers its AP in Roman numerals; AP 1/4 is in Arabic"),
        ("AP 1", "numbers its AP in Roman numerals"),
        ("AP I", "AP I is out of another total"),
        ("EA I/IV", "declares no series EA"),
        ("HC 1/2", "declares no series HC"),
        ("TP 1/2", "declares no series TP"),
        ("PU", "R-0001 is declared multiple; PU is for a unique cast"),
    ],
)
def test_a_number_that_is_not_of_the_run_is_refused(shop: Shop, number: str, says: str) -> None:
    shop.start("P-0001")
    shop.refuses(RUN, giving(number), says)
    shop.refuses(RUN, NumberPromised(designation=number), says)


@pytest.mark.parametrize(
    ("declared", "number", "remedy"),
    [
        ({}, "AP 1", "Its AP go from AP I/IV to AP IV/IV."),
        ({}, "III/VIII", "Its numbers go from 1/8 to 8/8."),
        ({}, "9/8", "Choose a number up to 8."),
        ({}, "PU", "Its numbers go from 1/8 to 8/8."),
        ({"numerals": "letter"}, "3/8", "Its numbers go from A to H."),
        ({"numerals": "letter"}, "I", "Choose from A to H."),
        ({"numerals": "none"}, "PU", "Its casts are known by their codes."),
        ({"size": 1}, "I/I", "It may bear 1/1."),
    ],
)
def test_a_number_of_another_style_is_answered_with_the_runs_own(
    shop: Shop, declared: dict[str, object], number: str, remedy: str
) -> None:
    shop.run("R-0009", **declared)
    shop.start("P-0001", "R-0009")
    assert shop.refuses("R-0009", giving(number), ".").remedy == remedy


@pytest.mark.parametrize(
    ("declared", "number", "says"),
    [
        ({"numerals": "roman"}, "3/8", "numbers in Roman numerals"),
        ({"numerals": "letter"}, "I", "goes from A to H; it has no I"),
        ({"numerals": "letter"}, "3/8", "numbers in letters"),
        ({"numerals": "none"}, "3/8", "R-0009 gives no numbers"),
        ({"numerals": "none"}, "A", "R-0009 gives no numbers"),
        ({"size": None}, "3/8", "declares no size, so it has no 3/8"),
        ({"size": None, "numerals": "letter"}, "A", "declares no size"),
        ({"edition_class": "unique", "size": 1, "proofs": ()}, "3/8", "has no number 3/8"),
        ({"edition_class": "unique", "size": 1, "proofs": ()}, "AP I/IV", "has no number AP"),
    ],
)
def test_a_run_gives_numbers_in_its_own_style(
    shop: Shop, declared: dict[str, object], number: str, says: str
) -> None:
    shop.run("R-0009", **declared)
    shop.start("P-0001", "R-0009")
    shop.refuses("R-0009", giving(number), says)


@pytest.mark.parametrize(
    ("declared", "number"),
    [
        ({"numerals": "roman"}, "III/VIII"),
        ({"numerals": "letter"}, "H"),
        ({"numerals": "none"}, "AP I/IV"),
        ({"edition_class": "unique", "size": 1, "proofs": ()}, "PU"),
        ({"edition_class": "unique", "size": None, "proofs": ()}, "1/1"),
        ({"edition_class": "unique", "size": None, "proofs": ()}, "TP 1"),
        ({"proofs": (ProofSeries(series="FP", count=1),)}, "FP 1/1"),
        ({}, "FP 1"),
    ],
)
def test_a_run_of_another_style_gives_its_own_numbers(
    shop: Shop, declared: dict[str, object], number: str
) -> None:
    shop.run("R-0009", **declared)
    shop.start("P-0001", "R-0009")
    assert shop.enter("R-0009", giving(number)) == ()


def test_a_number_is_given_once(shop: Shop) -> None:
    shop.start("P-0003")
    shop.start("P-0004")
    shop.enter(RUN, giving("3/8", "P-0003"))
    why = shop.refuses(RUN, giving("3/8", "P-0004"), "3/8 was given to P-0003")
    assert "free" in why.remedy


def test_a_piece_takes_one_number(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, giving("3/8"))
    shop.refuses(RUN, giving("4/8"), "P-0001 bears 3/8 already")


def test_a_piece_of_another_run_takes_no_number(shop: Shop) -> None:
    shop.run("R-0009")
    shop.start("P-0001", "R-0009")
    shop.refuses(RUN, giving("3/8"), "P-0001 is not of R-0001 but of R-0009")


def test_a_scrapped_piece_takes_no_number(shop: Shop) -> None:
    shop.start("P-0001")
    shop.scrap("P-0001")
    shop.refuses(RUN, giving("3/8"), "P-0001 was scrapped 2 March 2026")


def test_a_number_goes_to_a_piece_of_the_book(shop: Shop) -> None:
    shop.refuses(RUN, giving("3/8"), "P-0001 is not in the book", error=NotKnown)


def test_a_number_is_not_given_before_the_run_is_declared(shop: Shop) -> None:
    shop.start("P-0001")
    shop.refuses(RUN, giving("3/8"), "when R-0001 was declared", "2026-01-04")


def test_a_number_allotted_elsewhere_is_not_given_here(shop: Shop) -> None:
    shop.run("R-0009", elsewhere=(Elsewhere(designation="3/8", where="cast in 1998"),))
    shop.start("P-0001", "R-0009")
    shop.refuses("R-0009", giving("3/8"), "allotted elsewhere: cast in 1998")
    shop.refuses("R-0009", NumberPromised(designation="3/8"), "allotted elsewhere")
    assert shop.enter("R-0009", giving("4/8")) == ()


@pytest.mark.parametrize("number", ["1/8", "AP I/IV"])
def test_a_trial_cast_takes_no_number_of_the_edition(shop: Shop, number: str) -> None:
    shop.trial("P-0001")
    why = shop.refuses(RUN, giving(number), "P-0001 is a trial cast")
    assert "TP 1" in why.remedy


@pytest.mark.parametrize("number", ["TP 1", "FP 1"])
def test_a_trial_cast_takes_a_number_outside_the_edition(shop: Shop, number: str) -> None:
    shop.trial("P-0001")
    assert shop.enter(RUN, giving(number)) == ()


def test_a_number_that_was_promised_is_given_with_a_remark(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberPromised(designation="3/8", held_for="payment"))
    assert shop.enter(RUN, giving("3/8")) == ("3/8 was spoken for (payment).",)


def test_a_number_cut_in_another_wax_is_not_given(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation="3/8"))
    shop.start("P-0001")
    shop.refuses(RUN, giving("3/8"), "3/8 is cut into W-0001")


def test_a_number_goes_with_its_wax_into_the_piece(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation="3/8"))
    shop.start("P-0001")
    shop.start("P-0002")
    shop.take("P-0001", "W-0001")
    shop.refuses(RUN, giving("3/8", "P-0002"), "3/8 is cut into the wax of P-0001")
    shop.refuses(RUN, giving("4/8"), "3/8 is cut into the wax of P-0001")
    assert shop.enter(RUN, giving("3/8")) == ()


def test_a_number_is_promised_and_the_promise_ended(shop: Shop) -> None:
    assert shop.enter(RUN, NumberPromised(designation="3/8")) == ()
    shop.refuses(RUN, NumberPromised(designation="3/8"), "spoken for already .promise.")
    assert shop.enter(RUN, PromiseEnded(designation="3/8")) == ()
    assert shop.enter(RUN, NumberPromised(designation="3/8")) == ()


def test_a_promise_ripens_to_payment_and_sale_and_not_back(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    assert shop.enter(RUN, NumberPromised(designation="3/8", held_for="payment")) == ()
    assert shop.enter(RUN, NumberPromised(designation="3/8", held_for="sale")) == ()
    for held_for in ("promise", "payment", "sale"):
        facts = NumberPromised(designation="3/8", held_for=held_for)
        shop.refuses(RUN, facts, "spoken for already .sale.")


def test_a_number_given_is_not_promised(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, giving("3/8"))
    shop.refuses(RUN, NumberPromised(designation="3/8"), "3/8 was given to P-0001")


def test_a_promise_is_not_dated_before_the_run(shop: Shop) -> None:
    facts = NumberPromised(designation="3/8")
    shop.refuses(RUN, facts, "when R-0001 was declared", "2026-01-04")


def test_a_promise_that_was_not_made_is_not_ended(shop: Shop) -> None:
    shop.refuses(RUN, PromiseEnded(designation="3/8"), "is not promised to anyone")


def test_a_number_returns_when_its_bearer_is_proven_destroyed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    assert shop.enter(RUN, freeing()) == ()
    assert shop.get("P-0001", Piece).number is None
    assert shop.get(RUN, Run).given[0].freed
    shop.cast("P-0002")
    assert shop.enter(RUN, giving("3/8", "P-0002")) == ()


def test_a_number_stays_with_a_cast_that_is_not_destroyed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    why = shop.refuses(RUN, freeing(), "P-0001 is not proven destroyed")
    assert "never for a lost or stolen cast" in why.remedy


def test_a_number_stays_with_a_released_cast(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.release("P-0001")
    shop.refuses(RUN, freeing(), "is not proven destroyed")


def test_a_number_is_freed_of_its_own_bearer(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.cast("P-0002", "4/8")
    shop.scrap("P-0002")
    shop.refuses(RUN, freeing("P-0002"), "P-0002 does not bear 3/8 of R-0001, but 4/8")


def test_a_number_is_freed_of_its_own_run(shop: Shop) -> None:
    shop.run("R-0009")
    shop.cast("P-0001", "3/8", run="R-0009")
    shop.scrap("P-0001")
    shop.refuses(RUN, freeing(), "P-0001 does not bear 3/8 of R-0001")


def test_a_number_is_freed_once(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    shop.enter(RUN, freeing())
    shop.refuses(RUN, freeing(), "but no number")


def test_a_number_is_not_freed_before_its_bearer_was_scrapped(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001", on="2026-03-10")
    shop.refuses(RUN, freeing(), "when P-0001 was scrapped", "2026-03-09")


def surrendered(shop: Shop) -> None:
    """P-0001 released with a certificate, then withdrawn and scrapped."""
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", NUMBERS[0])
    shop.release("P-0001")
    shop.enter(NUMBERS[0], CertificateWithdrawn(because="surrendered"))
    shop.scrap("P-0001")


def test_a_released_cast_gives_its_number_back_only_by_surrender(shop: Shop) -> None:
    surrendered(shop)
    shop.refuses(RUN, freeing(), "P-0001 was released 2 March 2026")
    facts = freeing(because="surrendered and destroyed", authorised_by=ARTIST)
    assert shop.enter(RUN, facts) == ()


def test_a_surrender_is_authorised(shop: Shop) -> None:
    surrendered(shop)
    facts = freeing(because="surrendered and destroyed")
    shop.refuses(RUN, facts, "Who authorised that 3/8 returns to R-0001 is not named")


@pytest.mark.parametrize("by", [HAND, ESTATE])
def test_a_surrender_is_authorised_by_who_may(shop: Shop, by: str) -> None:
    surrendered(shop)
    facts = freeing(because="surrendered and destroyed", authorised_by=by)
    shop.refuses(RUN, facts, "cannot free a number")


def test_what_was_never_released_is_not_surrendered(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    facts = freeing(because="surrendered and destroyed", authorised_by=ARTIST)
    shop.refuses(RUN, facts, "P-0001 was never released")


def test_a_number_stays_while_a_certificate_vouches_for_it(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.scrap("P-0001")
    # Only a replay could bring a certificate after the scrapping; a judge refuses it.
    shop.write(NUMBERS[0], shop.certificate("P-0001"))
    shop.refuses(RUN, freeing(), "stands; 3/8 cannot be freed")
