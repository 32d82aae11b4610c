from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.trade.book import EntryCorrected
from editions.trade.casting import EarlierCastRegistered, How, StepDone
from editions.trade.pieces import Piece
from tests.rules.judging.shop import FOUNDRY, HAND, RUN, WORK, Shop


def parted(shop: Shop) -> None:
    """P-0001 in a head and a base, each with its wax."""
    shop.mold("M-0009", "D-0001", sections=("head", "base"))
    shop.start("P-0001", sections=("head", "base"))
    for wax, section in (("W-0001", "head"), ("W-0002", "base")):
        shop.pull(wax, mold="M-0009", section=section)
        shop.take("P-0001", wax, section)


def invested(shop: Shop) -> None:
    """P-0001, to be cast in a block of investment, with its wax."""
    shop.run("R-0009", route="block-investment")
    shop.start("P-0001", "R-0009")
    shop.pull("W-0001", run="R-0009")
    shop.take("P-0001", "W-0001")


def coats(shop: Shop, piece: str, *numbers: int, section: str | None = None) -> None:
    for coat in numbers:
        shop.enter(piece, StepDone(step="shelled", coat=coat, section=section))


@pytest.fixture
def begun(shop: Shop) -> Shop:
    """P-0001 with its wax, nothing done to it."""
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    return shop


def test_a_step_is_recorded_with_its_hand(begun: Shop) -> None:
    facts = StepDone(step="wax_chased", hand=HAND)
    assert begun.enter("P-0001", facts) == ()
    assert begun.get("P-0001", Piece).steps[0].hand == HAND


def test_a_step_repeats(begun: Shop) -> None:
    for _ in range(3):
        assert begun.enter("P-0001", StepDone(step="gated")) == ()


def test_no_order_is_demanded_where_physics_demands_none(begun: Shop) -> None:
    begun.shell("P-0001")
    begun.pour("P-0001")
    for step in ("mounted", "plugged", "welded", "cut_off", "metal_chased", "broken_out", "welded"):
        assert begun.enter("P-0001", StepDone(step=step)) == ()


# Physics: a shell cannot be emptied before it is there, nor fired full, nor worked before metal.
@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("dewaxed", "is not recorded as shelled, which dewaxing needs"),
        ("fired", "is not recorded as dewaxed, which firing needs"),
        ("broken_out", "is not recorded as poured"),
        ("cut_off", "is not recorded as poured"),
        ("blasted", "is not recorded as poured"),
        ("plugged", "is not recorded as poured"),
        ("welded", "is not recorded as poured"),
        ("metal_chased", "is not recorded as poured"),
        ("mounted", "is not recorded as poured"),
    ],
)
def test_a_step_waits_for_what_physics_needs(begun: Shop, step: str, says: str) -> None:
    why = begun.refuses("P-0001", StepDone(step=step), says)
    assert "not recorded" in why.remedy
    (remark,) = begun.enter("P-0001", StepDone(step=step), late=True)
    assert says in remark


def test_another_route_needs_what_it_needs_in_its_own_words(shop: Shop) -> None:
    invested(shop)
    shop.refuses("P-0001", StepDone(step="fired"), "recorded as invested, which burn-out needs")
    shop.enter("P-0001", StepDone(step="shelled"))
    assert shop.enter("P-0001", StepDone(step="fired")) == ()


@pytest.mark.parametrize(("how", "declared_by"), [("not recorded", None), ("elsewhere", FOUNDRY)])
def test_what_was_not_seen_here_asks_for_nothing_before(
    begun: Shop, how: How, declared_by: str | None
) -> None:
    facts = StepDone(step="fired", how=how, declared_by=declared_by)
    assert begun.enter("P-0001", facts) == ()


def test_a_step_elsewhere_is_declared_by_someone(begun: Shop) -> None:
    shop = begun
    shop.refuses("P-0001", StepDone(step="fired", how="elsewhere"), "Who declared")


@pytest.mark.parametrize("how", ["done", "not recorded"])
def test_only_a_step_elsewhere_is_declared(begun: Shop, how: How) -> None:
    facts = StepDone(step="gated", how=how, declared_by=FOUNDRY)
    begun.refuses("P-0001", facts, "only where it was done elsewhere")


