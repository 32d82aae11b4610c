"""One held field of one entry, opened to one person by a file that anyone can check."""

from __future__ import annotations

import re
from typing import Any

import pytest

from certificates.keyfile import PublicKeyEntry
from certificates.opening import KEY, PLACE, SEAL, SINCE, check_opening
from editions.errors import (
    FileUnusable,
    NotKnown,
)
from editions.ledger.keys import PrivateKey, public_text
from editions.ledger.opening import Opening
from editions.registry import Registry
from editions.registry.held import open_held
from tests.registry.builders import a_party
from tests.registry.erasing import erase


def test_an_opening_is_checked_against_the_book(registry: Registry, hand: str) -> None:
    opened = open_held(registry, f"{hand}#1", "Private-Name")
    data = opened.opening.to_bytes()
    verdict = check_opening(data, registry.public_keys())
    assert (verdict.value, verdict.field) == ("Tomas Brandl", "private_name")
    assert (verdict.kind, verdict.subject, verdict.on) == ("party_entered", hand, "2026-03-02")
    assert (verdict.proved, verdict.key_from, verdict.status) == (True, "given", 5)
    assert {one.name: one.result for one in verdict.checks} == {
        SEAL: "agrees",
        PLACE: "agrees",
        KEY: "agrees",
        SINCE: "not checked",
    }
    assert b"barn" not in data


def test_an_opening_says_that_corrections_say_otherwise(registry: Registry, hand: str) -> None:
    opened = open_held(registry, f"{hand}#1", "contact")
    assert opened.opening.value == "barn 3"
    assert len(opened.restated) == 2
    newest = open_held(registry, opened.restated[-1], "held_value")
    assert newest.opening.value == "barn 5"
    verdict = check_opening(newest.opening.to_bytes(), registry.public_keys())
    assert (verdict.kind, verdict.proved) == ("entry_corrected", True)


def test_with_no_key_given_an_opening_proves_only_that_it_agrees_with_itself(
    book: Registry,
) -> None:
    code = a_party(book, contact="barn 3")
    verdict = check_opening(open_held(book, f"{code}#1", "contact").opening.to_bytes())
    assert (verdict.proved, verdict.key_from, verdict.status) == (True, "file", 5)
    said = next(one for one in verdict.checks if one.name == KEY)
    assert said.result == "not checked"
    assert "independent place" in said.says


def a_key(use: Any, name: str, seed: bytes = bytes(32)) -> PublicKeyEntry:
    return PublicKeyEntry(use=use, key=public_text(name, PrivateKey(seed).public.raw))


def test_a_key_of_another_book_proves_nothing(book: Registry) -> None:
    code = a_party(book, contact="barn 3")
    data = open_held(book, f"{code}#1", "contact").opening.to_bytes()
    verdict = check_opening(data, (a_key("log", "book.elsewhere.example"),))
    assert (verdict.proved, verdict.status) == (False, 4)
    foundry = [key for key in book.public_keys() if key.use == "foundry"]
    assert check_opening(data, foundry).status == 4


def test_another_key_of_the_same_name_contradicts(book: Registry) -> None:
    code = a_party(book, contact="barn 3")
    data = open_held(book, f"{code}#1", "contact").opening.to_bytes()
    verdict = check_opening(data, (a_key("log", "book.kilnlane.example"),))
    assert verdict.status == 3
    assert [one.result for one in verdict.checks] == [
        "agrees",
        "contradicts",
        "contradicts",
        "not checked",
    ]


def test_altered_words_and_altered_proofs_contradict_one_by_one(book: Registry) -> None:
    code = a_party(book, contact="barn 3")
    data = open_held(book, f"{code}#1", "contact").opening.to_bytes()
    words = check_opening(data.replace(b"barn 3", b"barn 4"), book.public_keys())
    assert (words.status, words.proved) == (3, False)
    assert {one.name: one.result for one in words.checks}[SEAL] == "contradicts"
    moved = check_opening(re.sub(rb"index \d+", b"index 1", data), book.public_keys())
    assert {one.name: one.result for one in moved.checks}[PLACE] == "contradicts"
    assert moved.status == 3


@pytest.mark.parametrize("data", [b"", b"{}", b"%PDF-1.7", b"\xff\xfe", b'{"v":1}'])
def test_a_file_that_is_no_opening_is_said(data: bytes) -> None:
    with pytest.raises(FileUnusable, match="not an opening"):
        check_opening(data)


@pytest.mark.parametrize(
    ("field", "says"),
    [("name", "has no held field name"), ("", "has no held field"), ("note", "no held field note")],
)
def test_only_a_held_field_is_opened(book: Registry, field: str, says: str) -> None:
    code = a_party(book, contact="barn 3")
    with pytest.raises(NotKnown, match=says) as caught:
        open_held(book, f"{code}#1", field)
    assert "private_name, contact" in caught.value.remedy


def test_what_was_erased_opens_no_more_but_an_opening_given_before_still_proves(
    registry: Registry, hand: str
) -> None:
    before = open_held(registry, f"{hand}#1", "contact").opening.to_bytes()
    erase(registry, f"{hand}#1", "contact")
    with pytest.raises(NotKnown, match="was erased"):
        open_held(registry, f"{hand}#1", "contact")
    assert check_opening(before, registry.public_keys()).proved


def test_a_value_lost_without_an_erasing_is_said(book: Registry) -> None:
    from tests.store.books import tamper

    code = a_party(book, contact="barn 3")
    tamper(book, "DELETE FROM held WHERE field = 'contact'")
    with pytest.raises(NotKnown, match="is missing") as caught:
        open_held(book, f"{code}#1", "contact")
    assert "audit" in caught.value.remedy


def test_a_field_left_empty_opens_as_nothing_said(book: Registry) -> None:
    code = a_party(book, contact="barn 3")
    opening = open_held(book, f"{code}#1", "private_name").opening
    assert opening.value is None
    assert Opening.from_bytes(opening.to_bytes()) == opening
