from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered
from editions.trade.kinds import Facts
from editions.trade.molds import Criterion, Mold, MoldInspected, MoldRetired, MoldSentOut
from editions.trade.quantities import Quantity
from editions.trade.runs import Elsewhere, NumberGiven
from editions.trade.waxes import Wax, WaxAllotted, WaxJudged, WaxNumbered, WaxPulled
from editions.trade.works import ModelEntered
from tests.rules.judging.shop import MODEL, MOLD, OTHER_MOLD, OTHER_RUN, RUN, WORK, Shop

FIRST = WaxPulled(section="whole", mold=MOLD, pull=1, run=RUN)


def numbering(designation: str, run: str = RUN) -> WaxNumbered:
    return WaxNumbered(run=run, designation=designation)


def test_a_pull_grows_the_count_of_the_mold(shop: Shop) -> None:
    assert shop.enter("W-0001", FIRST) == ()
    assert shop.enter("W-0002", replace(FIRST, pull=2)) == ()
    assert shop.get(MOLD, Mold).sections[0].pulls == 2


@pytest.mark.parametrize(
    ("pull", "says"),
    [(1, "is 2; pull 1 is named"), (3, "is 2; pull 3 is named"), (None, "is 2; no pull")],
)
def test_a_pull_follows_the_last(shop: Shop, pull: int | None, says: str) -> None:
    shop.pull("W-0001")
    why = shop.refuses("W-0002", replace(FIRST, pull=pull), says)
    assert why.remedy == "Enter pull 2."


def test_a_pull_without_a_mold_is_refused(shop: Shop) -> None:
    shop.refuses("W-0001", WaxPulled(section="whole", pull=1), "no mold is named")


def test_a_direct_wax_has_no_mold(shop: Shop) -> None:
    assert shop.enter("W-0001", WaxPulled(section="whole")) == ()
    assert shop.enter("W-0002", WaxPulled(section="whole", run=RUN)) == ()


def test_a_pull_is_of_a_section_of_the_mold(shop: Shop) -> None:
    facts = replace(FIRST, section="tail")
    shop.refuses("W-0001", facts, "has no section tail", error=NotKnown)


def test_a_pull_is_not_made_before_the_mold(shop: Shop) -> None:
    shop.refuses("W-0001", replace(FIRST, run=None), "when M-0001 was made", "2026-01-05")


def test_a_pull_for_a_run_is_not_made_before_the_run(shop: Shop) -> None:
    shop.refuses("W-0001", FIRST, "when R-0001 was declared", "2026-01-04")


def test_a_pull_for_a_run_that_is_not_in_the_book_is_refused(shop: Shop) -> None:
    shop.refuses("W-0001", replace(FIRST, run="R-0404"), "a run is wanted", error=NotKnown)


