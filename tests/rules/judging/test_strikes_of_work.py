"""What stands on the work of the floor: waxes, sections, numbers and steps that are not struck."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.rules.judging.stands_on import stands_on
from editions.trade.casting import (
    ColourApplied,
    DefectFound,
    MarkFound,
    StepDone,
)
from editions.trade.pieces import Piece
from editions.trade.runs import (
    NumberFreed,
    NumberGiven,
    Run,
    RunAmended,
    RunClosed,
)
from editions.trade.waxes import Wax, WaxJudged, WaxNumbered
from tests.rules.judging.memory_desk import DAY
from tests.rules.judging.shop import (
    APPROVED,
    ARTIST,
    DECLARED,
    MODEL,
    NUMBERS,
    RUN,
    WITHDRAWN,
    Shop,
)
from tests.rules.judging.striking import keeps, last, strike, striking

REJECTED = WaxJudged(accepted=False, reason="air in the beak")


def test_a_judgement_is_struck_and_the_wax_is_as_it_was(shop: Shop) -> None:
    shop.pull("W-0001")
    before = shop.get("W-0001", Wax)
    for facts in (WaxJudged(accepted=True), REJECTED):
        shop.enter("W-0001", facts)
        assert strike(shop, "wax_judged") == ()
        assert shop.get("W-0001", Wax) == before


def test_an_acceptance_before_a_rejection_is_struck_and_the_rejection_stays(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=True))
    accepted = last(shop, "wax_judged")
    shop.enter("W-0001", REJECTED)
    shop.enter("W-0001", striking(accepted))
    assert (shop.get("W-0001", Wax).fate, shop.get("W-0001", Wax).accepted) == ("rejected", False)


def a_rejected_wax_with_a_number(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation="3/8"))
    shop.enter("W-0001", REJECTED)


def test_a_rejection_stays_once_its_number_was_cut_into_another_wax(shop: Shop) -> None:
    a_rejected_wax_with_a_number(shop)
    shop.pull("W-0002")
    shop.enter("W-0002", WaxNumbered(run=RUN, designation="3/8"))
    keeps(shop, "wax_judged", "3/8 of R-0001 went to W-0002 since")


def test_a_rejection_stays_once_its_number_was_given_to_a_piece(shop: Shop) -> None:
    a_rejected_wax_with_a_number(shop)
    shop.cast("P-0002", "3/8")
    keeps(shop, "wax_judged", "3/8 of R-0001 went to P-0002 since")


def test_a_rejection_stays_once_the_run_has_no_such_number(shop: Shop) -> None:
    a_rejected_wax_with_a_number(shop)
    shop.enter(RUN, RunAmended(declared=replace(DECLARED, size=6)))
    keeps(shop, "wax_judged", "3/8 is cut into it, and R-0001 is declared as a run of 6")


def test_a_rejection_stays_once_its_run_was_closed(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", REJECTED)
    shop.enter(RUN, RunClosed(how="by declaration"))
    keeps(shop, "wax_judged", "R-0001 was closed 2 March 2026, and what was left of it accounted")


def test_a_numbered_wax_rejected_by_mistake_holds_its_number_again(shop: Shop) -> None:
    a_rejected_wax_with_a_number(shop)
    strike(shop, "wax_judged")
    assert shop.bearer(f"{RUN} wax", "3/8") == "W-0001"


def test_a_wax_taken_is_struck_and_what_was_done_since_is_remarked_on(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    assert strike(shop, "section_taken") == ()
    shop.take("P-0001", "W-0001")
    shop.shell("P-0001")
    remarks = strike(shop, "section_taken")
    assert remarks == ("What is recorded since of P-0001 whole stays: shelled, dewaxed, fired.",)
    assert shop.get("P-0001", Piece).sections[0].wax is None
    assert shop.get("W-0001", Wax).fate == "in stock"


@pytest.mark.parametrize("since", ["poured", "scrapped", "section", "numbered", "closed"])
def test_a_wax_taken_stays_once_something_was_made_of_it(shop: Shop, since: str) -> None:
    shop.ready("P-0001")
    says = "heat poured .H-0001., 2 March 2026"
    if since in ("poured", "closed"):
        shop.pour("P-0001")
    if since == "section":
        shop.scrap("P-0001", "whole")
        says = "section scrapped .P-0001."
    if since == "scrapped":
        shop.scrap("P-0001")
        says = "piece scrapped .P-0001."
    if since == "numbered":
        shop.start("P-0002")
        shop.pull("W-0002")
        shop.enter("W-0002", WaxNumbered(run=RUN, designation="3/8"))
        shop.take("P-0002", "W-0002")
        shop.enter(RUN, NumberGiven(piece="P-0002", designation="3/8"))
        says = "number given .R-0001."
    if since == "closed":
        shop.enter(RUN, RunClosed(how="by declaration"))
        says = "R-0001 was closed"
    keeps(shop, "section_taken", says, "P-0002" if since == "numbered" else "P-0001")


def test_a_wax_taken_beside_the_pour_of_another_section_is_struck(shop: Shop) -> None:
    shop.mold("M-0003", MODEL, sections=("head", "torso"))
    shop.start("P-0001", sections=("head", "torso"))
    for wax, section in (("W-0001", "head"), ("W-0002", "torso")):
        shop.pull(wax, mold="M-0003", section=section)
        shop.take("P-0001", wax, section)
    shop.shell("P-0001", "head")
    shop.pour("P-0001/head")
    strike(shop, "section_taken", "W-0002")
    keeps(shop, "section_taken", "heat poured", "W-0001")


def test_a_number_is_struck_and_given_to_another(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.cast("P-0002")
    assert strike(shop, "number_given") == ()
    assert shop.get("P-0001", Piece).number is None
    shop.enter(RUN, NumberGiven(piece="P-0002", designation="3/8"))
    assert shop.get(RUN, Run).bearer("3/8") == "P-0002"


def test_a_mark_that_shows_a_number_struck_stays_and_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.enter("P-0001", MarkFound(text="3/8", number="3/8", place="base", method="cold cut"))
    assert strike(shop, "number_given") == ("The mark 3/8 on P-0001 stays as it was found.",)
    assert len(shop.get("P-0001", Piece).marks) == 1


def test_a_number_stays_once_its_piece_was_released(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.release("P-0001")
    keeps(shop, "number_given", "piece released .P-0001., 2 March 2026")


def test_a_number_stays_once_it_was_freed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    freed = NumberFreed(
        piece="P-0001", designation="3/8", because="scrapped before release", evidence="broken up"
    )
    shop.enter(RUN, freed)
    keeps(shop, "number_given", "number freed")


def test_a_number_stays_once_its_run_was_closed_as_complete(shop: Shop) -> None:
    shop.run("R-0003", size=1, proofs=())
    shop.cast("P-0001", "1/1", run="R-0003")
    shop.enter("R-0003", RunClosed(how="complete"))
    keeps(shop, "number_given", "run closed .R-0003.")


@pytest.mark.parametrize("ended", [False, True])
def test_a_number_stays_for_good_once_a_certificate_was_issued_of_it(
    shop: Shop, ended: bool
) -> None:
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001")
    if ended:
        shop.enter(NUMBERS[0], WITHDRAWN)
    remedy = keeps(shop, "number_given", "the certificate 0123 4567 89A was issued on it")
    assert "stays" in remedy


def test_a_number_stays_once_a_paper_reserves_it(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    reserving = shop.certificate(None, paper="reservation", designation="3/8")
    shop.enter(NUMBERS[0], replace(reserving, run=RUN))
    keeps(shop, "number_given", "the reservation 0123 4567 89A was issued on it")


def test_a_number_of_another_piece_is_struck_beside_a_certificate(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.cast("P-0002", "4/8")
    shop.certify("P-0001")
    assert strike(shop, "number_given", "P-0002") == ()


@pytest.mark.parametrize(
    ("struck", "since"),
    [("shelled", "step done"), ("dewaxed", "step done"), ("fired", "heat poured")],
)
def test_a_step_stays_once_something_was_done_that_needs_it(
    shop: Shop, struck: str, since: str
) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001")
    entry = next(one for one in shop.told("P-0001") if getattr(one.facts, "step", "") == struck)
    shop.refuses("P-0001", striking(entry), f"stands on it: {since}")


def test_a_step_recorded_twice_is_struck_whichever_of_the_two_it_is(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.enter("P-0001", StepDone(step="fired"))
    shop.pour("P-0001")
    first, second = (
        one for one in shop.told("P-0001") if getattr(one.facts, "step", "") == "fired"
    )
    shop.enter("P-0001", striking(first))
    shop.refuses("P-0001", striking(second), "heat poured")


def test_a_step_that_nothing_needs_is_struck_though_others_followed(shop: Shop) -> None:
    shop.cast("P-0001")
    for step in ("broken_out", "welded", "metal_chased"):
        shop.enter("P-0001", StepDone(step=step))
    entry = next(one for one in shop.told("P-0001") if getattr(one.facts, "step", "") == "welded")
    assert shop.enter("P-0001", striking(entry)) == ()
    assert [s.step for s in shop.get("P-0001", Piece).steps][-2:] == ["broken_out", "metal_chased"]


def test_a_step_of_one_section_does_not_stand_on_that_of_another(shop: Shop) -> None:
    shop.mold("M-0003", MODEL, sections=("head", "torso"))
    shop.start("P-0001", sections=("head", "torso"))
    shop.shell("P-0001", "head")
    shop.enter("P-0001", StepDone(step="shelled", section="torso"))
    assert strike(shop, "step_done") == ()
    shop.enter("P-0001", StepDone(step="shelled"))
    assert strike(shop, "step_done") == ()
    shelled = next(one for one in shop.told("P-0001") if isinstance(one.facts, StepDone))
    shop.refuses("P-0001", striking(shelled), "step done")


def test_a_step_of_a_section_scrapped_since_is_struck(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.scrap("P-0001", "whole")
    entry = next(one for one in shop.told("P-0001") if getattr(one.facts, "step", "") == "fired")
    shop.enter("P-0001", striking(entry))
    shop.pull("W-0002")
    shop.take("P-0001", "W-0002")
    shop.shell("P-0001")
    shop.pour("P-0001")
    keeps(shop, "step_done", "heat poured")


def test_a_pour_declared_stays_once_something_was_done_to_the_metal(shop: Shop) -> None:
    shop.start("P-0001")
    elsewhere = StepDone(step="poured", how="elsewhere", declared_by=ARTIST)
    shop.enter("P-0001", elsewhere)
    shop.enter("P-0001", DefectFound(defect_class="B", name="pinhole"))
    strike(shop, "step_done")
    shop.enter("P-0001", elsewhere)
    shop.enter("P-0001", APPROVED)
    keeps(shop, "step_done", "approval given .P-0001.")


def test_a_pour_declared_stays_once_a_mold_was_taken_from_the_bronze(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="poured", how="not recorded"))
    shop.mold("M-0009", "P-0001", generation=1, on=DAY)
    keeps(shop, "step_done", "mold made .M-0009.")


def test_a_pour_declared_stays_once_its_run_was_closed(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="poured", how="not recorded"))
    shop.enter(RUN, RunClosed(how="by declaration"))
    keeps(shop, "step_done", "R-0001 was closed")


def test_a_colour_declared_stays_once_it_was_approved(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", StepDone(step="coloured", how="not recorded"))
    shop.enter("P-0001", replace(APPROVED, of="colour"))
    keeps(shop, "step_done", "approval given")
    assert stands_on(last(shop, "step_done"), shop) == ("approval given (P-0001), 2 March 2026",)


def test_a_colour_declared_beside_one_applied_is_struck(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", APPROVED)
    shop.enter("P-0001", StepDone(step="coloured", how="not recorded"))
    shop.enter("P-0001", ColourApplied(words="brown"))
    shop.enter("P-0001", replace(APPROVED, of="colour"))
    assert strike(shop, "step_done") == ()


def test_a_step_before_a_certificate_stays_and_one_after_it_is_struck(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.enter("P-0001", StepDone(step="mounted"))
    shop.certify("P-0001")
    keeps(shop, "step_done", "the certificate 0123 4567 89A was issued on it")
    shop.enter("P-0001", StepDone(step="mounted"))
    assert strike(shop, "step_done") == ()
    keeps(shop, "step_done", "the certificate 0123 4567 89A was issued on it")
