from __future__ import annotations

import pytest

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered
from editions.trade.kinds import Facts
from editions.trade.molds import (
    Criterion,
    EarlierPulls,
    Mold,
    MoldDestroyed,
    MoldInspected,
    MoldMade,
    MoldRepaired,
    MoldRetired,
    MoldReturned,
    MoldSentOut,
)
from editions.trade.quantities import Quantity
from editions.trade.waxes import WaxPulled
from editions.trade.works import ModelEntered
from tests.rules.judging.shop import HAND, MODEL, MOLD, RUN, WITNESS, WORK, Shop

SOUND = (Criterion(name="tears", grade="sound"),)
INSPECTED = MoldInspected(section="whole", criteria=SOUND)
DESTROYED = MoldDestroyed(witness=WITNESS, evidence="cut up; photographs filed")


def making(
    taken_from: str = MODEL,
    generation: int = 0,
    sections: tuple[str, ...] = ("whole",),
    **more: object,
) -> MoldMade:
    return MoldMade(
        taken_from=taken_from,
        generation=generation,
        sections=sections,
        material="silicone",
        **more,  # type: ignore[arg-type]
    )


def test_a_mold_is_made_from_a_model(shop: Shop) -> None:
    told = (
        EarlierPulls(section="head", pulls=12),
        EarlierPulls(section="base", pulls=3, counted=False),
    )
    assert shop.enter("M-0009", making(sections=("head", "base"), earlier=told)) == ()
    head, base = shop.get("M-0009", Mold).sections
    assert (head.count, base.count) == ("12", "at least 3")


@pytest.mark.parametrize(
    ("sections", "says"), [((), "No section is named"), (("a", "a"), "section a is named twice")]
)
def test_a_mold_has_sections_each_once(shop: Shop, sections: tuple[str, ...], says: str) -> None:
    shop.refuses("M-0009", making(sections=sections), says)


@pytest.mark.parametrize("taken_from", ["D-0404", "P-0404"])
def test_what_a_mold_was_taken_from_is_in_the_book(shop: Shop, taken_from: str) -> None:
    shop.refuses("M-0009", making(taken_from), "a model or a piece is wanted", error=NotKnown)


@pytest.mark.parametrize("taken_from", [WORK, RUN, MOLD])
def test_a_mold_is_taken_from_an_object(shop: Shop, taken_from: str) -> None:
    shop.refuses("M-0009", making(taken_from), "is neither a model nor a piece")


def test_earlier_pulls_are_of_its_sections(shop: Shop) -> None:
    told = (EarlierPulls(section="tail", pulls=2),)
    shop.refuses("M-0009", making(earlier=told), "has no section tail", error=NotKnown)


def test_earlier_pulls_are_told_once_a_section(shop: Shop) -> None:
    told = (EarlierPulls(section="whole", pulls=2),) * 2
    shop.refuses("M-0009", making(earlier=told), "whole is named twice")


@pytest.mark.parametrize("generation", [1, 2])
def test_a_cast_from_a_mold_of_the_model_is_of_generation_nought(
    shop: Shop, generation: int
) -> None:
    shop.refuses("M-0009", making(generation=generation), "of generation 0, not")


def test_a_master_bronze_in_the_chain_is_a_generation(shop: Shop) -> None:
    shop.enter("D-0002", ModelEntered(work=WORK, stage="master bronze", made_from=MODEL))
    shop.enter("D-0003", ModelEntered(work=WORK, stage="plaster", made_from="D-0002"))
    for model in ("D-0002", "D-0003"):
        shop.refuses("M-0009", making(model), "holds a master bronze: .* of generation 1, not 0")
    assert shop.enter("M-0009", making("D-0003", 1)) == ()


def test_a_mold_of_a_bronze_is_a_generation_further(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("M-0009", making("P-0001", 0), "of generation 1 at least, not 0")
    assert shop.enter("M-0009", making("P-0001", 1)) == ()
    shop.cast("P-0002", mold="M-0009")
    shop.refuses("M-0010", making("P-0002", 1), "of generation 2 at least, not 1")
    assert shop.enter("M-0010", making("P-0002", 2)) == ()


def test_a_mold_may_be_taken_from_an_earlier_cast(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK), "2026-05-01")
    shop.refuses("M-0009", making("P-0001", 0), "of generation 1 at least")
    assert shop.enter("M-0009", making("P-0001", 3)) == ()


def test_no_mold_is_taken_from_a_piece_not_poured(shop: Shop) -> None:
    shop.start("P-0001")
    shop.refuses("M-0009", making("P-0001", 1), "P-0001 is not poured yet")


