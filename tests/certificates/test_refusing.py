"""The artist's no: signed, checked, entered; the certificate waits and never stands by it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.asking import ask_for, take_reply
from certificates.issue import issue, withdraw
from certificates.replies import read_reply, write_reply
from certificates.requests import read_request, refuse_request
from certificates.standings import refused_words
from editions.errors import BronzebookError, KeyUnusable, NotKnown, Refused, Unreadable
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.signed import signature_faults
from editions.registry.waiting import waiting
from editions.rules.waiting import FOUNDRY
from editions.trade.certificates import Certificate
from tests.certificates.asked import (
    ARTIST,
    KEY,
    NAME,
    OTHER,
    SIGNED,
    admit,
    drawn,
    heirs,
    pending,
    replied,
)
from tests.certificates.builders import OTHER_KEY
from tests.certificates.credentials import ARTIST_KEY, LATER
from tests.certificates.requesting import NUMBERS, REQUEST
from tests.registry.builders import PASSPHRASE

WHY = "The run was to be of six."
NO = refuse_request(read_request(REQUEST), ARTIST_KEY, LATER, reason=WHY)


@pytest.fixture
def number(book: Registry) -> str:
    admit(book)
    return pending(book)


def no(registry: Registry, number: str, reason: str | None = WHY) -> bytes:
    request = read_request(ask_for(registry, [number], ARTIST))
    return refuse_request(request, KEY, SIGNED, reason=reason)


def state(registry: Registry, number: str) -> Certificate:
    with registry.reading() as reading:
        return reading.get(number, Certificate)


def faults(registry: Registry) -> tuple[str, ...]:
    with registry.reading() as reading:
        return tuple(signature_faults(reading))


@pytest.mark.parametrize("reason", [WHY, None])
def test_a_refusal_is_entered_and_the_certificate_waits_for_the_foundry(
    book: Registry, number: str, reason: str | None
) -> None:
    (taken,) = take_reply(book, no(book, number, reason))
    assert (taken.accepted, taken.complete) == (True, False)
    assert (WHY in taken.says) == bool(reason)
    held = state(book, number)
    assert refused_words(held) == (f"refused by {NAME}, on {held.refusals[0].on}",)
    assert (held.standing, held.pdf, held.pending) == ("stands", None, True)
    with book.reading() as reading:
        turns = [(one.whose, one.what) for one in waiting(reading, {}) if one.code == number]
    assert turns[0][0] == FOUNDRY
    assert turns[0][1].startswith(f"its withdrawal: refused by {NAME}, ")
    assert issue(book, (), passphrase=PASSPHRASE) == ()
    assert faults(book) == ()


def test_it_ends_as_refused_and_no_public_page_says_who_would_not_sign(
    book: Registry, number: str, tmp_path: Path
) -> None:
    take_reply(book, no(book, number))
    publish(book, tmp_path / "waits")
    withdraw(book, number, "signature refused")
    publish(book, tmp_path / "ended")
    assert state(book, number).because == "signature refused"
    for site in ("waits", "ended"):
        for page in (tmp_path / site).rglob("*"):
            text = page.read_bytes().lower() if page.is_file() else b""
            assert b"refused by" not in text
            assert b"signature refused" not in text
            assert WHY.lower().encode() not in text


def test_without_a_refusal_none_is_the_reason(book: Registry, number: str) -> None:
    with pytest.raises(Refused, match="holds no refusal"):
        withdraw(book, number, "signature refused")


def test_whoever_refused_may_still_sign_and_then_counts_as_having_signed(
    book: Registry, number: str
) -> None:
    reply = no(book, number)
    take_reply(book, reply)
    again = take_reply(book, reply)
    assert not again[0].accepted
    assert "is in the book" in again[0].says
    (signed,) = take_reply(book, replied(book, number))
    assert (signed.accepted, signed.complete) == (True, True)
    assert state(book, number).refused == ()
    (late,) = take_reply(book, reply)
    assert not late.accepted
    assert drawn(book)


def test_of_several_who_may_sign_one_refuses_and_another_signs(book: Registry) -> None:
    one, other = heirs(book)
    number = pending(book, one, other, wanted="any")
    request = read_request(ask_for(book, [number], one))
    (taken,) = take_reply(book, refuse_request(request, KEY, SIGNED))
    assert taken.accepted
    (signed,) = take_reply(book, replied(book, number, other, OTHER))
    assert signed.complete
    assert refused_words(state(book, number)) == ()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("number", NUMBERS[0]),
        ("made", "2026-11-25T09:00:01Z"),
        ("reason", "The run was to be of ten."),
        ("salt", "0" * 64),
        ("signature", "A" * 86 + "=="),
    ],
)
def test_a_refusal_that_was_changed_is_not_taken(
    book: Registry, number: str, field: str, value: str
) -> None:
    file = json.loads(no(book, number))
    file["refusals"][0][field] = value
    (taken,) = take_reply(book, rfc8785.dumps(file))
    assert not taken.accepted
    assert state(book, number).refusals == ()


def test_a_refusal_by_a_key_that_nobody_asked_is_not_taken(book: Registry, number: str) -> None:
    file = json.loads(no(book, number))
    other = json.loads(NO)
    (taken,) = take_reply(book, rfc8785.dumps(file | {"by": other["by"]}))
    assert not taken.accepted
    assert "was asked to sign" in taken.says


def test_a_refusal_of_what_was_withdrawn_is_not_taken(book: Registry, number: str) -> None:
    reply = no(book, number)
    withdraw(book, number, "issued in error")
    (taken,) = take_reply(book, reply)
    assert not taken.accepted


def test_a_reply_that_refuses_comes_back_from_its_bytes() -> None:
    reply = read_reply(NO)
    assert write_reply(reply) == NO
    assert [one.number for one in reply.refusals] == NUMBERS[:3]
    assert len({one.salt for one in reply.refusals}) == 3
    some = read_reply(refuse_request(read_request(REQUEST), ARTIST_KEY, LATER, [NUMBERS[1]]))
    assert [(one.number, one.reason) for one in some.refusals] == [(NUMBERS[1], None)]


def test_nobody_refuses_for_another_or_what_was_not_asked() -> None:
    request = read_request(REQUEST)
    with pytest.raises(KeyUnusable):
        refuse_request(request, OTHER_KEY, LATER)
    with pytest.raises(NotKnown):
        refuse_request(request, ARTIST_KEY, LATER, [NUMBERS[3]])
    with pytest.raises(Refused):
        refuse_request(request, ARTIST_KEY, LATER, [])
    for moment, reason in (("today", None), (LATER, "x" * 2001)):
        with pytest.raises(Unreadable):
            refuse_request(request, ARTIST_KEY, moment, reason=reason)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("reason", None),
        ("salt", None),
        ("salt", "0" * 63),
        ("salt", "G" * 64),
        ("reason", ""),
        ("reason", "with\u0000out"),
        ("made", "noon"),
        ("signature", "AAAA"),
        ("signature", 7),
        ("number", None),
        ("note", "more"),
    ],
)
def test_a_refusal_of_another_form_is_no_reply(field: str, value: Any) -> None:
    file = json.loads(NO)
    file["refusals"][0][field] = value
    with pytest.raises(BronzebookError):
        read_reply(rfc8785.dumps(file))


def test_a_reply_of_the_second_format_refuses_something() -> None:
    with pytest.raises(Unreadable):
        read_reply(rfc8785.dumps(json.loads(NO) | {"refusals": []}))
    with pytest.raises(Unreadable):
        read_reply(rfc8785.dumps(json.loads(NO) | {"format": "bronzebook-reply-1"}))


@settings(max_examples=150)
@given(st.integers(0, len(NO) * 8 - 1))
def test_a_bit_flipped_in_a_refusing_reply_raises_only_our_errors(bit: int) -> None:
    changed = bytearray(NO)
    changed[bit // 8] ^= 1 << bit % 8
    try:
        reply = read_reply(bytes(changed))
    except BronzebookError:
        return
    assert write_reply(reply) == bytes(changed)
