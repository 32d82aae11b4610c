"""What the law asks to keep, for how long, and what comes before it."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from editions.errors import (
    BronzebookError,
    Contradiction,
    NotKnown,
    Refused,
    Unreadable,
)
from editions.registry import Registry
from editions.registry.acts.colour import apply_colour
from editions.registry.acts.corrections import correct_entry
from editions.registry.acts.parties import enter_party, give_authority
from editions.registry.acts.photographs import file_photograph
from editions.registry.acts.pieces import scrap_piece
from editions.registry.acts.runs import amend_run, declare_run
from editions.registry.auditing import audit
from editions.rules import retention
from editions.trade.catalogue import KINDS
from editions.trade.held import Duty, HeldErased
from tests.helpers.clock import Clock
from tests.registry.builders import a_heat, a_piece, a_run, a_work, an_artist, state
from tests.registry.erasing import erase, refuses

YEARS_25 = 25 * 366


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
