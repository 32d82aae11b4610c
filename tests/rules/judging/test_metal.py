"""Own alloys and lots: what may be stated and taken in, and what a charge may take of it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from msgspec.structs import replace

from editions.errors import BronzebookError, NotKnown, Unreadable
from editions.rules.alloys.own import NoBook, alloy_held, find_alloy, own_alloy
from editions.trade.heats import ChargeLine, Heat, HeatAnalysed, HeatCharged
from editions.trade.metal import (
    AlloyRestated,
    AlloyStated,
    LimitLine,
    Lot,
    LotReceived,
    OwnAlloy,
    Stated,
)
from editions.trade.quantities import Quantity
from editions.trade.runs import RunDeclared
from tests.rules.judging.shop import DECLARED, MOLD, Shop

ALLOY, LOT, HEAT = "A-0001", "L-0001", "H-0009"
COPPER = LimitLine(element="Cu", low="94.0")
SILICON = LimitLine(element="Si", low="3.8", high="4.4")
LIMITS = (COPPER, SILICON)
INGOT = {"Cu": "94.60", "Si": "4.10", "Mn": "1.10"}


def stated(*limits: LimitLine, **more: Any) -> AlloyStated:
    return AlloyStated(name="Lane bronze", stated=Stated(limits=limits or LIMITS, **more))


def lot(name: str = "LOT 881", mass: str | None = "100", **more: Any) -> LotReceived:
    facts: dict[str, Any] = {"name": name, "percentages": INGOT} | more
    return LotReceived(mass=None if mass is None else Quantity(mass, "kg"), **facts)


def charged(mass: str | None, number: str = "26-9", **more: Any) -> HeatCharged:
    weighed = None if mass is None else Quantity(mass, "kg")
    facts: dict[str, Any] = {"source": "ingot", "name": "LOT 881", "lot": LOT, "mass": weighed}
    return HeatCharged(number=number, alloy="C87300", charge=(ChargeLine(**(facts | more)),))


def test_an_own_alloy_is_stated_and_restated_and_every_version_is_kept(shop: Shop) -> None:
    assert shop.enter(ALLOY, stated()) == ()
    assert shop.enter(ALLOY, AlloyRestated(stated=Stated(limits=(COPPER,)))) == ()
    alloy = shop.get(ALLOY, OwnAlloy)
    assert [len(one.limits) for one in alloy.versions] == [2, 1]
    assert own_alloy("lane BRONZE", shop) == own_alloy("a-0001", shop) == alloy
    assert find_alloy("Lane bronze", shop).editions[0].name == "version 2"
    older = find_alloy("Lane bronze", shop, "1")
    assert [x.element for x in older.limits] == ["Cu", "Si"]
    assert (older.system, older.limits[1].places) == ("own", 1)


def test_an_own_alloy_brings_its_sum_its_note_and_its_density(shop: Shop) -> None:
    limits = (COPPER, LimitLine(element="Ni", high="1.0", includes=("Co",)))
    shop.enter(ALLOY, stated(*limits, total="99.0", copper_plus_nickel=True, density="8.4"))
    alloy = find_alloy(ALLOY, shop)
    assert alloy.sum_rule is not None
    assert (alloy.sum_rule.low, alloy.sum_rule.elements) == ("99.0", ("Cu", "Ni"))
    assert alloy.copper_plus_nickel
    assert alloy.density is not None
    assert (alloy.density.value, alloy.density.unit) == ("8.4", "g/cm3")
    assert alloy.limits[1].includes == ("Co",)


def test_a_published_name_means_the_published_limits(shop: Shop) -> None:
    assert find_alloy("UNS C87300", shop).system == "UNS"
    assert alloy_held("Lane bronze", shop) is None
    assert alloy_held("Lane bronze", NoBook()) is None
    assert NoBook().state(ALLOY) is None


def test_an_own_alloy_has_only_the_versions_that_were_stated(shop: Shop) -> None:
    shop.enter(ALLOY, stated())
    with pytest.raises(Unreadable, match="has no edition “3”") as caught:
        find_alloy("Lane bronze", shop, "3")
    assert "Held: version 1." in str(caught.value)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (AlloyStated(name="c87300", stated=Stated(limits=LIMITS)), "is a published alloy"),
        (AlloyStated(name="UNS C87300", stated=Stated(limits=LIMITS)), "is a published alloy"),
        (AlloyStated(name="x", stated=Stated(limits=())), "has no limits"),
        (stated(COPPER, COPPER), "twice"),
        (stated(LimitLine(element="Qu", high="1")), "is not an element"),
        (stated(LimitLine(element="Cu", low="1", includes=("Qu",))), "is not an element"),
        (stated(LimitLine(element="Cu", low="1", includes=("Cu",))), "counted with itself"),
        (stated(LimitLine(element="Cu")), "Cu has no limit"),
        (stated(LimitLine(element="Cu", low="96", high="94")), "limited from 96 to 94"),
        (stated(LimitLine(element="Cu", high="100.1")), "to 100.1"),
        (stated(COPPER, LimitLine(element="Sn", low="7")), "lowest limits add to 101.0"),
        (stated(COPPER, total="100.5"), "A sum of 100.5"),
        (stated(COPPER, copper_plus_nickel=True), "only where both are limited"),
    ],
)
def test_limits_that_nothing_could_keep_are_refused(
    shop: Shop, facts: AlloyStated, says: str
) -> None:
    shop.refuses(ALLOY, facts, re.escape(says), error=BronzebookError)


def test_a_name_is_given_once(shop: Shop) -> None:
    shop.enter(ALLOY, stated())
    shop.refuses("A-0002", stated(), "A-0001 is called Lane bronze already")
    shop.enter(LOT, lot())
    shop.refuses("L-0002", lot("lot 881"), "L-0001 is called lot 881 already")


def test_a_version_is_not_older_than_the_one_before(shop: Shop) -> None:
    shop.enter(ALLOY, stated())
    facts = AlloyRestated(stated=Stated(limits=LIMITS))
    shop.refuses(ALLOY, facts, "when version 1 was stated", "2026-03-01")


def test_a_heat_of_an_own_alloy_is_judged_by_the_version_that_the_entry_names(shop: Shop) -> None:
    shop.enter(ALLOY, stated())
    shop.enter(HEAT, HeatCharged(number="26-9", alloy="Lane bronze"))
    found = {"Cu": "95.0", "Si": "4.5"}
    outside = HeatAnalysed(method="OES", percentages=found, verdict="outside", edition="version 1")
    (remark,) = shop.enter(HEAT, outside)
    assert "is outside by version 1: Si 4.5 (3.8 to 4.4): outside, 0.1 above" in remark
    within = HeatAnalysed(method="OES", percentages=found, verdict="within", edition="version 1")
    shop.refuses(HEAT, within, "is outside; the entry says within")
    shop.enter(ALLOY, AlloyRestated(stated=Stated(limits=(COPPER,))))
    newer = HeatAnalysed(method="OES", percentages=found, verdict="within", edition="version 2")
    assert shop.enter(HEAT, newer) == ()


def test_a_run_of_an_own_alloy_can_be_judged(shop: Shop) -> None:
    needing = replace(DECLARED, alloy="Lane bronze", needs=("analysis",))
    unknown = RunDeclared(declared=needing)
    shop.refuses("R-0009", unknown, "No limits are held here", error=BronzebookError)
    shop.enter(ALLOY, stated())
    assert not any("limits" in remark for remark in shop.enter("R-0009", unknown))


@pytest.mark.parametrize(
    ("losses", "says"),
    [(("Zn",), "is not a loss"), (("Zn=3", "Zn=4"), "twice"), (("Qu=3",), "is not an element")],
)
def test_losses_that_cannot_be_meant_are_refused(
    shop: Shop, losses: tuple[str, ...], says: str
) -> None:
    facts = HeatCharged(number="26-9", alloy="C87300", losses=losses)
    shop.refuses(HEAT, facts, says, error=BronzebookError)


def test_a_melt_is_weighed_in_a_unit_of_mass(shop: Shop) -> None:
    shop.enter(HEAT, HeatCharged(number="26-9", alloy="C87300", losses=("Zn=3..5",)))
    found = HeatAnalysed(
        method="OES", percentages={"Cu": "99"}, verdict="indeterminate", edition="ASTM B584-14"
    )
    shop.refuses(HEAT, replace(found, melt=Quantity("0", "kg")), "mass of the melt")
    shop.enter(HEAT, replace(found, melt=Quantity("99.8", "kg")))
    heat = shop.get(HEAT, Heat)
    assert (heat.losses, heat.melt) == (("Zn=3..5",), Quantity("99.8", "kg"))


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (lot(percentages={}), "names no element"),
        (lot(percentages={"Qu": "94"}), "is not an element"),
        (lot(percentages={"Cu": "101"}), "is not a percentage"),
        (lot(percentages={"Cu": "94", "Sn": "9"}), "adds to 103 %"),
        (LotReceived(name="x", percentages=INGOT, mass=Quantity("1", "mm")), "mass of the lot"),
        (LotReceived(name="x", percentages=INGOT, mass=Quantity("0", "kg")), "mass of the lot"),
    ],
)
def test_a_lot_that_cannot_be_meant_is_refused(shop: Shop, facts: LotReceived, says: str) -> None:
    shop.refuses(LOT, facts, re.escape(says), error=BronzebookError)


def test_a_certificate_that_does_not_add_up_is_remarked_on(shop: Shop) -> None:
    (remark,) = shop.enter(LOT, lot(percentages={"Cu": "60"}))
    assert remark == "The certificate adds to 60 %; no charge can be reckoned from it."


def test_a_charge_takes_of_a_lot_what_is_left_of_it(shop: Shop) -> None:
    shop.enter(LOT, lot())
    shop.enter("H-0011", charged("60", "26-11"))
    shop.enter("H-0012", charged("40", "26-12"))
    assert [x.code for x in shop.linked("charged from", LOT)] == ["H-0011", "H-0012"]
    says = "LOT 881 (L-0001) has 0.000 kg left; the charge takes 0.001 kg"
    shop.refuses(HEAT, charged("0.001"), re.escape(says))


def test_a_lot_charged_twice_over_its_stock_in_one_heat_is_refused(shop: Shop) -> None:
    shop.enter(LOT, lot())
    twice = charged("60").charge * 2
    shop.refuses(
        HEAT,
        HeatCharged(number="26-9", alloy="C87300", charge=twice),
        "has 100.000 kg left; the charge takes 120.000 kg",
    )


def test_an_older_book_may_have_charged_more_than_it_says_came_in(shop: Shop) -> None:
    shop.enter(LOT, lot())
    (remark,) = shop.enter(HEAT, charged("120"), late=True)
    assert "the charge takes 120.000 kg" in remark


@pytest.mark.parametrize(("came", "took"), [(None, "500"), ("100", None)])
def test_what_was_not_weighed_is_not_counted(
    shop: Shop, came: str | None, took: str | None
) -> None:
    shop.enter(LOT, lot(mass=came))
    assert shop.enter(HEAT, charged(took)) == ()
    assert shop.get(HEAT, Heat).charge[0].lot == LOT


def test_a_charge_names_lots_that_are_there_and_of_its_kind(shop: Shop) -> None:
    shop.refuses(HEAT, charged("1"), "L-0001 is not in the book", error=NotKnown)
    shop.enter(LOT, lot())
    shop.refuses(HEAT, charged("1", source="addition"), "L-0001 is of kind ingot")
    shop.refuses(HEAT, charged("1", lot=MOLD), "a lot is wanted here", error=NotKnown)
    shop.refuses(HEAT, charged("1"), "when L-0001 came in", "2026-03-01")
    assert shop.get(LOT, Lot).name == "LOT 881"
