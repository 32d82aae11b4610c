"""Held facts: who may have what erased, what must be kept, and what one person is shown."""

from __future__ import annotations

import re
from typing import Any

import msgspec
import pytest

from certificates.keyfile import PublicKeyEntry
from certificates.opening import KEY, PLACE, SEAL, SINCE, check_opening
from editions.errors import (
    BronzebookError,
    Contradiction,
    FileUnusable,
    NotKnown,
    Refused,
    RegistryUnusable,
    Unreadable,
)
from editions.ledger.keys import PrivateKey, public_text
from editions.ledger.opening import Opening
from editions.registry import Registry
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.corrections import correct_entry, find_entry, held_now
from editions.registry.acts.held import erase_field
from editions.registry.acts.parties import enter_party, give_authority
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.pieces import release_piece, scrap_piece
from editions.registry.acts.runs import amend_run, declare_run
from editions.registry.auditing import audit
from editions.registry.held import clear_erased, erase_held, open_held
from editions.rules import retention
from editions.store import connection
from editions.trade.catalogue import KINDS
from editions.trade.held import Duty, HeldErased
from tests.helpers.clock import Clock
from tests.registry.builders import a_heat, a_party, a_piece, a_run, a_work, an_artist, state

YEARS_25 = 25 * 366


def erase(registry: Registry, entry: str, field: str, **said: Any) -> HeldErased:
    """Erase a field on the foundry's authority; the facts as they are read from the book."""
    with registry.writing() as w:
        made = erase_field(w, entry, field, **{"authority": "Y-0001", "because": "request", **said})
        facts: HeldErased = find_entry(w, made.leaf)[1].facts
    return facts


def refuses(
    registry: Registry,
    entry: str,
    field: str,
    says: str,
    *,
    error: type[BronzebookError] = Refused,
    **said: Any,
) -> BronzebookError:
    with registry.reading() as r:
        before = r.size
    with pytest.raises(error, match=says) as caught:
        erase(registry, entry, field, **said)
    with registry.reading() as r:
        assert r.size == before
    return caught.value


def kept(registry: Registry, entry: str) -> dict[str, Any]:
    with registry.reading() as r:
        return held_now(r, find_entry(r, entry)[0])


@pytest.fixture
def hand(registry: Registry) -> str:
    """A hand whose contact was corrected twice, and whose name once."""
    code = a_party(registry, private_name="Tomas Brandl", contact="barn 3")
    with registry.writing() as w:
        correct_entry(w, f"{code}#1", {"contact": "barn 4"}, reason="moved")
        correct_entry(w, f"{code}#1", {"contact": "barn 5", "private_name": "Thomas Brandl"})
    return code


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
        ({"because": "spite"}, Unreadable, "request, court order, error, duty ended"),
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


def test_every_duty_is_on_a_held_field_of_a_known_kind() -> None:
    for kind, field in retention.listed():
        assert field in KINDS[kind].held


@pytest.mark.parametrize(
    ("counted_from", "end"),
    [
        # New York, Arts and Cultural Affairs Law §14.06(1): not less than twenty-five years.
        ("2026-03-02", "2051-03-02"),
        ("2026-03", "2051-03-31"),
        ("2026", "2051-12-31"),
        ("2024-02-29", "2049-03-01"),
        ("2020/2026-03-02", "2051-03-02"),
        ("2026/..", "None"),
    ],
)
def test_a_term_is_twenty_five_years_from_the_last_possible_day(
    counted_from: str, end: str
) -> None:
    assert str(retention.ends(counted_from)) == end


# §15.10(1) and (2), to which §14.06 points, ask nothing of the buyer and nothing private.
FREE = [("piece_released", "to"), ("earlier_cast_registered", "owner"), ("wax_pulled", "note")]


@pytest.mark.parametrize(("kind", "field"), [*FREE, ("party_entered", "contact")])
def test_no_duty_is_on_what_the_law_does_not_ask_for(kind: str, field: str) -> None:
    assert retention.duty_on(kind, field, authorises=True) is None


def coloured(registry: Registry) -> str:
    """A piece whose colour differed from its recipe; the leaf of that entry."""
    piece = a_piece(registry, to="approved in metal")
    with registry.writing() as w:
        return apply_colour(w, piece, words="brown", differs="no cupric nitrate was left").leaf


def test_what_the_law_asks_to_keep_is_kept_for_its_term(book: Registry, clock: Clock) -> None:
    leaf = coloured(book)
    why = refuses(book, leaf, "differs", "is to be kept until .* March 2051: New York ACAL §14.06")
    assert "medium or process, 25 years from production" in why.message
    assert "not legal advice" in why.remedy
    refuses(book, leaf, "differs", "is to be kept", because="duty ended")
    refuses(book, leaf, "differs", "is to be kept", because="error", reason="a slip")
    clock.wind(days=YEARS_25)
    facts = erase(book, leaf, "differs", because="duty ended")
    assert facts.duty is not None
    assert facts.duty.answer == "ended"
    assert facts.duty.counted_from == "2026-03-02"
    assert audit(book).faults == ()