def test_no_mold_is_taken_from_a_piece_before_its_pour(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses("M-0009", making("P-0001", 1), "when P-0001 was poured", "2026-03-01")


def test_no_mold_is_taken_from_a_scrapped_piece(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001")
    shop.refuses("M-0009", making("P-0001", 1), "P-0001 was scrapped")


EVERYTHING = (
    MoldSentOut(),
    INSPECTED,
    MoldRepaired(section="whole", what="a patch"),
    MoldRetired(),
    DESTROYED,
)


@pytest.mark.parametrize("facts", [*EVERYTHING, MoldReturned()])
def test_nothing_happens_to_a_destroyed_mold(shop: Shop, facts: Facts) -> None:
    shop.enter(MOLD, DESTROYED, "2026-02-01")
    shop.refuses(MOLD, facts, "M-0001 was destroyed 1 February 2026 before Y-0005")


@pytest.mark.parametrize("facts", EVERYTHING)
def test_nothing_happens_to_a_mold_before_it_is_made(shop: Shop, facts: Facts) -> None:
    shop.refuses(MOLD, facts, "when M-0001 was made", "2026-01-05")


@pytest.mark.parametrize("facts", EVERYTHING)
def test_a_mold_lives_until_then(shop: Shop, facts: Facts) -> None:
    assert shop.enter(MOLD, facts) == ()


def test_no_wax_is_pulled_from_a_destroyed_mold(shop: Shop) -> None:
    shop.enter(MOLD, DESTROYED, "2026-02-01")
    facts = WaxPulled(section="whole", mold=MOLD, pull=1)
    shop.refuses("W-0001", facts, "M-0001 was destroyed 1 February 2026 before Y-0005")
    shop.refuses("W-0001", facts, "was destroyed", "2026-02-02", late=True)


def test_an_older_record_may_tell_of_pulls_before_the_destruction(shop: Shop) -> None:
    shop.enter(MOLD, DESTROYED, "2026-02-01")
    facts = WaxPulled(section="whole", mold=MOLD, pull=1)
    assert shop.enter("W-0001", facts, "2026-01-20", late=True) == ()


def test_a_destruction_has_a_witness_of_the_book(shop: Shop) -> None:
    facts = MoldDestroyed(witness="Y-0404", evidence="cut up")
    shop.refuses(MOLD, facts, "Y-0404 is not in the book", error=NotKnown)


def test_a_destruction_is_proven(shop: Shop) -> None:
    shop.refuses(MOLD, MoldDestroyed(witness=WITNESS, evidence="  "), "is proven is not said")


def test_a_mold_destroyed_while_out_is_remarked_on(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    assert "is out since 2 March 2026" in shop.enter(MOLD, DESTROYED)[0]


def test_a_mold_goes_out_once(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    shop.refuses(MOLD, MoldSentOut(), "M-0001 is out since 2 March 2026")


def test_only_a_mold_that_is_out_returns(shop: Shop) -> None:
    shop.refuses(MOLD, MoldReturned(), "M-0001 is not out")


def test_a_mold_does_not_return_before_it_left(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    shop.refuses(MOLD, MoldReturned(), "when M-0001 was sent out", "2026-03-01")


def test_a_mold_returns_with_its_pulls(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    away = (EarlierPulls(section="whole", pulls=2),)
    assert shop.enter(MOLD, MoldReturned(away=away)) == ()
    assert shop.get(MOLD, Mold).sections[0].count == "at least 2"


def test_pulls_made_away_are_of_its_sections(shop: Shop) -> None:
    shop.enter(MOLD, MoldSentOut())
    told = MoldReturned(away=(EarlierPulls(section="tail", pulls=2),))
    shop.refuses(MOLD, told, "has no section tail", error=NotKnown)


@pytest.mark.parametrize(
    "facts",
    [
        MoldInspected(section="tail", criteria=SOUND),
        MoldRepaired(section="tail", what="a patch"),
        MoldRetired(section="tail"),
    ],
)
def test_a_section_that_the_mold_has_not_is_named_with_those_it_has(
    shop: Shop, facts: Facts
) -> None:
    why = shop.refuses(MOLD, facts, "M-0001 has no section tail", error=NotKnown)
    assert why.remedy == "Its sections: whole."


def test_an_inspection_grades_something(shop: Shop) -> None:
    shop.refuses(MOLD, MoldInspected(section="whole", criteria=()), "No criterion is named")


def test_an_inspection_grades_each_thing_once(shop: Shop) -> None:
    facts = MoldInspected(section="whole", criteria=SOUND * 2)
    shop.refuses(MOLD, facts, "criterion tears is named twice")


def test_a_tear_is_measured_in_a_length(shop: Shop) -> None:
    heavy = Criterion(name="tears", grade="worn", measured=Quantity("3", "kg"))
    facts = MoldInspected(section="whole", criteria=(heavy,))
    shop.refuses(MOLD, facts, "measure of tears is 3 kg", error=Unreadable)


@pytest.mark.parametrize("length", ["0", "2.5"])
def test_a_tear_of_no_length_may_be_measured(shop: Shop, length: str) -> None:
    tear = Criterion(name="tears", grade="sound", measured=Quantity(length, "mm"))
    facts = MoldInspected(section="whole", criteria=(tear,), hand=HAND)
    assert shop.enter(MOLD, facts) == ()


@pytest.mark.parametrize("facts", [MoldRepaired(section="whole", what="a patch"), MoldRetired()])
def test_a_retired_mold_is_not_repaired_nor_retired_again(shop: Shop, facts: Facts) -> None:
    shop.enter(MOLD, MoldRetired(section="whole"))
    shop.refuses(MOLD, facts, "retired")
    shop.refuses(MOLD, MoldRetired(section="whole"), "was retired 2 March 2026")


def test_one_section_retires_and_the_others_stay(shop: Shop) -> None:
    shop.mold("M-0009", MODEL, sections=("head", "base"))
    assert shop.enter("M-0009", MoldRetired(section="head")) == ()
    assert shop.enter("M-0009", MoldRetired(section="base")) == ()
    shop.refuses("M-0009", MoldRetired(), "Every section of M-0009 is retired")
