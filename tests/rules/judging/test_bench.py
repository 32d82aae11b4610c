from __future__ import annotations

import msgspec
import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.rules.judging import seated
from editions.trade.book import PhotographFiled
from editions.trade.casting import MarkFound, PieceStarted, StepDone
from editions.trade.catalogue import KINDS
from editions.trade.heats import HeatCharged
from editions.trade.molds import MoldRepaired, MoldSentOut
from editions.trade.parties import PartyEntered
from editions.trade.runs import RunOffered
from editions.trade.waxes import WaxPulled
from tests.rules.judging.memory_desk import TODAY, MemoryDesk
from tests.rules.judging.shop import HAND, HEAT, MOLD, RUN, Shop


def test_a_judge_sits_on_every_kind_but_a_photograph() -> None:
    # A photograph may be filed with any subject that is in the book; nothing else is asked of it.
    assert set(KINDS.values()) - seated() == {PhotographFiled}


def test_a_photograph_may_be_filed_with_any_subject_in_the_book(shop: Shop) -> None:
    assert shop.enter(HEAT, PhotographFiled(derivative="a" * 64, caption="the melt")) == ()


def test_a_photograph_of_nothing_in_the_book_is_refused(shop: Shop) -> None:
    facts = PhotographFiled(derivative="a" * 64)
    shop.refuses("P-0404", facts, "P-0404 is not in the book", error=NotKnown)


def test_a_code_is_entered_once(shop: Shop) -> None:
    facts = HeatCharged(number="26-002", alloy="C87300")
    shop.refuses(HEAT, facts, "H-0001 is already in the book")


def test_what_an_entry_touches_must_be_in_the_book(shop: Shop) -> None:
    facts = WaxPulled(section="whole", mold="M-0404", pull=1)
    shop.refuses("W-0001", facts, "M-0404 is not in the book; wax pulled", error=NotKnown)


@pytest.mark.parametrize("code", ["P-0001", "Z-0001", "0123456789A", "BOOK"])
def test_a_subject_of_another_kind_is_refused(shop: Shop, code: str) -> None:
    facts = HeatCharged(number="26-002", alloy="C87300")
    shop.refuses(code, facts, f"cannot be entered of {code}", error=NotKnown)


def test_a_code_in_the_wrong_place_is_refused(shop: Shop) -> None:
    facts = PieceStarted(run=MOLD)
    shop.refuses("P-0001", facts, "M-0001 is a mold; a run is wanted here", error=NotKnown)


def test_a_code_not_in_the_book_is_named_with_what_is_wanted(shop: Shop) -> None:
    facts = PieceStarted(run="R-0404")
    why = shop.refuses("P-0001", facts, "R-0404 is not in the book; a run", error=NotKnown)
    assert "enter the run first" in why.remedy


@pytest.mark.parametrize("hand", [MOLD, "Y-0404"])
def test_a_hand_must_be_a_party_of_the_book(shop: Shop, hand: str) -> None:
    facts = MoldRepaired(section="whole", what="a patch", hand=hand)
    shop.refuses(MOLD, facts, "a party is wanted here", error=NotKnown)


def test_a_hand_that_is_a_party_is_taken(shop: Shop) -> None:
    assert shop.enter(MOLD, MoldRepaired(section="whole", what="a patch", hand=HAND)) == ()


@pytest.mark.parametrize("on", ["2026-06-02", "2027", "2026-07", "2027/2028", "2027/.."])
def test_a_date_to_come_is_refused(shop: Shop, on: str) -> None:
    shop.refuses(RUN, RunOffered(), "has not come yet", on)


@pytest.mark.parametrize(
    "on", [str(TODAY), "2026", "2026-06", "../2026", "2026/..", "2026-23", "2030?"]
)
def test_a_date_that_may_have_come_is_taken(shop: Shop, on: str) -> None:
    assert shop.enter(RUN, RunOffered(), on) == ()


@pytest.mark.parametrize("on", ["yesterday", "3/4/2026", "2026-13", "", "2026-02-30"])
def test_a_date_that_is_none_is_unreadable(shop: Shop, on: str) -> None:
    shop.refuses(RUN, RunOffered(), ".", on, error=Unreadable)


def test_a_date_is_kept_in_one_form(shop: Shop) -> None:
    shop.refuses(RUN, RunOffered(), "is kept as 201X", "201x", error=Unreadable)


@pytest.mark.parametrize("text", ["a\x00b", "a\u202eb", "a\ud800", "a\ufeffb"])
def test_text_that_hides_a_character_is_unreadable(shop: Shop, text: str) -> None:
    facts = MoldRepaired(section="whole", what=text)
    shop.refuses(MOLD, facts, "The text holds", error=Unreadable)


def test_a_held_text_that_hides_a_character_is_unreadable_too(shop: Shop) -> None:
    shop.refuses(RUN, RunOffered(where="a\x07b"), "The text holds", error=Unreadable)


def test_a_hidden_character_is_found_in_a_list(shop: Shop) -> None:
    facts = PieceStarted(run=RUN, sections=("head", "to\x1brso"))
    shop.refuses("P-0001", facts, "The text holds", error=Unreadable)


def test_a_text_of_many_pages_is_unreadable(shop: Shop) -> None:
    facts = MoldSentOut(to="x" * 20_001)
    shop.refuses(MOLD, facts, "at most 20000", error=Unreadable)


@pytest.mark.parametrize(
    "facts",
    [
        MoldSentOut(place="x" * 2001),
        StepDone(step="shelled", coat=-1),
        StepDone(step="shelled", how="perhaps"),  # type: ignore[arg-type]
        MarkFound(text=""),
        PartyEntered(roles=("potter",)),  # type: ignore[arg-type]
    ],
)
def test_facts_that_a_replay_could_not_read_are_refused(
    shop: Shop, facts: MoldSentOut | StepDone | MarkFound | PartyEntered
) -> None:
    shop.start("P-0001")
    subject = {MoldSentOut: MOLD, PartyEntered: "Y-0009"}.get(type(facts), "P-0001")
    shop.refuses(subject, facts, "cannot be read", error=Unreadable)


def test_facts_that_would_change_when_read_back_are_refused(shop: Shop) -> None:
    facts = PieceStarted(run=RUN, sections=["head"])  # type: ignore[arg-type]
    shop.refuses("P-0001", facts, "does not read back", error=Unreadable)


def test_a_refusal_folds_nothing(shop: Shop) -> None:
    before = {code: msgspec.json.encode(state) for code, state in shop.states.items()}
    with pytest.raises(Refused):
        shop.enter(HEAT, HeatCharged(number="26-001", alloy="C87300"))
    assert {code: msgspec.json.encode(state) for code, state in shop.states.items()} == before


def test_the_first_party_needs_no_other() -> None:
    desk = MemoryDesk()
    assert desk.enter("Y-0001", PartyEntered(roles=("foundry",), name="Harrow Lane Bronze")) == ()


def test_last_years_date_on_the_floors_work_is_asked_about_but_not_of_an_older_book(
    shop: Shop,
) -> None:
    facts = HeatCharged(number="25-001", alloy="C87300")
    assert "is the year as meant?" in shop.enter("H-0025", facts, "2025-03-02")[0]
    assert shop.enter("H-0026", msgspec.structs.replace(facts, number="25-002")) == ()
    older = msgspec.structs.replace(facts, number="25-003")
    assert shop.enter("H-0027", older, "2025-03-02", late=True) == ()