def test_the_term_counts_from_the_last_day_of_the_making_and_no_paperwork(
    book: Registry, clock: Clock
) -> None:
    work = a_work(book)
    with book.writing() as w:
        first = declare_run(w, work, size=8, note="the estate asked for eight")
    clock.wind(days=366 * 10)
    piece = a_piece(book, first.code, to="fired")
    a_heat(book, piece)
    poured = state(book, first.code).since
    clock.wind(days=366 * 10)
    with book.writing() as w:
        file_photograph(w, first.code, "d" * 64, "e" * 64)
    clock.wind(days=366 * 10)
    assert poured == "2026-03-02"
    refuses(book, first.leaf, "note", "counted from .* March 2036")
    clock.wind(days=366 * 6)
    duty = erase(book, first.leaf, "note").duty
    assert duty is not None
    assert duty.counted_from.startswith("2036-03")


def test_a_court_order_comes_before_the_duty(book: Registry) -> None:
    leaf = coloured(book)
    facts = erase(book, leaf, "differs", because="court order", authority="district court")
    assert facts.duty is not None
    assert (facts.duty.answer, facts.duty.rule) == (
        "court order",
        "New York ACAL §14.06: medium or process",
    )


def test_a_duty_that_does_not_apply_needs_a_reason(book: Registry) -> None:
    leaf = coloured(book)
    refuses(book, leaf, "differs", "is to be kept", no_duty=True)
    facts = erase(book, leaf, "differs", no_duty=True, reason="this shop is not in New York")
    assert facts.duty is not None
    assert facts.duty.answer == "does not apply"


def test_what_was_scrapped_and_what_was_amended_is_kept(book: Registry) -> None:
    piece = a_piece(book)
    run = a_run(book)
    with book.writing() as w:
        scrapped = scrap_piece(w, piece, evidence="sawn in four", reason="gas").leaf
        amended = amend_run(w, run, size=6, reason="the estate wants fewer").leaf
    refuses(book, scrapped, "reason", "number cast")
    refuses(book, amended, "reason", "size of the edition")


def test_the_name_of_who_may_authorise_casts_is_kept_while_they_may(
    book: Registry, clock: Clock
) -> None:
    artist = an_artist(book, died="2020")
    with book.writing() as w:
        free = enter_party(w, "witness", private_name="Ada Kern").code
        heir = enter_party(w, "witness", private_name="Jonas Varga").code
        deed = {"capacity": "heirs", "document": "deed of 4 May 2021", "begins": "2021-05-04"}
        give_authority(w, heir, artist, **deed)
    assert erase(book, f"{free}#1", "private_name").duty is None
    refuses(book, f"{heir}#1", "private_name", "by whom it was authorised")
    clock.wind(days=366 * 40)
    # The authority has no end, so neither has the term.
    refuses(book, f"{heir}#1", "private_name", "is to be kept until .* 2091")
    with book.writing() as w:
        (correction, *_) = correct_entry(w, f"{heir}#2", {"until": "2030"}, reason="it ended")
    assert correction.kind == "entry_corrected"
    assert erase(book, f"{heir}#1", "private_name").duty is not None


def draft(**changes: Any) -> HeldErased:
    plain = {
        "entry": "a" * 64,
        "entry_kind": "colour_applied",
        "field": "differs",
        "authority": "the foundry",
        "because": "request",
        "touches": ("P-0001",),
        "duty": Duty(
            rule="New York ACAL §14.06: medium or process",
            counted_from="1990",
            answer="ended",
        ),
    }
    return HeldErased(**{**plain, **changes})


@pytest.mark.parametrize(
    ("changes", "error", "says"),
    [
        ({"touches": ("R-0001",)}, Refused, "does not touch P-0001"),
        ({"entry_kind": "colour_mixed"}, NotKnown, "No kind of entry is called"),
        ({"duty": None}, Refused, "not as the checklist has it"),
        ({"field": "reason"}, Refused, "not a held field"),
        ({"entry_kind": "piece_released", "field": "to"}, Refused, "not as the checklist has it"),
        ({"because": "whim"}, Unreadable, "whim|cannot be read"),
        (
            {"duty": Duty(rule="another law", counted_from="1990", answer="ended")},
            Refused,
            "not as the checklist has it",
        ),
        (
            {
                "duty": Duty(
                    rule="New York ACAL §14.06: medium or process",
                    counted_from="2020/..",
                    answer="ended",
                )
            },
            Refused,
            "with no end yet",
        ),
        (
            {
                "duty": Duty(
                    rule="New York ACAL §14.06: medium or process",
                    counted_from="May 1990",
                    answer="ended",
                )
            },
            Unreadable,
            "not a date",
        ),
    ],
)
def test_the_judge_believes_no_draft(
    book: Registry, changes: dict[str, Any], error: type[BronzebookError], says: str
) -> None:
    a_piece(book)
    with pytest.raises(error, match=says), book.writing() as w:
        w.judge(draft(**changes), "P-0001")


def test_an_erasing_from_an_entry_that_the_book_does_not_hold_is_given_up(book: Registry) -> None:
    a_piece(book)
    with pytest.raises(Contradiction, match="it is not here"), book.writing() as w:
        w.enter(draft(), "P-0001")
    assert audit(book).faults == ()


def test_facts_of_an_erasing_are_read_back_from_the_book(book: Registry) -> None:
    facts = draft(restated=("b" * 64,))
    assert msgspec.convert(msgspec.to_builtins(facts), HeldErased) == facts
    assert facts.erases() == (("a" * 64, "differs"), ("b" * 64, "held_value"))


# Openings


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


# Both at once


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
