from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered, PieceStarted, StepDone
from editions.trade.heats import ChargeLine, Heat, HeatAnalysed, HeatCharged, HeatPoured, Shell
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.runs import Run
from tests.rules.judging.shop import HAND, HEAT, RUN, WORK, Shop

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


def test_a_pour_reaches_heat_piece_and_run(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.ready("P-0002")
    assert shop.enter(HEAT, shop.pouring("P-0001", "P-0002"), "2026-03-04") == ()
    assert shop.get(HEAT, Heat).poured == "2026-03-04"
    assert shop.get("P-0002", Piece).cast_on == "2026-03-04"
    assert shop.get(RUN, Run).cast == ("P-0001", "P-0002")
    assert shop.get(RUN, Run).locked_by == "first cast"


def test_a_piece_of_several_heats_is_counted_once(shop: Shop) -> None:
    sections(shop)
    for section in ("head", "base"):
        shop.enter(HEAT, shop.pouring(f"P-0001/{section}"))
    assert shop.get(RUN, Run).poured == 1


def sections(shop: Shop) -> None:
    """P-0001 in a head and a base, both shelled and fired."""
    shop.mold("M-0009", "D-0001", sections=("head", "base"))
    shop.start("P-0001", sections=("head", "base"))
    for wax, section in (("W-0001", "head"), ("W-0002", "base")):
        shop.pull(wax, mold="M-0009", section=section)
        shop.take("P-0001", wax, section)
    shop.shell("P-0001")


def test_a_pour_before_firing_is_refused_on_a_route_that_fires(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    why = shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 is not recorded as fired")
    assert '--how "not recorded"' in why.remedy
    shop.enter("P-0001", StepDone(step="fired", how="not recorded"))
    assert shop.enter(HEAT, shop.pouring("P-0001")) == ()


def test_a_firing_elsewhere_is_enough(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    shop.enter("P-0001", StepDone(step="fired", how="elsewhere", declared_by="Y-0001"))
    assert shop.enter(HEAT, shop.pouring("P-0001")) == ()


def test_every_section_is_fired_before_its_pour(shop: Shop) -> None:
    sections(shop)
    shop.scrap("P-0001", "head")
    shop.pull("W-0003", mold="M-0009", section="head")
    shop.take("P-0001", "W-0003", "head")
    shop.refuses(HEAT, shop.pouring("P-0001/head"), "P-0001 head is not recorded as fired")
    assert shop.enter(HEAT, shop.pouring("P-0001/base")) == ()


def test_a_pour_dated_before_the_firing_is_refused(shop: Shop) -> None:
    shop.ready("P-0001")
    facts = shop.pouring("P-0001")
    why = shop.refuses(HEAT, facts, "dates run backwards", "2026-03-01")
    assert "P-0001 was begun" in why.message
    shop.enter("P-0001", StepDone(step="fired"), "2026-03-05")
    assert shop.enter(HEAT, facts, "2026-03-05") == ()


def test_a_pour_between_beginning_and_firing_is_refused(shop: Shop) -> None:
    shop.start("P-0001", on="2026-02-01")
    shop.pull("W-0001", on="2026-02-01")
    shop.enter("P-0001", shop.taking("W-0001"), "2026-02-02")
    shop.shell("P-0001", on="2026-03-05")
    shop.refuses(HEAT, shop.pouring("P-0001"), "when P-0001 was fired", "2026-03-04")


def test_an_older_record_pours_what_was_never_fired_on_paper(shop: Shop) -> None:
    shop.start("P-0001")
    remarks = shop.enter(HEAT, shop.pouring("P-0001"), late=True)
    assert remarks == (
        "P-0001 has no wax on record.",
        "P-0001 is not recorded as fired, which poured needs.",
    )


def test_a_shell_is_made_of_a_wax(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="fired", how="not recorded"))
    shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 has no wax")


@pytest.mark.parametrize("route", ["sand", "printed-pattern", "direct-wax"])
def test_some_routes_pour_without_a_wax(shop: Shop, route: str) -> None:
    shop.run("R-0009", route=route)
    shop.start("P-0001", "R-0009")
    if route != "sand":
        shop.enter("P-0001", StepDone(step="fired", how="not recorded"))
    assert shop.enter(HEAT, shop.pouring("P-0001", run="R-0009")) == ()


def test_sand_needs_no_firing_and_has_none(shop: Shop) -> None:
    shop.run("R-0009", route="sand")
    shop.start("P-0001", "R-0009")
    shop.refuses("P-0001", StepDone(step="fired"), "The route sand of P-0001 has no step fired")


def test_a_section_is_poured_once(shop: Shop) -> None:
    shop.cast("P-0001")
    why = shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 is poured already, from H-0001")
    assert "scrapped" in why.remedy


def test_a_section_poured_elsewhere_is_not_poured_here(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="poured", how="elsewhere", declared_by="Y-0001"))
    shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 is poured already.")


def test_a_section_cast_again_is_poured_again(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001", "whole")
    assert not shop.get("P-0001", Piece).poured
    shop.pull("W-0002")
    shop.take("P-0001", "W-0002")
    shop.refuses(HEAT, shop.pouring("P-0001"), "is not recorded as fired")
    shop.shell("P-0001")
    assert shop.enter(HEAT, shop.pouring("P-0001")) == ()
    assert shop.get(RUN, Run).cast == ("P-0001",)


def test_a_shell_is_poured_once_in_a_pour(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.refuses(HEAT, shop.pouring("P-0001", "P-0001"), "shell P-0001 whole is named twice")


def test_a_pour_fills_a_shell(shop: Shop) -> None:
    shop.refuses(HEAT, HeatPoured(shells=()), "No shell is named")


def test_a_shell_of_no_section_of_the_piece_is_refused(shop: Shop) -> None:
    shop.ready("P-0001")
    why = shop.refuses(HEAT, shop.pouring("P-0001/tail"), "has no section tail", error=NotKnown)
    assert why.remedy == "Its sections: whole."


def test_a_scrapped_piece_is_not_poured(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.scrap("P-0001")
    shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 was scrapped")


def test_a_released_piece_is_not_poured(shop: Shop) -> None:
    shop.finish("P-0001", "1/8")
    shop.release("P-0001")
    shop.refuses(HEAT, shop.pouring("P-0001"), "P-0001 was released")


def test_an_earlier_cast_is_not_poured(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.refuses(HEAT, shop.pouring("P-0001"), "was registered from the object")


def test_a_pour_counts_for_the_pieces_own_run(shop: Shop) -> None:
    shop.run("R-0009")
    shop.ready("P-0001")
    says = "P-0001 counts for R-0001; the pour names"
    shop.refuses(HEAT, shop.pouring("P-0001", run="R-0009"), f"{says} R-0009")
    shop.refuses(HEAT, shop.pouring("P-0001", run=None), f"{says} no run")


def test_a_trial_counts_for_no_run(shop: Shop) -> None:
    shop.enter("P-0001", PieceStarted(run=RUN, purpose="trial"))
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    shop.shell("P-0001")
    shop.refuses(HEAT, shop.pouring("P-0001"), "counts for no run, being a trial")
    assert shop.enter(HEAT, shop.pouring("P-0001", run=None)) == ()
    assert shop.get(RUN, Run).cast == ()


def test_a_heat_is_not_poured_before_it_is_charged(shop: Shop) -> None:
    shop.start("P-0001")
    shop.refuses(HEAT, shop.pouring("P-0001"), "when H-0001 was charged", "2026-01-04")


@pytest.mark.parametrize("on", ["2026-03-03", "2026-03-09"])
def test_a_heat_poured_on_two_days_is_remarked_on(shop: Shop, on: str) -> None:
    shop.ready("P-0001")
    shop.ready("P-0002")
    shop.pour("P-0001", on="2026-03-05")
    remarks = shop.enter(HEAT, shop.pouring("P-0002"), on)
    assert remarks == ("H-0001 was poured 5 March 2026 too.",)


def test_a_heat_poured_twice_in_a_day_is_not_remarked_on(shop: Shop) -> None:
    shop.ready("P-0001")
    shop.ready("P-0002")
    shop.pour("P-0001")
    assert shop.enter(HEAT, shop.pouring("P-0002")) == ()


# Silicon bronze C87300: 2000–2150 °F light, 1850–1950 heavy (CDA); shell preheat 1100–1500 °F
# (published foundry pages); 85-5-5-5 from memory, medium confidence.
@pytest.mark.parametrize(
    ("alloy", "metal", "shell", "remarked"),
    [
        ("C87300", "1850 °F", "1100 °F", False),
        ("C87300", "2150 °F", "1500 °F", False),
        ("C87300", "1093 °C", None, False),
        ("C87300", "1849 °F", None, True),
        ("C87300", "2151 °F", None, True),
        ("C87300", None, "1099 °F", True),
        ("C87300", None, "816 °C", True),
        ("C83600", "2350 °F", None, False),
        ("C83600", "1949 °F", None, True),
        ("C87600", "1800 °F", None, False),
        ("UNS C87600", "1799 °F", None, True),
        ("gunmetal", "500 °F", None, False),
    ],
)
def test_temperatures_outside_published_ranges_are_remarked_on(
    shop: Shop, alloy: str, metal: str | None, shell: str | None, remarked: bool
) -> None:
    shop.ready("P-0001")
    shop.enter("H-0002", HeatCharged(number="26-002", alloy=alloy))
    facts = replace(shop.pouring("P-0001"), metal=degrees(metal), shell=degrees(shell))
    remarks = shop.enter("H-0002", facts)
    assert bool(remarks) is remarked
    if remarked:
        assert "is outside" in remarks[0]
        assert remarks[-1].startswith("Molten metal:")


def degrees(text: str | None) -> Quantity | None:
    return Quantity(*text.split(" ")) if text else None


@pytest.mark.parametrize("field", ["metal", "shell"])
def test_a_temperature_is_a_temperature(shop: Shop, field: str) -> None:
    shop.ready("P-0001")
    facts = replace(shop.pouring("P-0001"), **{field: Quantity("3", "kg")})
    shop.refuses(HEAT, facts, f"temperature of the {field}", error=Unreadable)


def test_a_pour_of_something_else_is_refused(shop: Shop) -> None:
    facts = HeatPoured(shells=(Shell(piece="P-0001", section="whole", run="M-0001"),), hand=HAND)
    shop.ready("P-0001")
    shop.refuses(HEAT, facts, "cannot be entered of M-0001", error=NotKnown)