def test_whoever_declares_a_step_is_in_the_book(begun: Shop) -> None:
    facts = StepDone(step="gated", how="elsewhere", declared_by="Y-0404")
    begun.refuses("P-0001", facts, "a party is wanted", error=NotKnown)


@pytest.mark.parametrize(
    ("step", "proper"),
    [
        ("poured", "pour of its heat"),
        ("approved_in_metal", "approval in metal"),
        ("coloured", "colour applied"),
        ("approved_in_colour", "approval in colour"),
        ("released", "release"),
    ],
)
def test_a_step_with_an_entry_of_its_own_is_sent_there(begun: Shop, step: str, proper: str) -> None:
    why = begun.refuses("P-0001", StepDone(step=step), "has an entry of its own")
    assert proper in why.remedy
    facts = StepDone(step=step, how="not recorded")
    assert begun.enter("P-0001", facts) == ()


def test_a_word_that_is_no_step_is_unreadable(begun: Shop) -> None:
    begun.refuses("P-0001", StepDone(step="varnished"), "is not a step", error=Unreadable)


def test_a_step_is_kept_under_one_name(begun: Shop) -> None:
    facts = StepDone(step="wax chased")
    begun.refuses("P-0001", facts, "is entered as wax_chased", error=Unreadable)


def test_a_route_has_its_own_steps(shop: Shop) -> None:
    shop.run("R-0009", route="sand")
    shop.start("P-0001", "R-0009")
    why = shop.refuses("P-0001", StepDone(step="shelled"), "The route sand of P-0001 has no step")
    assert "shaken out" in why.remedy


def test_a_step_is_of_a_section_of_the_piece(begun: Shop) -> None:
    facts = StepDone(step="gated", section="tail")
    begun.refuses("P-0001", facts, "P-0001 has no section tail", error=NotKnown)


def test_a_step_on_a_piece_not_in_the_book_is_refused(shop: Shop) -> None:
    shop.refuses("P-0404", StepDone(step="gated"), "P-0404 is not in the book", error=NotKnown)


def test_a_step_of_the_whole_waits_for_every_section(shop: Shop) -> None:
    parted(shop)
    shop.enter("P-0001", StepDone(step="shelled", section="head"))
    shop.refuses("P-0001", StepDone(step="dewaxed"), "P-0001 base is not recorded as shelled")
    assert shop.enter("P-0001", StepDone(step="dewaxed", section="head")) == ()
    shop.enter("P-0001", StepDone(step="shelled", section="base"))
    assert shop.enter("P-0001", StepDone(step="dewaxed")) == ()


def test_nothing_is_done_to_a_scrapped_piece(begun: Shop) -> None:
    begun.scrap("P-0001")
    begun.refuses("P-0001", StepDone(step="gated"), "P-0001 was scrapped 2 March 2026")


@pytest.mark.parametrize("how", ["done", "not recorded"])
def test_nothing_is_done_to_a_released_piece(shop: Shop, how: How) -> None:
    shop.finish("P-0001", "1/8")
    shop.release("P-0001")
    shop.refuses("P-0001", StepDone(step="mounted", how=how), "P-0001 was released 2 March 2026")


