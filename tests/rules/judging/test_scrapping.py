"""Sections and pieces are scrapped with proof, and what was said of them lapses."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused
from editions.trade.casting import (
    EarlierCastRegistered,
    Ending,
    PieceScrapped,
    SectionScrapped,
)
from editions.trade.kinds import Facts
from editions.trade.pieces import Piece
from tests.rules.judging.shop import (
    BROKEN,
    HEAT,
    NUMBERS,
    RUN,
    WORK,
    Shop,
)


def test_a_section_is_scrapped_with_proof(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.scrap("P-0001", "whole") == ()
    (section,) = shop.get("P-0001", Piece).sections
    assert section.wax is None
    assert section.scrapped[0].heat == HEAT


def test_a_section_of_wax_is_scrapped_too(shop: Shop) -> None:
    shop.start("P-0001")
    shop.pull("W-0001")
    shop.take("P-0001", "W-0001")
    assert shop.scrap("P-0001", "whole") == ()


def test_a_section_not_made_is_not_scrapped(shop: Shop) -> None:
    shop.start("P-0001")
    facts = SectionScrapped(section="whole", ending=BROKEN)
    shop.refuses("P-0001", facts, "there is nothing to scrap")


def test_a_section_the_piece_has_not_is_not_scrapped(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = SectionScrapped(section="tail", ending=BROKEN)
    shop.refuses("P-0001", facts, "no section tail", error=NotKnown)


UNPROVEN = (
    (Ending(evidence=" "), "How the destruction is proven", Refused),
    (Ending(evidence="broken up", witness="Y-0404"), "a party is wanted", NotKnown),
)


@pytest.mark.parametrize(("ending", "says", "error"), UNPROVEN)
def test_a_scrapping_is_proven(
    shop: Shop, ending: Ending, says: str, error: type[NotKnown] | type[Refused]
) -> None:
    shop.cast("P-0001")
    for facts in (
        SectionScrapped(section="whole", ending=ending),
        PieceScrapped(ending=ending),
    ):
        shop.refuses("P-0001", facts, says, error=error)


def test_a_scrapping_needs_no_witness(shop: Shop) -> None:
    shop.cast("P-0001")
    assert shop.enter("P-0001", PieceScrapped(ending=Ending(evidence="photographs"))) == ()


SCRAPPINGS = (SectionScrapped(section="whole", ending=BROKEN), PieceScrapped(ending=BROKEN))


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_not_scrapped_before_it_was_poured(shop: Shop, facts: Facts) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001", on="2026-03-05")
    shop.refuses("P-0001", facts, "when P-0001 was poured", "2026-03-04")


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_not_scrapped_while_a_certificate_stands(shop: Shop, facts: Facts) -> None:
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", NUMBERS[0])
    why = shop.refuses("P-0001", facts, "Certificate 0123 4567 89A of P-0001 stands")
    assert f"bronzebook certificate withdraw {NUMBERS[0]} --because destroyed" in why.remedy


@pytest.mark.parametrize("facts", SCRAPPINGS)
def test_a_cast_is_scrapped_once(shop: Shop, facts: Facts) -> None:
    shop.cast("P-0001")
    shop.scrap("P-0001")
    shop.refuses("P-0001", facts, "P-0001 was scrapped 2 March 2026")


def test_a_scrapped_piece_keeps_its_number_until_it_is_freed(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    assert shop.scrap("P-0001") == ("3/8 stays with P-0001 until freed.",)
    assert shop.bearer(RUN, "3/8") == "P-0001"


def test_a_released_piece_is_scrapped_after_its_release(shop: Shop) -> None:
    shop.finish("P-0001", None)
    shop.release("P-0001", "2026-03-10")
    shop.refuses("P-0001", SCRAPPINGS[1], "when P-0001 was released", "2026-03-09")
    shop.refuses("P-0001", SCRAPPINGS[0], "P-0001 was released 10 March", "2026-03-11")
    assert shop.scrap("P-0001", on="2026-03-11") == ()


def test_an_earlier_cast_may_be_scrapped(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK))
    assert shop.scrap("P-0001") == ()


def test_what_was_approved_lapses_when_a_section_is_cast_again(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.approve("P-0001", "metal")
    (remark,) = shop.scrap("P-0001", "whole")
    assert "must be approved again" in remark
    assert not shop.get("P-0001", Piece).approved("metal")
