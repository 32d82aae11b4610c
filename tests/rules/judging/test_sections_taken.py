"""A wax becomes a section of a piece, with its mold, its pull and its number."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown
from editions.trade.casting import (
    PieceStarted,
    SectionTaken,
    StepDone,
)
from editions.trade.pieces import Piece
from editions.trade.runs import NumberGiven
from editions.trade.waxes import Wax, WaxJudged, WaxNumbered, WaxPulled
from tests.rules.judging.shop import (
    OTHER_MOLD,
    OTHER_RUN,
    RUN,
    Shop,
)


def test_a_wax_becomes_a_section(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    assert shop.take("P-0001", "W-0001") == ()
    section = shop.get("P-0001", Piece).sections[0]
    assert (section.wax, section.mold, section.pull) == ("W-0001", "M-0001", 1)
    assert shop.get("W-0001", Wax).fate == "in a piece"


def test_a_section_has_one_wax(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.pull("W-0002")
    shop.take("P-0001", "W-0001")
    shop.refuses("P-0001", shop.taking("W-0002"), "P-0001 is made from W-0001 already")


def test_a_section_of_metal_takes_no_wax(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="poured", how="not recorded"))
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001"), "P-0001 is made from metal already")


def test_a_wax_goes_to_a_section_of_the_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001", "tail"), "no section tail", error=NotKnown)


def test_a_wax_goes_to_one_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.start("P-0002")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    shop.refuses("P-0002", shop.taking("W-0001"), "W-0001 is in P-0001")


def test_a_rejected_wax_goes_to_no_piece(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=False))
    shop.refuses("P-0001", shop.taking("W-0001"), "W-0001 is rejected")


def test_a_wax_is_not_taken_before_it_is_pulled(shop: Shop) -> None:
    shop.start("P-0001", on="2026-02-01")
    shop.pull("W-0001")
    shop.refuses("P-0001", shop.taking("W-0001"), "when W-0001 was pulled", "2026-03-01")


@pytest.mark.parametrize("told", [{"pull": 2}, {"mold": None}, {"number": "3/8"}, {"pull": None}])
def test_a_section_takes_mold_pull_and_number_from_its_wax(
    shop: Shop, told: dict[str, object]
) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    facts = replace(shop.taking("W-0001"), **told)
    shop.refuses("P-0001", facts, "W-0001 is pull 1 of M-0001, number None")


def test_a_wax_of_another_run_is_not_taken(shop: Shop) -> None:
    shop.run("R-0009")
    shop.start("P-0001")
    shop.pull("W-0001", run="R-0009")
    shop.refuses("P-0001", shop.taking("W-0001"), "W-0001 is allotted to R-0009, not to R-0001")


def test_a_wax_of_no_run_is_taken_where_the_work_is_the_same(shop: Shop) -> None:
    shop.other_work()
    shop.start("P-0001")
    shop.start("P-0002", OTHER_RUN)
    shop.pull("W-0001", run=None)
    shop.refuses("P-0002", shop.taking("W-0001"), "M-0001, which is of another work")
    assert shop.take("P-0001", "W-0001") == ()
    shop.pull("W-0002", run=None, mold=OTHER_MOLD)
    assert shop.take("P-0002", "W-0002") == ()


def test_a_direct_wax_is_taken(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("W-0001", WaxPulled(section="whole"))
    assert shop.take("P-0001", "W-0001") == ()


def test_a_wax_taken_as_another_section_is_remarked_on(shop: Shop) -> None:
    shop.start("P-0001", sections=("torso",))
    shop.pull("W-0001")
    assert shop.take("P-0001", "W-0001", "torso") == ("W-0001 is a wax of whole, taken as torso.",)


def numbered_wax(shop: Shop, number: str = "3/8") -> SectionTaken:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation=number))
    return shop.taking("W-0001")


def test_a_numbered_wax_brings_its_number(shop: Shop) -> None:
    shop.start("P-0001")
    assert shop.enter("P-0001", numbered_wax(shop)) == ()
    assert shop.get("P-0001", Piece).reserved == "3/8"
    assert shop.bearer("R-0001 wax", "3/8") == "P-0001"


def test_a_numbered_wax_does_not_go_to_a_piece_of_another_number(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="4/8"))
    shop.refuses("P-0001", numbered_wax(shop), "3/8 is cut into W-0001; P-0001 has 4/8")


def test_two_numbers_do_not_go_into_one_piece(shop: Shop) -> None:
    shop.start("P-0001", sections=("head", "base"))
    facts = numbered_wax(shop)
    shop.enter("P-0001", replace(facts, section="head"))
    shop.pull("W-0002")
    shop.enter("W-0002", WaxNumbered(run=RUN, designation="4/8"))
    shop.refuses("P-0001", shop.taking("W-0002", "base"), "P-0001 has 3/8")


def test_a_numbered_wax_does_not_go_to_a_trial(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, purpose="trial"))
    shop.refuses("P-0001", numbered_wax(shop), "P-0001 is a trial cast")


def test_a_wax_numbered_as_a_trial_goes_to_a_trial(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, purpose="trial"))
    assert shop.enter("P-0001", numbered_wax(shop, "TP 1")) == ()


def test_a_wax_whose_number_was_given_goes_to_its_bearer_alone(shop: Shop) -> None:
    shop.pull("W-0009")
    shop.start("P-0001")
    shop.start("P-0002")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="3/8"))
    facts = numbered_wax(shop)
    shop.refuses("P-0002", facts, "3/8 was given to P-0001")
    assert shop.enter("P-0001", facts) == ()
