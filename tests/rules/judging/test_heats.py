from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.trade.heats import ChargeLine, Heat, HeatAnalysed, HeatCharged
from editions.trade.quantities import Quantity
from tests.rules.judging.shop import HEAT, Shop

# ASTM B584-14 and CDA 2006 (in excerpt): Pb .15 is within the older limit of .20 and outside .09.
WITHIN = {"Cu": "94.5", "Si": "4.0", "Mn": "1.0", "Fe": "0.10", "Zn": "0.10", "Pb": "0.05"}
LEADED = WITHIN | {"Pb": "0.15"}


def charging(*lines: ChargeLine, number: str = "26-002") -> HeatCharged:
    return HeatCharged(number=number, alloy="C87300", charge=lines)


def returns(heat: str | None = HEAT) -> ChargeLine:
    return ChargeLine(source="returns", name="sprues", heat=heat, mass=Quantity("40", "kg"))


def analysing(
    verdict: str = "within", edition: str = "ASTM B584-14", **more: object
) -> HeatAnalysed:
    told = {"percentages": WITHIN, "specification": "ASTM B584-14"} | more
    return HeatAnalysed(method="spark OES", verdict=verdict, edition=edition, **told)  # type: ignore[arg-type]


def test_a_heat_is_charged_with_ingots_additions_and_returns(shop: Shop) -> None:
    shop.cast("P-0001")
    lines = (
        ChargeLine(source="ingot", name="lot 881", mass=Quantity("60", "kg")),
        ChargeLine(source="addition", name="silicon", mass=Quantity("1.1", "lb")),
        returns(),
    )
    assert shop.enter("H-0002", charging(*lines)) == ()
    assert ("returns of", HEAT) in shop.get("H-0002", Heat).index().links


def test_a_heat_number_is_the_foundrys_own_once(shop: Shop) -> None:
    shop.refuses("H-0002", charging(number="26-001"), "H-0001 has the heat number 26-001")


def test_returns_are_of_a_heat_of_the_book(shop: Shop) -> None:
    shop.refuses("H-0002", charging(returns("H-0404")), "a heat is wanted", error=NotKnown)


def test_returns_are_of_a_heat_that_was_poured(shop: Shop) -> None:
    shop.refuses("H-0002", charging(returns()), "H-0001 is not poured yet")