def test_a_mold_that_is_out_gives_no_wax(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    why = shop.refuses("W-0001", FIRST, "M-0001 is out since 2 March 2026")
    assert "return" in why.remedy


def test_a_retired_section_gives_no_wax(shop: Shop) -> None:
    shop.enter(MOLD, MoldRetired())
    shop.refuses("W-0001", FIRST, "Section whole of M-0001 was retired")


@pytest.mark.parametrize("facts", [MoldSentOut(), MoldRetired()])
def test_an_older_record_tells_of_pulls_whatever_became_of_the_mold(
    shop: Shop, facts: Facts
) -> None:
    shop.enter(MOLD, facts)
    assert shop.enter("W-0001", FIRST, late=True) == ()


def test_a_wax_serves_a_run_of_the_work_of_its_mold(shop: Shop) -> None:
    shop.other_work()
    facts = replace(FIRST, mold=OTHER_MOLD)
    shop.refuses("W-0001", facts, "M-0002 is of K-0002, R-0001 is of K-0001")


@pytest.mark.parametrize("bronze", ["cast here", "registered"])
def test_a_mold_of_a_bronze_serves_runs_of_that_bronzes_work(shop: Shop, bronze: str) -> None:
    shop.other_work()
    if bronze == "cast here":
        shop.cast("P-0001")
    else:
        shop.enter("P-0001", EarlierCastRegistered(work=WORK))
    shop.run("R-0009", model=None)
    shop.mold("M-0009", "P-0001", 1, on="2026-03-03")
    facts = replace(FIRST, mold="M-0009", run=OTHER_RUN)
    shop.refuses("W-0009", facts, "is of K-0001, R-0002 is of K-0002", "2026-03-04")
    assert shop.pull("W-0009", run="R-0009", mold="M-0009", on="2026-03-04") == ()


def test_a_mold_of_another_model_of_the_work_is_remarked_on(shop: Shop) -> None:
    shop.enter("D-0009", ModelEntered(work=WORK, stage="plaster", made_from=MODEL))
    shop.mold("M-0009", "D-0009")
    (remark,) = shop.pull("W-0001", mold="M-0009")
    assert remark == "R-0001 declares the model D-0001; M-0009 was taken from D-0009."


def test_a_failing_section_is_remarked_on(shop: Shop) -> None:
    criteria = (Criterion(name="detail", grade="failing"), Criterion(name="tears", grade="sound"))
    shop.enter(MOLD, MoldInspected(section="whole", criteria=criteria))
    assert shop.pull("W-0001") == ("Section whole of M-0001 was found failing.",)


# 20 to 30 pulls, then review: from memory, low confidence.
def test_twenty_pulls_without_a_look_are_remarked_on(shop: Shop) -> None:
    remarks = [shop.pull(f"W-{at:04}") for at in range(1, 22)]
    assert remarks[:20] == [()] * 20
    assert "has had 20 pulls since it was last inspected" in remarks[20][0]
    sound = (Criterion(name="tears", grade="sound"),)
    shop.enter(MOLD, MoldInspected(section="whole", criteria=sound))
    assert shop.pull("W-0022") == ()


# About 3/16 in is common practice, no source; outside 2 to 12 mm is remarked on.
@pytest.mark.parametrize("wall", [("3/16", "in"), ("2", "mm"), ("12", "mm"), ("0.5", "cm")])
def test_a_usual_wall_is_not_remarked_on(shop: Shop, wall: tuple[str, str]) -> None:
    assert shop.enter("W-0001", replace(FIRST, wall=Quantity(*wall))) == ()


@pytest.mark.parametrize("wall", [("1.9", "mm"), ("12.1", "mm"), ("3", "ft")])
def test_an_unusual_wall_is_remarked_on(shop: Shop, wall: tuple[str, str]) -> None:
    (remark,) = shop.enter("W-0001", replace(FIRST, wall=Quantity(*wall)))
    assert "common practice" in remark


@pytest.mark.parametrize(
    ("field", "unit"), [("mass", "mm"), ("wall", "kg"), ("mass", "°C"), ("wall", "l")]
)
def test_a_mass_is_a_mass_and_a_wall_a_length(shop: Shop, field: str, unit: str) -> None:
    facts = replace(FIRST, **{field: Quantity("3", unit)})
    shop.refuses("W-0001", facts, f"The {field} is 3 {unit}, which is a", error=Unreadable)


@pytest.mark.parametrize(("field", "unit"), [("mass", "kg"), ("wall", "mm")])
def test_nothing_is_no_measure(shop: Shop, field: str, unit: str) -> None:
    facts = replace(FIRST, **{field: Quantity("0", unit)})
    shop.refuses("W-0001", facts, f"The {field} is 0 {unit}")


def test_a_wax_is_judged_and_may_be_judged_again(shop: Shop) -> None:
    shop.pull("W-0001")
    assert shop.enter("W-0001", WaxJudged(accepted=True)) == ()
    assert shop.enter("W-0001", WaxJudged(accepted=False)) == ()
    assert shop.get("W-0001", Wax).fate == "rejected"


ON_WAXES = (WaxJudged(accepted=True), WaxAllotted(run=RUN), numbering("3/8"))


@pytest.mark.parametrize("facts", ON_WAXES)
def test_a_rejected_wax_is_done_with(shop: Shop, facts: Facts) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=False))
    why = shop.refuses("W-0001", facts, "W-0001 is rejected")
    assert "in stock" in why.remedy


@pytest.mark.parametrize("facts", ON_WAXES)
def test_a_wax_in_a_piece_is_done_with(shop: Shop, facts: Facts) -> None:
    shop.pull("W-0001")
    shop.start("P-0001")
    shop.take("P-0001", "W-0001")
    shop.refuses("W-0001", facts, "W-0001 is in P-0001")


@pytest.mark.parametrize("facts", ON_WAXES)
def test_nothing_is_done_to_a_wax_before_it_is_pulled(shop: Shop, facts: Facts) -> None:
    shop.pull("W-0001", run=None)
    shop.refuses("W-0001", facts, "when W-0001 was pulled", "2026-03-01")


@pytest.mark.parametrize("facts", ON_WAXES)
def test_a_wax_that_is_not_in_the_book_is_refused(shop: Shop, facts: Facts) -> None:
    shop.refuses("W-0404", facts, "W-0404 is not in the book", error=NotKnown)


