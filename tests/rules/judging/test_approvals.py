"""Who approves a cast, of what, when, and once in the same words."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown
from editions.trade.casting import (
    ApprovalGiven,
    StepDone,
)
from editions.trade.parties import ArtistDied
from editions.trade.pieces import Piece
from tests.rules.judging.memory_desk import DAY
from tests.rules.judging.shop import (
    APPROVED,
    ARTIST,
    BROWN,
    ESTATE,
    HAND,
    WITNESS,
    Shop,
)


def test_the_artist_approves_in_metal(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", APPROVED) == ()
    assert shop.get("P-0001", Piece).approved("metal")
    shop.enter("P-0001", replace(APPROVED, approved=False))
    assert not shop.get("P-0001", Piece).approved("metal")


@pytest.mark.parametrize("what", ["metal", "colour", "release"])
def test_nothing_is_approved_before_the_pour(shop: Shop, what: str) -> None:
    shop.ready("P-0001")
    facts = ApprovalGiven(of=what, party=ARTIST, how="in person")  # type: ignore[arg-type]
    shop.refuses("P-0001", facts, "P-0001 cannot be judged; not poured yet: whole")


def test_an_approval_is_not_dated_before_the_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", APPROVED, "when P-0001 was poured", "2026-03-04")


def test_colour_is_approved_where_there_is_some(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = replace(APPROVED, of="colour")
    shop.refuses("P-0001", facts, "P-0001 has no colour to approve")
    shop.enter("P-0001", StepDone(step="coloured", how="elsewhere", declared_by=HAND))
    assert shop.enter("P-0001", facts) == ()


def test_colour_is_not_approved_before_it_was_laid_on(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.approve("P-0001", "metal")
    shop.enter("P-0001", BROWN, "2026-03-10")
    shop.refuses("P-0001", replace(APPROVED, of="colour"), "was coloured", "2026-03-09")


@pytest.mark.parametrize("party", [HAND, WITNESS, ESTATE])
def test_only_who_may_speak_for_the_work_approves(shop: Shop, party: str) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", replace(APPROVED, party=party), "holds no authority")


def test_an_authority_approves_within_its_term(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.authority("2026-03-03")
    facts = replace(APPROVED, party=ESTATE)
    shop.refuses("P-0001", facts, "cannot approve a cast on 2 March 2026")
    assert shop.enter("P-0001", facts, "2026-03-03") == ()


def test_who_authorised_the_run_approves_its_casts(shop: Shop) -> None:
    shop.authority("2025", "2026-01-31")
    shop.run("R-0009", authorised_by=ESTATE)
    shop.cast("P-0001", run="R-0009")
    assert shop.enter("P-0001", replace(APPROVED, party=ESTATE)) == ()


def test_a_dead_artist_approves_nothing(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter(ARTIST, ArtistDied(), "2026-03-01")
    shop.refuses("P-0001", APPROVED, "died 1 March 2026 and cannot approve")


def test_an_approver_is_in_the_book(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = replace(APPROVED, party="Y-0404")
    shop.refuses("P-0001", facts, "a party is wanted", error=NotKnown)


def test_the_same_word_of_the_same_day_is_entered_once(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", APPROVED)
    says = "Y-0002 approved the metal of P-0001 on 2 March 2026, in person: that is entered already"
    assert "--on" in shop.refuses("P-0001", APPROVED, says).remedy


@pytest.mark.parametrize(
    ("again", "on"),
    [(APPROVED, "2026-03-03"), (replace(APPROVED, how="in writing"), DAY)],
)
def test_an_approval_given_again_is_remarked_on(shop: Shop, again: ApprovalGiven, on: str) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", APPROVED)
    (remark,) = shop.enter("P-0001", again, on)
    assert remark == "Y-0002 approved the metal of P-0001 on 2 March 2026 too, in person."


def test_a_mind_that_changed_twice_in_a_day_is_entered_as_it_changed(shop: Shop) -> None:
    shop.cast("P-0001")
    for approved in (True, False, True):
        assert shop.enter("P-0001", replace(APPROVED, approved=approved)) == ()
    shop.refuses("P-0001", APPROVED, "entered already")


def test_an_approval_that_lapsed_is_given_anew(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", APPROVED)
    shop.scrap("P-0001", "whole")
    shop.pull("W-0002")
    shop.take("P-0001", "W-0002")
    shop.shell("P-0001")
    shop.pour("P-0001")
    assert shop.enter("P-0001", APPROVED) == ()


def test_an_older_record_may_repeat_itself(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", APPROVED)
    (remark,) = shop.enter("P-0001", APPROVED, late=True)
    assert "too, in person" in remark
