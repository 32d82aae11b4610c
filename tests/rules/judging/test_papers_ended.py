"""A paper is drawn once, reported gone, withdrawn, replaced: what may still happen to it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown
from editions.trade.certificates import (
    Certificate,
    CertificateReported,
)
from editions.trade.kinds import Facts
from tests.rules.judging.shop import (
    DRAWN,
    LOST,
    NUMBERS,
    STOLEN,
    WITHDRAWN,
    Shop,
)

ONE, TWO, THREE, FOUR = NUMBERS


def test_a_certificate_is_drawn_once(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    assert finished.enter(ONE, DRAWN) == ()
    finished.refuses(ONE, DRAWN, "is drawn already")


def test_an_empty_file_is_no_certificate(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, replace(DRAWN, size=0), "An empty file")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_a_certificate_that_does_not_stand_is_done_with(finished: Shop, facts: Facts) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, WITHDRAWN)
    finished.refuses(ONE, facts, "Certificate 0123 4567 89A was withdrawn 2 March 2026 and")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_nothing_happens_to_a_certificate_before_its_issue(finished: Shop, facts: Facts) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, facts, "when it was issued", "2026-03-01")


@pytest.mark.parametrize("facts", [DRAWN, WITHDRAWN])
def test_nothing_happens_to_a_certificate_that_is_not_in_the_book(
    finished: Shop, facts: Facts
) -> None:
    finished.refuses(FOUR, facts, "AAAAAAAAAA2 is not in the book", error=NotKnown)


@pytest.mark.parametrize("facts", [LOST, STOLEN])
def test_a_paper_reported_gone_no_longer_stands(finished: Shop, facts: CertificateReported) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, replace(facts, reference="register 26/1183"), "2026-03-04")
    reported = finished.get(ONE, Certificate)
    assert (reported.standing, reported.because) == (facts.because, "register 26/1183")
    assert reported.ended == "2026-03-04"
    finished.refuses(ONE, facts, f"was reported {facts.because} 4 March 2026 already", "2026-03-05")


def test_a_lost_paper_may_turn_out_stolen_be_replaced_or_withdrawn(finished: Shop) -> None:
    for piece, number in (("P-0001", ONE), ("P-0002", TWO)):
        finished.certify(piece, number)
        finished.enter(number, DRAWN)
        finished.enter(number, LOST)
        finished.enter(number, STOLEN)
    assert finished.enter(THREE, finished.certificate("P-0001", THREE, replaces=ONE)) == ()
    gone = finished.get(ONE, Certificate)
    assert (gone.standing, gone.because, gone.replaced_by) == ("replaced", "", THREE)
    finished.enter(TWO, WITHDRAWN)
    assert finished.get(TWO, Certificate).standing == "withdrawn"
    finished.refuses(ONE, LOST, "was replaced 2 March 2026 and cannot be reported lost")
    finished.refuses(TWO, STOLEN, "was withdrawn 2 March 2026 and cannot be reported stolen")


def test_a_report_is_not_dated_before_an_earlier_one(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, LOST, "2026-03-04")
    finished.refuses(ONE, STOLEN, "when it was reported lost", "2026-03-03")


def test_what_was_never_drawn_cannot_be_lost(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.refuses(ONE, LOST, "there is no paper to lose")
    finished.refuses(FOUR, LOST, "is not in the book", error=NotKnown)


def test_a_lost_paper_is_not_drawn_again(finished: Shop) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, LOST)
    finished.refuses(ONE, DRAWN, "was lost 2 March 2026 and cannot be drawn")


@pytest.mark.parametrize("facts", [LOST, STOLEN])
def test_a_paper_that_is_gone_is_replaced_and_has_no_second_beside_it(
    finished: Shop, facts: CertificateReported
) -> None:
    finished.certify("P-0001", ONE)
    finished.enter(ONE, DRAWN)
    finished.enter(ONE, facts)
    why = finished.refuses(TWO, finished.certificate("P-0001", TWO), "was reported (lost|stolen)")
    assert (
        why.remedy == f"Replace it: bronzebook certificate replace {ONE} --because {facts.because}."
    )
    assert finished.enter(TWO, finished.certificate("P-0001", TWO, replaces=ONE)) == ()


def test_why_a_paper_is_replaced_is_said_only_of_one_that_replaces(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    facts = replace(shop.certificate("P-0001"), because="spoilt")
    shop.refuses(ONE, facts, "Why a paper is replaced is said .spoilt., but not which")