def test_a_wax_is_allotted_later(shop: Shop) -> None:
    shop.pull("W-0001", run=None)
    assert shop.enter("W-0001", WaxAllotted(run=RUN)) == ()
    assert shop.get("W-0001", Wax).run == RUN
    shop.refuses("W-0001", WaxAllotted(run=RUN), "is allotted to R-0001 already")


def test_a_direct_wax_is_allotted_to_any_run(shop: Shop) -> None:
    shop.enter("W-0001", WaxPulled(section="whole"))
    assert shop.enter("W-0001", WaxAllotted(run=RUN)) == ()


def test_a_wax_is_not_allotted_to_a_run_of_another_work(shop: Shop) -> None:
    shop.other_work()
    shop.pull("W-0001", run=None)
    shop.refuses("W-0001", WaxAllotted(run=OTHER_RUN), "is of K-0001, R-0002 is of K-0002")


def test_a_number_cut_into_a_wax_is_reserved(shop: Shop) -> None:
    shop.pull("W-0001")
    assert shop.enter("W-0001", numbering("3/8")) == ()
    assert shop.bearer("R-0001 wax", "3/8") == "W-0001"
    shop.pull("W-0002")
    shop.refuses("W-0002", numbering("3/8"), "3/8 is cut into W-0001")


def test_a_number_is_cut_into_a_wax_of_no_run(shop: Shop) -> None:
    shop.pull("W-0001", run=None)
    assert shop.enter("W-0001", numbering("3/8")) == ()
    assert shop.get("W-0001", Wax).run == RUN


def test_a_rejected_wax_gives_its_number_back(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", numbering("3/8"))
    shop.enter("W-0001", WaxJudged(accepted=False))
    shop.pull("W-0002")
    assert shop.enter("W-0002", numbering("3/8")) == ()


def test_one_number_is_cut_into_a_wax(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", numbering("3/8"))
    shop.refuses("W-0001", numbering("4/8"), "3/8 is cut into W-0001 already")


def test_a_wax_takes_a_number_of_its_own_run(shop: Shop) -> None:
    shop.run("R-0009")
    shop.pull("W-0001")
    shop.refuses(
        "W-0001", numbering("3/8", "R-0009"), "W-0001 is allotted to R-0001, not to R-0009"
    )


def test_a_wax_takes_a_number_of_a_run_of_its_work(shop: Shop) -> None:
    shop.other_work()
    shop.pull("W-0001", run=None)
    shop.refuses("W-0001", numbering("3/8", OTHER_RUN), "R-0002 is of K-0002")


@pytest.mark.parametrize(
    ("number", "says"), [("9/8", "above the total"), ("3 of 8", "is written 3/8")]
)
def test_a_wax_takes_a_number_that_the_run_gives(shop: Shop, number: str, says: str) -> None:
    shop.pull("W-0001")
    shop.refuses("W-0001", numbering(number), says)


def test_a_wax_takes_no_number_allotted_elsewhere(shop: Shop) -> None:
    shop.run("R-0009", elsewhere=(Elsewhere(designation="3/8", where="cast in 1998"),))
    shop.pull("W-0001", run="R-0009")
    shop.refuses("W-0001", numbering("3/8", "R-0009"), "allotted elsewhere")


def test_a_wax_takes_no_number_that_a_cast_bears(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.pull("W-0009")
    shop.refuses("W-0009", numbering("3/8"), "3/8 was given to P-0001")


def test_a_wax_takes_no_number_of_a_scrapped_piece_before_it_is_freed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    shop.pull("W-0009")
    shop.refuses("W-0009", numbering("3/8"), "3/8 was given to P-0001")


def test_the_wax_of_a_section_cast_again_takes_the_pieces_own_number(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", numbering("3/8"))
    shop.start("P-0001")
    shop.take("P-0001", "W-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="3/8"))
    shop.scrap("P-0001", "whole")
    shop.pull("W-0002")
    assert shop.enter("W-0002", numbering("3/8")) == ()
    assert shop.take("P-0001", "W-0002") == ()
    assert shop.bearer("R-0001 wax", "3/8") == "P-0001"


def test_the_latest_masses_stand_with_the_section_and_a_slip_is_remarked_on(shop: Shop) -> None:
    for pull in range(1, 8):
        shop.enter(f"W-000{pull}", replace(FIRST, pull=pull, mass=Quantity(f"1.0{pull}", "kg")))
    section = shop.get(MOLD, Mold).sections[0]
    assert [mass.value for mass in section.weighed] == ["1.03", "1.04", "1.05", "1.06", "1.07"]
    remarks = shop.enter("W-0008", replace(FIRST, pull=8, mass=Quantity("10.8", "kg")))
    assert "those weighed before it of this section are about 1.05" in remarks[0]
