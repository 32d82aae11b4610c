"""Which entries are struck, and what stands on a run and on what was entered twice."""

from __future__ import annotations

from typing import Literal

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Refused
from editions.rules.judging import judge
from editions.trade.casting import (
    PieceStarted,
    StepDone,
)
from editions.trade.kinds import KINDS
from editions.trade.molds import MoldMade
from editions.trade.parties import PartyEntered
from editions.trade.runs import (
    NumberPromised,
    PromiseEnded,
    Run,
    RunAmended,
    RunDeclared,
    RunOffered,
)
from editions.trade.strikes import BEGINNINGS, STRIKABLE, EntryStruck
from editions.trade.waxes import WaxJudged
from editions.trade.works import ModelEntered, WorkEntered
from tests.rules.judging.shop import (
    ARTIST,
    DECLARED,
    HAND,
    HEAT,
    MODEL,
    MOLD,
    NUMBERS,
    RUN,
    WORK,
    Shop,
)
from tests.rules.judging.striking import WHY, keeps, last, strike, striking

REJECTED = WaxJudged(accepted=False, reason="air in the beak")


def test_an_offer_is_struck_and_its_run_can_be_amended(shop: Shop) -> None:
    shop.run("R-0003", locks_on="first offer")
    shop.enter("R-0003", RunOffered())
    amended = RunAmended(declared=replace(DECLARED, locks_on="first offer", size=6))
    shop.refuses("R-0003", amended, "locked by its first offer")
    assert strike(shop, "run_offered") == ()
    shop.enter("R-0003", amended)


@pytest.mark.parametrize("held_for", ["payment", "sale"])
def test_an_offer_stays_while_a_number_is_held_or_sold_since(
    shop: Shop, held_for: Literal["payment", "sale"]
) -> None:
    shop.enter(RUN, RunOffered())
    shop.enter(RUN, NumberPromised(designation="3/8", held_for=held_for))
    keeps(shop, "run_offered", f"3/8 is held for {held_for} since")
    shop.enter(RUN, PromiseEnded(designation="3/8"))
    assert strike(shop, "run_offered") == ()


def test_a_sale_of_the_wrong_number_no_longer_locks_the_run(shop: Shop) -> None:
    shop.run("R-0003", locks_on="first sale")
    shop.enter("R-0003", NumberPromised(designation="3/8"))
    shop.enter("R-0003", NumberPromised(designation="3/8", held_for="sale"))
    assert strike(shop, "number_promised") == ()
    run = shop.get("R-0003", Run)
    assert (run.locked_by, [one.held_for for one in run.promised]) == (None, ["promise"])