def test_returns_are_not_charged_before_they_were_poured(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("H-0002", charging(returns()), "when H-0001 was poured", "2026-03-01")


def test_only_returns_come_from_a_heat(shop: Shop) -> None:
    shop.cast("P-0001")
    line = ChargeLine(source="ingot", name="lot 881", heat=HEAT)
    shop.refuses("H-0002", charging(line), "Only returns come from an earlier heat")


def test_returns_of_no_heat_are_remarked_on(shop: Shop) -> None:
    (remark,) = shop.enter("H-0002", charging(returns(None)))
    assert remark == "Of which heat the returns sprues are is not said."


def test_a_charge_is_weighed(shop: Shop) -> None:
    line = ChargeLine(source="ingot", name="lot 881", mass=Quantity("60", "mm"))
    shop.refuses("H-0002", charging(line), "mass of lot 881 is 60 mm", error=Unreadable)


def test_an_analysis_within_its_limits_is_kept(shop: Shop) -> None:
    assert shop.enter(HEAT, analysing()) == ()
    assert shop.get(HEAT, Heat).verdict == "within"


@pytest.mark.parametrize(
    ("percentages", "edition", "verdict"),
    [
        (LEADED, "ASTM B584-14", "outside"),
        (LEADED, "CDA 2006", "within"),
        ({"Cu": "94.5"}, "ASTM B584-14", "indeterminate"),
        ({"Cu": "94.5", "Pb": "<0.005"}, "ASTM B584-14", "indeterminate"),
    ],
)
def test_the_verdict_is_what_the_limits_give(
    shop: Shop, percentages: dict[str, str], edition: str, verdict: str
) -> None:
    for other in {"within", "outside", "indeterminate", "not analysed"} - {verdict}:
        facts = analysing(other, edition, percentages=percentages)
        why = shop.refuses(HEAT, facts, f"is {verdict}; the entry says {other}")
        assert edition in why.message
    remarks = shop.enter(HEAT, analysing(verdict, edition, percentages=percentages))
    assert bool(remarks) == (verdict != "within")


def test_a_heat_outside_its_limits_is_remarked_on(shop: Shop) -> None:
    facts = analysing("outside", percentages=LEADED)
    (remark,) = shop.enter(HEAT, facts)
    assert remark.startswith("H-0001 is outside by ASTM B584-14: Pb 0.15 (at most 0.09): outside")


@pytest.mark.parametrize("edition", ["", "2006"])
def test_the_edition_is_named_in_full(shop: Shop, edition: str) -> None:
    shop.refuses(HEAT, analysing(edition=edition), "the entry says within by")


def test_an_edition_that_is_not_held_is_unreadable(shop: Shop) -> None:
    shop.refuses(HEAT, analysing(edition="B584-99"), "has no edition", error=Unreadable)


def test_an_analysis_names_an_element(shop: Shop) -> None:
    shop.refuses(HEAT, analysing(percentages={}), "names no element")


@pytest.mark.parametrize("copper", ["95.31", "100"])
def test_an_analysis_above_a_hundred_is_mistyped(shop: Shop, copper: str) -> None:
    facts = analysing(percentages=WITHIN | {"Cu": copper})
    why = shop.refuses(HEAT, facts, "The analysis adds to")
    assert "report" in why.remedy


@pytest.mark.parametrize("percentages", [{"Cu": "ninety"}, {"Copper": "94"}, {"Cu": "-1"}])
def test_an_analysis_that_is_no_figures_is_unreadable(
    shop: Shop, percentages: dict[str, str]
) -> None:
    facts = analysing(percentages=percentages)
    shop.refuses(HEAT, facts, "cannot be read", error=Unreadable)


def test_an_element_that_does_not_exist_is_unreadable(shop: Shop) -> None:
    facts = analysing(percentages={"Xx": "1"})
    shop.refuses(HEAT, facts, "is not an element", error=Unreadable)


def test_an_analysis_is_not_made_before_the_heat(shop: Shop) -> None:
    shop.refuses(HEAT, analysing(), "when H-0001 was charged", "2026-01-04")


@pytest.fixture
def gunmetal(shop: Shop) -> str:
    shop.enter("H-0002", HeatCharged(number="26-002", alloy="gunmetal"))
    return "H-0002"


def test_an_alloy_without_limits_is_indeterminate(shop: Shop, gunmetal: str) -> None:
    facts = analysing("indeterminate", "", specification="")
    assert shop.enter(gunmetal, facts) == ("No limits are held here for gunmetal.",)


@pytest.mark.parametrize("verdict", ["within", "outside", "not analysed"])
def test_a_verdict_without_limits_names_its_specification(
    shop: Shop, gunmetal: str, verdict: str
) -> None:
    shop.refuses(gunmetal, analysing(verdict, "", specification=""), "by what it is")


def test_a_laboratorys_verdict_by_a_named_specification_is_kept(shop: Shop, gunmetal: str) -> None:
    assert len(shop.enter(gunmetal, analysing("within", "1990", specification="BS 1400"))) == 1


def test_an_alloy_much_like_a_held_one_is_asked_about(shop: Shop) -> None:
    (remark,) = shop.enter("H-0002", HeatCharged(number="26-002", alloy="C8730"))
    assert remark.startswith("No limits are held here for an alloy “C8730”. Did you mean C87300?")


@pytest.mark.parametrize("alloy", ["C87300", "UNS C83600", "gunmetal", "the old mix"])
def test_a_held_alloy_and_the_shops_own_word_are_not_asked_about(shop: Shop, alloy: str) -> None:
    assert shop.enter("H-0002", HeatCharged(number="26-002", alloy=alloy)) == ()
