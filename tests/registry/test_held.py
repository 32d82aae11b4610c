"""Held facts erased: by whom, on what authority, and what remains."""

from __future__ import annotations

from typing import Any

import pytest

from editions.errors import (
    BronzebookError,
    NotKnown,
    Refused,
    RegistryUnusable,
    Unreadable,
)
from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.pieces import release_piece
from editions.registry.acts.runs import declare_run
from editions.registry.auditing import audit
from editions.registry.held import clear_erased, erase_held
from editions.rules import retention
from editions.store import connection
from tests.registry.builders import a_party, a_piece, a_run, a_work, state
from tests.registry.erasing import erase, kept, refuses


def test_a_field_is_erased_with_all_that_corrections_said_of_it(
    registry: Registry, hand: str
) -> None:
    facts = erase(registry, f"{hand}#1", "contact", authority=hand.lower(), reason="he asked")
    assert facts.authority == hand
    assert (facts.because, facts.duty, len(facts.restated)) == ("request", None, 2)
    assert kept(registry, f"{hand}#1") == {"private_name": "Thomas Brandl"}
    assert kept(registry, f"{hand}#2") == {"reason": "moved"}
    assert kept(registry, f"{hand}#5")["reason"] == "he asked"
    assert audit(registry).faults == ()


def test_the_erasing_stands_in_the_history_and_changes_no_state(
    registry: Registry, hand: str
) -> None:
    before = state(registry, hand)
    erase(registry, f"{hand}#1", "private name")
    assert state(registry, hand) == before
    with registry.reading() as r:
        stored, last = r.history(hand)[-1]
    assert last.facts.kind == "held_erased"
    assert b"he asked" not in stored.raw
    assert b"Brandl" not in stored.raw


def test_every_subject_of_the_erased_entry_has_it_in_its_history(book: Registry) -> None:
    run = a_run(book)
    piece = a_piece(book, run, to="released")
    with book.reading() as r:
        at, (_, released) = max(enumerate(r.history(piece), 1), key=lambda pair: pair[0])
    assert released.facts.kind == "piece_released"
    facts = erase(book, f"{piece}#{at}", "to")
    assert facts.touches == (piece,)
    work = a_work(book)
    with book.writing() as w:
        leaf = declare_run(w, work, size=3, note="for the town").leaf
    facts = erase(book, leaf, "note", because="court order")
    for code in facts.touches:
        with book.reading() as r:
            assert r.history(code)[-1][1].facts == facts


def test_what_is_erased_is_not_erased_twice(registry: Registry, hand: str) -> None:
    erase(registry, f"{hand}#1", "contact")
    refuses(registry, f"{hand}#1", "contact", "contact of this party entered was erased already")
    erase(registry, f"{hand}#1", "private_name")


def test_what_is_said_again_after_an_erasing_can_be_erased_again(
    registry: Registry, hand: str
) -> None:
    erase(registry, f"{hand}#1", "contact")
    with registry.writing() as w:
        (again,) = correct_entry(w, f"{hand}#1", {"contact": "barn 6"}, reason="asked to be called")
    assert kept(registry, f"{hand}#1")["contact"] == "barn 6"
    facts = erase(registry, f"{hand}#1", "contact")
    assert facts.restated == (again.leaf,)
    assert "contact" not in kept(registry, f"{hand}#1")
    assert audit(registry).faults == ()


@pytest.mark.parametrize(
    ("field", "says", "remedy"),
    [
        ("name", "name is not a held field of party entered", "private_name, contact"),
        ("roles", "roles is not a held field", "private_name, contact"),
        ("", "A HeldErased|Its held fields|field|cannot be read", ""),
        ("price", "price is not a held field", "private_name"),
    ],
)
def test_only_a_held_field_is_erased(
    registry: Registry, hand: str, field: str, says: str, remedy: str
) -> None:
    fault = refuses(registry, f"{hand}#1", field, says, error=BronzebookError)
    assert remedy in fault.remedy


