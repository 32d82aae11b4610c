"""Defects are noted by class and name, in a section, and corrected so."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import BronzebookError, NotKnown, Refused
from editions.trade.book import EntryCorrected
from editions.trade.casting import (
    DefectFound,
)
from tests.rules.judging.shop import (
    Shop,
)


@pytest.mark.parametrize(
    ("defect_class", "name"),
    [("B", "pinhole"), ("G", ""), ("C", "Cold shut"), ("D", "orange peel")],
)
def test_a_defect_is_noted(shop: Shop, defect_class: str, name: str) -> None:
    shop.cast("P-0001")
    facts = DefectFound(defect_class=defect_class, name=name, section="whole")
    assert shop.enter("P-0001", facts) == ()


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (DefectFound(defect_class="H"), "H is not a class of defects"),
        (DefectFound(defect_class="b"), "b is not a class of defects"),
        (DefectFound(defect_class="A", name="pinhole"), "pinhole is of class B, not A"),
    ],
)
def test_a_defect_is_of_a_class(shop: Shop, facts: DefectFound, says: str) -> None:
    shop.cast("P-0001")
    shop.refuses("P-0001", facts, says)


def test_a_defect_is_in_a_section_of_the_piece(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = DefectFound(defect_class="B", section="tail")
    shop.refuses("P-0001", facts, "no section tail", error=NotKnown)


def test_a_defect_of_a_piece_in_sections_says_in_which(shop: Shop) -> None:
    shop.start("P-0001", sections=("head", "base"))
    facts = DefectFound(defect_class="B", name="pinhole")
    why = shop.refuses("P-0001", facts, "P-0001 has several sections; in which the defect is must")
    assert why.remedy == "Its sections: head, base."
    assert shop.enter("P-0001", facts, late=True) == ()


def test_the_same_defect_on_the_same_day_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001")
    facts = DefectFound(defect_class="B", name="pinhole")
    assert shop.enter("P-0001", facts) == ()
    assert shop.enter("P-0001", facts) == ("P-0001: B pinhole is noted that day already.",)
    assert shop.enter("P-0001", facts, "2026-03-03") == ()
    assert shop.enter("P-0001", replace(facts, name="blowhole")) == ()


def correcting(**changes: object) -> EntryCorrected:
    return EntryCorrected(
        entry="a" * 64, entry_kind="defect_found", changes=changes, touches=("P-0001",)
    )


@pytest.mark.parametrize(
    "changes", [{"section": "base"}, {"defect_class": "C", "name": "cold shut"}]
)
def test_a_slip_in_a_defects_section_or_class_is_corrected(
    shop: Shop, changes: dict[str, object]
) -> None:
    shop.start("P-0001", sections=("head", "base"))
    assert shop.enter("P-0001", correcting(**changes)) == ()


@pytest.mark.parametrize(
    ("changes", "says", "error"),
    [
        ({"section": "tail"}, "no section tail", NotKnown),
        ({"section": None}, "in which the defect is must be said", Refused),
        ({"defect_class": "C"}, "are corrected together", Refused),
        ({"name": "cold shut"}, "are corrected together", Refused),
        ({"defect_class": "A", "name": "pinhole"}, "pinhole is of class B, not A", Refused),
        ({"defect_class": "K", "name": ""}, "K is not a class of defects", Refused),
    ],
)
def test_a_defect_is_corrected_to_what_it_might_have_been(
    shop: Shop, changes: dict[str, object], says: str, error: type[BronzebookError]
) -> None:
    shop.start("P-0001", sections=("head", "base"))
    assert shop.refuses("P-0001", correcting(**changes), says, error=error).remedy
