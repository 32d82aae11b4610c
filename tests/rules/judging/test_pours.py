"""Pours: what a shell must be before, and what a pour reaches."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.trade.casting import EarlierCastRegistered, PieceStarted, StepDone
from editions.trade.heats import ChargeLine, Heat, HeatCharged, HeatPoured, Shell
from editions.trade.molds import Mold
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.runs import Run
from editions.trade.waxes import WaxPulled
from tests.rules.judging.shop import HAND, HEAT, MOLD, RUN, WORK, Shop


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
        "P-0001 is not recorded as fired, which its pour needs.",
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


def test_a_pour_of_something_else_is_refused(shop: Shop) -> None:
    facts = HeatPoured(shells=(Shell(piece="P-0001", section="whole", run="M-0001"),), hand=HAND)
    shop.ready("P-0001")
    shop.refuses(HEAT, facts, "cannot be entered of M-0001", error=NotKnown)


def charged(shop: Shop, *masses: str | None, alloy: str = "C87300") -> None:
    """Heat H-0009, charged with lines of these masses in kg; None was not weighed."""
    lines = tuple(
        ChargeLine(source="ingot", name=f"bin {place}", mass=Quantity(mass, "kg") if mass else None)
        for place, mass in enumerate(masses)
    )
    shop.enter("H-0009", HeatCharged(number="26-009", alloy=alloy, charge=lines))


def weighed(shop: Shop, piece: str, wax: str, mass: str) -> None:
    """A piece made from a wax of this mass in kg, and fired."""
    shop.start(piece)
    made = shop.get(MOLD, Mold).sections[0].pulls + 1
    shop.enter(
        wax, WaxPulled(section="whole", mold=MOLD, pull=made, run=RUN, mass=Quantity(mass, "kg"))
    )
    shop.take(piece, wax)
    shop.shell(piece)


def test_a_pour_of_more_than_was_charged_is_remarked_on(shop: Shop) -> None:
    # 0.302 lb/in3 (CDA, C87300) is 8.359 g/cm3: 8.99 times a wax of 0.93; 7 kg of wax, 62.9 kg.
    charged(shop, "40", "20")
    weighed(shop, "P-0001", "W-0001", "7")
    (said,) = shop.enter("H-0009", shop.pouring("P-0001"))
    assert said == (
        "By their waxes the shells of heat 26-009 take 62.9 kg at least; 60.0 kg were charged."
        " Is it this heat?"
    )


def test_pours_of_one_heat_are_reckoned_together(shop: Shop) -> None:
    charged(shop, "60")
    weighed(shop, "P-0001", "W-0001", "4")
    weighed(shop, "P-0002", "W-0002", "3")
    assert shop.enter("H-0009", shop.pouring("P-0001")) == ()
    (said,) = shop.enter("H-0009", shop.pouring("P-0002"))
    assert "62.9 kg" in said


@pytest.mark.parametrize(
    ("masses", "alloy"), [(("63",), "C87300"), (("1", None), "C87300"), ((), "C87300"),
                          (("1",), "Lane bronze")]
)  # fmt: skip
def test_a_pour_is_not_doubted_where_the_charge_reaches_or_is_not_known(
    shop: Shop, masses: tuple[str | None, ...], alloy: str
) -> None:
    charged(shop, *masses, alloy=alloy)
    weighed(shop, "P-0001", "W-0001", "7")
    assert shop.enter("H-0009", shop.pouring("P-0001")) == ()