def test_a_corrections_value_goes_with_its_field_alone(registry: Registry, hand: str) -> None:
    why = refuses(registry, f"{hand}#2", "held_value", "goes with the field that it restates")
    assert "entry that was corrected" in why.remedy
    why = refuses(registry, f"{hand}#2", "changes", "not a held field")
    assert why.remedy == "Its held fields: reason."
    erase(registry, f"{hand}#2", "reason")


def test_a_kind_without_held_fields_says_none(book: Registry) -> None:
    why = refuses(book, "BOOK#1", "foundry_name", "foundry_name is not a held field")
    assert why.remedy == "Its held fields: none."


def test_the_story_of_an_erasing_can_itself_be_erased(registry: Registry, hand: str) -> None:
    erase(registry, f"{hand}#1", "contact", reason="Tomas wrote from his new barn")
    erase(registry, f"{hand}#5", "reason", because="error")
    assert kept(registry, f"{hand}#5") == {}
    assert audit(registry).faults == ()


@pytest.mark.parametrize(
    ("said", "error", "says"),
    [
        ({"authority": "Y-0999"}, NotKnown, "Y-0999 is not in the book"),
        ({"authority": "y-0999"}, NotKnown, "Y-0999 is not in the book"),
        ({"authority": "  "}, Unreadable, "authority is empty"),
        ({"authority": "a" * 121}, Unreadable, "120"),
        ({"because": "spite"}, Unreadable, "request, court-order, error, duty-ended"),
        ({"reason": "hidden \u202e text"}, Unreadable, "202E"),
        ({"on": "2031"}, Refused, "not come"),
    ],
)
def test_what_an_erasing_must_say(
    book: Registry, said: dict[str, Any], error: type[BronzebookError], says: str
) -> None:
    code = a_party(book, contact="barn 3")
    refuses(book, f"{code}#1", "contact", says, error=error, **said)


def test_an_office_is_an_authority(book: Registry) -> None:
    code = a_party(book, contact="barn 3")
    facts = erase(book, f"{code}#1", "contact", authority="district court, 12 C 3/26")
    assert facts.authority == "district court, 12 C 3/26"


@pytest.mark.parametrize("entry", ["Y-0099#1", "Y-0001#9", "ffffffff"])
def test_an_entry_that_is_not_there_is_not_erased_from(book: Registry, entry: str) -> None:
    refuses(book, entry, "note", "Y-0099|no Y-0001#9|begins ffffffff", error=NotKnown)


def test_erasing_and_clearing_names_the_copies_that_still_hold_it(book: Registry) -> None:
    code = a_party(book, contact="a barn of Brandl's")
    book.home.backups.mkdir()
    copy = book.home.backups / "registry-0001-2026-03-02.db"
    copy.write_bytes(b"an older copy")
    done = erase_held(book, f"{code}#1", "contact", authority=code, because="request", by=code)
    assert done.backups == (copy,)
    assert done.entered.kind == "held_erased"
    assert retention.ADVICE in done.entered.remarks
    path = book.home.folder / book.home.database
    for file in path.parent.glob(f"{path.name}*"):
        assert b"a barn of Brandl's" not in file.read_bytes()


def test_an_erasing_stands_though_the_files_could_not_be_cleared_yet(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    from editions.store import clearing

    code = a_party(book, contact="barn 3")
    monkeypatch.setattr(clearing.clear, "__defaults__", (0.1,))
    with connection.reading(book.engine) as reader:
        reader.exec_driver_sql("SELECT count(*) FROM held").scalar_one()
        with pytest.raises(RegistryUnusable, match="journal cannot be emptied"):
            erase_held(book, f"{code}#1", "contact", authority=code, because="request")
    assert kept(book, f"{code}#1") == {"private_name": None}
    assert clear_erased(book) == ()


def test_a_release_is_forgotten_and_the_piece_stays_released(registry: Registry) -> None:
    piece = a_piece(registry, to="approved in colour")
    with registry.writing() as w:
        leaf = release_piece(w, piece, to="Mrs Maier, Lindenallee 4", note="by van").leaf
    facts = erase(registry, leaf, "to", authority="Y-0001", reason="she asked")
    assert facts.duty is None
    assert kept(registry, leaf) == {"note": "by van"}
    assert state(registry, piece).released
