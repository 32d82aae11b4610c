from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.book import FORMAT, BookOpened, EntryCorrected
from editions.trade.kinds import BOOK
from tests.rules.judging.memory_desk import MemoryDesk
from tests.rules.judging.shop import HAND, MOLD, Shop

OPENED = BookOpened(
    format=FORMAT,
    origin="book.harrowlane.example",
    address="https://book.harrowlane.example",
    log_key="key",
    certifying_key="key",
    foundry="Y-0001",
    foundry_name="Harrow Lane Bronze",
)
CORRECTED = EntryCorrected(
    entry="a" * 64,
    entry_kind="wax_pulled",
    changes={"mass": {"value": "1.31", "unit": "kg"}},
    touches=("W-0001", MOLD),
)


@pytest.fixture
def waxed(shop: Shop) -> Shop:
    shop.pull("W-0001")
    return shop


def test_a_book_is_opened_once() -> None:
    desk = MemoryDesk()
    assert desk.enter(BOOK, OPENED) == ()
    desk.refuses(BOOK, OPENED, "BOOK is already in the book")


def test_a_book_of_another_format_is_not_opened() -> None:
    desk = MemoryDesk()
    desk.refuses(BOOK, replace(OPENED, format="bronzebook/2"), "format bronzebook/2 cannot")


def test_nothing_else_is_opened() -> None:
    desk = MemoryDesk()
    desk.refuses("P-0001", OPENED, "cannot be entered of P-0001", error=NotKnown)


def test_what_may_be_corrected_is_corrected(waxed: Shop) -> None:
    assert waxed.enter("W-0001", CORRECTED) == ()
    assert waxed.state("W-0001").corrections == 1  # type: ignore[union-attr]
    assert waxed.state(MOLD).corrections == 1  # type: ignore[union-attr]


@pytest.mark.parametrize("field", ["pull", "mold", "run", "section", "colour"])
def test_a_field_that_may_not_be_corrected_is_refused(waxed: Shop, field: str) -> None:
    facts = replace(CORRECTED, changes={field: "x"})
    why = waxed.refuses("W-0001", facts, f"{field} of wax pulled cannot be corrected")
    assert "mass" in why.remedy


def test_a_kind_of_which_nothing_may_be_corrected_says_so(waxed: Shop) -> None:
    facts = replace(CORRECTED, entry_kind="number_given", changes={"designation": "4/8"})
    why = waxed.refuses("W-0001", facts, "designation of number given cannot be corrected")
    assert "What can: nothing" in why.remedy


def test_a_correction_of_an_unknown_kind_is_refused(waxed: Shop) -> None:
    facts = replace(CORRECTED, entry_kind="wax_pushed")
    waxed.refuses("W-0001", facts, "No kind of entry is called wax_pushed", error=NotKnown)


def test_a_correction_changes_something(waxed: Shop) -> None:
    waxed.refuses("W-0001", replace(CORRECTED, changes={}), "changes nothing")


def test_a_correction_is_of_a_subject_that_its_entry_touches(waxed: Shop) -> None:
    facts = replace(CORRECTED, touches=(MOLD,))
    waxed.refuses("W-0001", facts, "The corrected entry does not touch W-0001")


def test_a_correction_touches_what_is_in_the_book(waxed: Shop) -> None:
    facts = replace(CORRECTED, touches=("W-0001", "M-0404"))
    waxed.refuses("W-0001", facts, "M-0404 is not in the book", error=NotKnown)


@pytest.mark.parametrize(
    ("kind", "changes"),
    [
        ("wax_pulled", {"mass": "heavy"}),
        ("wax_pulled", {"mass": {"value": "1.31"}}),
        ("wax_pulled", {"mass": 3}),
        ("work_entered", {"title": ""}),
        ("work_entered", {"title": None}),
        ("work_entered", {"other_titles": "Egret"}),
    ],
)
def test_a_correction_is_of_the_fields_own_type(
    waxed: Shop, kind: str, changes: dict[str, object]
) -> None:
    facts = replace(CORRECTED, entry_kind=kind, changes=changes)
    waxed.refuses("W-0001", facts, "cannot be corrected to this value", error=Unreadable)


def test_a_quantity_outside_the_grammar_is_unreadable(waxed: Shop) -> None:
    facts = replace(CORRECTED, changes={"mass": {"value": "1,31", "unit": "kg"}})
    waxed.refuses("W-0001", facts, "1,31", error=Unreadable)


@pytest.mark.parametrize("year", ["soon", "2026-13"])
def test_a_date_is_corrected_to_a_date(waxed: Shop, year: str) -> None:
    facts = replace(CORRECTED, entry_kind="work_entered", changes={"year": year})
    waxed.refuses("W-0001", facts, "is not a date|does not have", error=Unreadable)


@pytest.mark.parametrize("year", ["1968~", None])
def test_a_date_is_corrected_or_taken_away(waxed: Shop, year: str | None) -> None:
    facts = replace(CORRECTED, entry_kind="work_entered", changes={"year": year})
    assert waxed.enter("W-0001", facts) == ()


@pytest.mark.parametrize("hand", [MOLD, "Y-0404"])
def test_a_hand_is_corrected_to_a_party_of_the_book(waxed: Shop, hand: str) -> None:
    facts = replace(CORRECTED, entry_kind="step_done", changes={"hand": hand})
    waxed.refuses("W-0001", facts, "a party is wanted", error=NotKnown)


def test_a_hand_is_corrected(waxed: Shop) -> None:
    facts = replace(CORRECTED, entry_kind="step_done", changes={"hand": HAND})
    assert waxed.enter("W-0001", facts) == ()


def test_a_held_field_is_corrected_as_held(waxed: Shop) -> None:
    facts = replace(CORRECTED, changes={}, held_field="note", held_value="misread")
    assert waxed.enter("W-0001", facts) == ()
    erased = replace(facts, held_value=None)
    assert waxed.enter("W-0001", erased) == ()


def test_a_held_field_is_never_corrected_in_the_open(waxed: Shop) -> None:
    facts = replace(CORRECTED, changes={"note": "misread"})
    waxed.refuses("W-0001", facts, "note of wax pulled is held; correct it as held")


def test_an_open_field_is_not_corrected_as_held(waxed: Shop) -> None:
    facts = replace(CORRECTED, changes={}, held_field="mass", held_value=None)
    waxed.refuses("W-0001", facts, "mass of wax pulled is open; correct it as open")


@pytest.mark.parametrize("field", ["reason", "pull"])
def test_a_held_field_that_may_not_be_corrected_is_refused(waxed: Shop, field: str) -> None:
    facts = replace(CORRECTED, changes={}, held_field=field, held_value="x")
    waxed.refuses("W-0001", facts, f"{field} of wax pulled cannot be corrected")


def test_a_held_value_is_of_the_fields_own_type(waxed: Shop) -> None:
    facts = replace(CORRECTED, changes={}, held_field="note", held_value=3)
    waxed.refuses("W-0001", facts, "note cannot be corrected to this value", error=Unreadable)


def test_a_held_value_names_its_field(waxed: Shop) -> None:
    facts = replace(CORRECTED, held_value="misread")
    waxed.refuses("W-0001", facts, "no field is named for it")