def test_a_promise_stays_once_it_ripened_or_was_ended(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    first = last(shop, "number_promised")
    shop.enter(RUN, NumberPromised(designation="3/8", held_for="payment"))
    shop.enter(RUN, NumberPromised(designation="4/8"))
    shop.refuses(RUN, striking(first), "stands on it: number promised .R-0001., 2 March 2026")
    ripened = [one for one in shop.told(RUN) if getattr(one.facts, "held_for", "") == "payment"]
    shop.enter(RUN, PromiseEnded(designation="3/8"))
    shop.refuses(RUN, striking(ripened[0]), "stands on it: promise ended")
    assert strike(shop, "number_promised") == ()


def test_a_promise_stays_for_good_once_a_paper_reserves_the_number(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    reserving = shop.certificate(None, paper="reservation", designation="3/8")
    shop.enter(NUMBERS[0], replace(reserving, run=RUN))
    keeps(shop, "number_promised", "the reservation 0123 4567 89A was issued on it")


def test_an_offer_is_struck_beside_a_promise(shop: Shop) -> None:
    shop.enter(RUN, RunOffered())
    shop.enter(RUN, NumberPromised(designation="3/8"))
    assert strike(shop, "run_offered") == ()


def test_an_offer_stays_once_a_certificate_of_the_run_was_issued(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.enter(RUN, RunOffered())
    shop.certify("P-0001")
    keeps(shop, "run_offered", "certificate 0123 4567 89A was issued on it")


TWICE = {
    "Y-0009": PartyEntered(roles=("artist",), name="Ilse Vargas"),
    "K-0009": WorkEntered(artist=ARTIST, title="Heron"),
    "D-0009": ModelEntered(work=WORK, stage="original"),
    "M-0009": MoldMade(taken_from=MODEL, generation=0, sections=("whole",), material="silicone"),
    "R-0009": RunDeclared(declared=DECLARED),
    "P-0009": PieceStarted(run=RUN, tag="T-0109"),
}
ON_IT = {
    "Y-0009": (WORK.replace("1", "8"), WorkEntered(artist="Y-0009", title="Otter")),
    "K-0009": ("D-0008", ModelEntered(work="K-0009", stage="original")),
    "D-0009": ("M-0008", replace(TWICE["M-0009"], taken_from="D-0009")),
    "R-0009": ("R-0009", RunOffered()),
    "P-0009": ("P-0009", StepDone(step="gated")),
}


@pytest.mark.parametrize("code", TWICE)
def test_what_was_entered_twice_is_struck_and_its_code_is_spent(shop: Shop, code: str) -> None:
    shop.enter(code, TWICE[code])
    assert TWICE[code].kind in BEGINNINGS
    strike(shop, TWICE[code].kind, code)
    assert shop.state(code) is None
    shop.refuses(code, TWICE[code], f"{code} was entered and struck")


@pytest.mark.parametrize("code", ON_IT)
def test_what_was_entered_twice_stays_while_another_entry_names_it(shop: Shop, code: str) -> None:
    shop.enter(code, TWICE[code])
    other, facts = ON_IT[code]
    shop.enter(other, facts)
    keeps(shop, TWICE[code].kind, f"{facts.kind.replace('_', ' ')} .{other}.", code)
    if facts.kind in STRIKABLE:
        strike(shop, facts.kind, other)
        strike(shop, TWICE[code].kind, code)
        assert shop.state(code) is None


def test_a_mold_entered_twice_stays_once_a_wax_was_pulled_from_it(shop: Shop) -> None:
    shop.enter("M-0009", TWICE["M-0009"])
    shop.pull("W-0001", mold="M-0009")
    keeps(shop, "mold_made", "wax pulled .W-0001., 2 March 2026", "M-0009")


def test_a_party_stays_while_it_is_the_hand_of_a_step(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter("P-0001", StepDone(step="gated", hand=HAND))
    keeps(shop, "party_entered", "step done .P-0001.", HAND)
    strike(shop, "step_done")
    strike(shop, "party_entered", HAND)
    assert shop.state(HAND) is None


def test_a_party_is_not_struck_by_its_own_hand(shop: Shop) -> None:
    draft = shop.draft(HAND, striking(last(shop, "party_entered", HAND)))
    with pytest.raises(Refused, match="Y-0004 records this, and so is in the book"):
        judge(replace(draft, by=HAND), shop)


def test_more_than_three_that_stand_on_it_are_counted(shop: Shop) -> None:
    for tag in range(1, 7):
        shop.start(f"P-000{tag}")
    keeps(shop, "run_declared", "piece started .P-0003., 2 March 2026; and 3 more")


@pytest.mark.parametrize("kind", sorted(KINDS.keys() - STRIKABLE))
def test_no_other_kind_of_entry_is_struck(shop: Shop, kind: str) -> None:
    facts = EntryStruck(entry="0" * 64, entry_kind=kind, touches=(RUN,), reason=WHY)
    remedy = shop.refuses(RUN, facts, "is not struck").remedy
    assert remedy


def test_a_strike_of_a_strike_says_that_the_entry_is_made_anew(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", REJECTED)
    strike(shop, "wax_judged")
    assert "anew" in keeps(shop, "entry_struck", "A strike is not struck")


def test_an_entry_is_struck_once(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", REJECTED)
    facts = striking(last(shop, "wax_judged"))
    shop.enter("W-0001", facts)
    shop.refuses("W-0001", facts, "may be struck already")


@pytest.mark.parametrize("reason", [None, "", "   "])
def test_a_strike_without_a_reason_is_refused(shop: Shop, reason: str | None) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", REJECTED)
    shop.refuses("W-0001", striking(last(shop, "wax_judged"), reason), "Why the entry is struck")


def test_a_strike_names_the_entry_as_it_is(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", REJECTED)
    right = striking(last(shop, "wax_judged"))
    for wrong in (
        replace(right, entry_kind="section_taken"),
        replace(right, touches=("W-0001", RUN)),
        replace(right, touches=(MOLD, "W-0001")),
    ):
        shop.refuses("W-0001", wrong, "the strike says otherwise")
    shop.refuses("W-0001", replace(right, entry="0" * 64), "No entry of W-0001 that still counts")
    shop.refuses(MOLD, replace(right, touches=(MOLD,)), "No entry of M-0001")
    shop.refuses(
        "W-0001", replace(right, entry_kind="wax_melted"), "No kind of entry", error=NotKnown
    )


def test_a_heat_is_not_struck_and_says_what_can_be_corrected(shop: Shop) -> None:
    assert "charge" in keeps(shop, "heat_charged", "An entry .heat charged. is not struck", HEAT)