def test_an_earlier_cast_has_no_steps(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    facts = StepDone(step="mounted")
    shop.refuses("P-0001", facts, "was registered from the object")


def test_a_step_is_not_done_before_the_piece_is_begun(begun: Shop) -> None:
    facts = StepDone(step="gated")
    begun.refuses("P-0001", facts, "when P-0001 was begun", "2026-03-01")


def test_a_step_is_not_done_before_the_step_it_needs(begun: Shop) -> None:
    begun.enter("P-0001", StepDone(step="shelled"), "2026-03-10")
    facts = StepDone(step="dewaxed")
    begun.refuses("P-0001", facts, "when P-0001 was shelled", "2026-03-09")
    assert begun.enter("P-0001", facts, "2026-03") == ()


@pytest.mark.parametrize("step", ["wax_chased", "gated", "shelled", "dewaxed", "fired"])
def test_wax_and_shell_are_not_worked_after_the_pour(shop: Shop, step: str) -> None:
    shop.cast("P-0001")
    facts = StepDone(step=step)
    shop.refuses("P-0001", facts, "P-0001 was poured 2 March 2026; it cannot be", "2026-03-03")
    assert all("that day already" in remark for remark in shop.enter("P-0001", facts))


def test_metal_poured_here_is_not_poured_elsewhere(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = StepDone(step="poured", how="not recorded")
    shop.refuses("P-0001", facts, "P-0001 is poured already")


def test_coats_are_counted_upwards(begun: Shop) -> None:
    coats(begun, "P-0001", 1, 2)
    for coat in (1, 2):
        says = f"Coat {coat} of P-0001 is recorded already, on 2 March 2026"
        why = begun.refuses("P-0001", StepDone(step="shelled", coat=coat), says)
        assert why.remedy == "The next is coat 3."
    assert begun.enter("P-0001", StepDone(step="shelled", coat=3)) == ()


@pytest.mark.parametrize(
    ("coat", "missed"), [(2, "coat 1 not"), (3, "coats 1 to 2 not"), (9, "coats 1 to 8 not")]
)
def test_a_coat_left_out_is_remarked_on(begun: Shop, coat: int, missed: str) -> None:
    (remark,) = begun.enter("P-0001", StepDone(step="shelled", coat=coat))
    assert missed in remark


def test_coats_of_sections_are_counted_apart(shop: Shop) -> None:
    parted(shop)
    coats(shop, "P-0001", 1, 2, section="head")
    assert shop.enter("P-0001", StepDone(step="shelled", coat=1, section="base")) == ()
    shop.refuses("P-0001", StepDone(step="shelled", coat=2), "Coat 2 of P-0001 head is recorded")
    (remark,) = shop.enter("P-0001", StepDone(step="shelled", coat=3))
    assert remark.startswith("P-0001 base: coat 2 not recorded;")


def test_a_coat_that_was_forgotten_is_entered_late_with_its_own_day(begun: Shop) -> None:
    begun.enter("P-0001", StepDone(step="shelled", coat=1), "2026-03-02")
    begun.enter("P-0001", StepDone(step="shelled", coat=4), "2026-03-06")
    (remark,) = begun.enter("P-0001", StepDone(step="shelled", coat=2), "2026-03-03")
    assert remark == "P-0001: coat 2 entered after coat 4."
    begun.refuses("P-0001", StepDone(step="shelled", coat=2), "Coat 2 of P-0001 is recorded")
    begun.refuses("P-0001", StepDone(step="shelled", coat=4), "recorded already, on 6 March 2026")


def test_a_late_coat_dated_after_the_one_above_it_is_asked_about(begun: Shop) -> None:
    begun.enter("P-0001", StepDone(step="shelled", coat=1), "2026-03-02")
    begun.enter("P-0001", StepDone(step="shelled", coat=3), "2026-03-06")
    _, dated = begun.enter("P-0001", StepDone(step="shelled", coat=2), "2026-03-09")
    assert dated == "P-0001: coat 2 is dated after coat 3, 6 March 2026; is that its day?"


def test_a_late_coat_is_not_dated_after_the_metal(begun: Shop) -> None:
    coats(begun, "P-0001", 1, 3)
    for step in ("dewaxed", "fired"):
        begun.enter("P-0001", StepDone(step=step))
    begun.pour("P-0001")
    late = StepDone(step="shelled", coat=2)
    begun.refuses("P-0001", late, "cannot be shelled on 9 March", "2026-03-09")
    assert begun.enter("P-0001", late, "2026-03-02") == ("P-0001: coat 2 entered after coat 3.",)


def test_a_section_cast_again_is_coated_from_the_first(begun: Shop) -> None:
    coats(begun, "P-0001", 1, 2)
    begun.scrap("P-0001", "whole")
    begun.pull("W-0002")
    begun.take("P-0001", "W-0002")
    assert begun.enter("P-0001", StepDone(step="shelled", coat=1)) == ()


@pytest.mark.parametrize("step", ["wax_chased", "gated", "dewaxed"])
def test_only_shells_have_coats(begun: Shop, step: str) -> None:
    begun.refuses("P-0001", StepDone(step=step, coat=1), "Coats are counted of shells")


def test_there_is_no_coat_nought(begun: Shop) -> None:
    begun.refuses("P-0001", StepDone(step="shelled", coat=0), "The first coat is coat 1")


# Published foundry pages: 7 to 14 coats, most often 8 to 10.
@pytest.mark.parametrize(("count", "remarked"), [(6, True), (7, False), (9, False), (0, False)])
def test_few_coats_at_dewaxing_are_remarked_on(begun: Shop, count: int, remarked: bool) -> None:
    coats(begun, "P-0001", *range(1, count + 1))
    if not count:
        begun.enter("P-0001", StepDone(step="shelled"))
    remarks = begun.enter("P-0001", StepDone(step="dewaxed"))
    assert any("name 7 to 14" in remark for remark in remarks) is remarked
    if remarked:
        assert "P-0001 has 6 coats; published foundry pages name 7 to 14" in remarks[0]


def test_a_block_of_investment_has_no_coats_to_be_few(shop: Shop) -> None:
    invested(shop)
    coats(shop, "P-0001", 1)
    assert shop.enter("P-0001", StepDone(step="dewaxed")) == ()


def recounting(coat: int | None) -> EntryCorrected:
    return EntryCorrected(
        entry="a" * 64, entry_kind="step_done", changes={"coat": coat}, touches=("P-0001",)
    )


@pytest.mark.parametrize("coat", [2, 5, None])
def test_a_coat_counted_wrongly_is_counted_again(begun: Shop, coat: int | None) -> None:
    coats(begun, "P-0001", 1, 3)
    assert begun.enter("P-0001", recounting(coat)) == ()


@pytest.mark.parametrize(
    ("coat", "says"), [(0, "The first coat is coat 1"), (3, "Coat 3 of P-0001 is recorded already")]
)
def test_a_coat_is_not_counted_twice_by_a_correction(begun: Shop, coat: int, says: str) -> None:
    coats(begun, "P-0001", 1, 3)
    begun.refuses("P-0001", recounting(coat), says)


def test_each_section_counts_its_own_coats_in_a_correction_too(shop: Shop) -> None:
    parted(shop)
    coats(shop, "P-0001", 1, 2, section="head")
    assert shop.enter("P-0001", recounting(2)) == ()


@pytest.mark.parametrize("step", ["dewaxed", "fired"])
def test_a_shell_emptied_or_fired_twice_in_a_day_is_remarked_on(begun: Shop, step: str) -> None:
    begun.shell("P-0001")
    (remark,) = begun.enter("P-0001", StepDone(step=step))
    assert remark == f"P-0001: {step} is recorded of that day already."
    assert begun.enter("P-0001", StepDone(step=step), "2026-03-09") == ()
    assert begun.enter("P-0001", StepDone(step=step, section="whole")) == ()


@pytest.mark.parametrize("step", ["wax_chased", "gated", "shelled"])
def test_work_on_a_wax_that_the_book_does_not_know_is_remarked_on(shop: Shop, step: str) -> None:
    shop.start("P-0001")
    (remark,) = shop.enter("P-0001", StepDone(step=step))
    assert remark.startswith("P-0001 has no wax in this book, which ")


def test_each_section_without_a_wax_is_named(shop: Shop) -> None:
    parted(shop)
    shop.scrap("P-0001", "base")
    (remark,) = shop.enter("P-0001", StepDone(step="gated"))
    assert remark.startswith("P-0001 base has no wax in this book, which gating needs")
    assert shop.enter("P-0001", StepDone(step="gated", section="head")) == ()


@pytest.mark.parametrize(("how", "declared_by"), [("not recorded", None), ("elsewhere", FOUNDRY)])
def test_what_came_from_elsewhere_needs_no_wax_here(
    shop: Shop, how: How, declared_by: str | None
) -> None:
    shop.start("P-0001")
    facts = StepDone(step="wax_chased", how=how, declared_by=declared_by)
    assert shop.enter("P-0001", facts) == ()
    assert shop.enter("P-0001", StepDone(step="shelled")) == ()


def test_a_route_without_waxes_asks_for_none(shop: Shop) -> None:
    shop.run("R-0009", route="sand")
    shop.start("P-0001", "R-0009")
    assert shop.enter("P-0001", StepDone(step="gated")) == ()
