"""What comes back and is not taken: other words, other keys, too late, or from a stranger."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from certificates.asking import ask_for, pending_of, sign_in_ink, take_reply
from certificates.issue import replace_lost, withdraw
from certificates.requests import read_reply, write_reply
from editions.errors import Refused
from editions.registry import Registry
from editions.registry.acts.keys import end_key
from editions.registry.acts.parties import record_death
from tests.certificates.asked import (
    ARTIST,
    KEY,
    OTHER,
    SCAN,
    admit,
    drawn,
    heirs,
    pending,
    replied,
)
from tests.registry import builders
from tests.registry.builders import PASSPHRASE, state


def test_what_comes_back_is_refused_with_its_reason(book: Registry) -> None:
    admit(book)
    number = pending(book)
    good = read_reply(replied(book, number))
    answer = good.answers[0]
    altered = dict(answer.proof) | {"created": "2026-11-25T09:00:01Z"}
    cases = {
        "does not hold": replace(good, answers=(replace(answer, proof=altered),)),
        "Other words were signed": replace(good, answers=(replace(answer, signed="0" * 64),)),
        "none was expected": replace(good, by=OTHER.public.raw),
        "2 times": replace(good, answers=(answer, answer)),
    }
    for why, reply in cases.items():
        taken = take_reply(book, write_reply(reply))
        assert taken
        assert all(not one.accepted for one in taken), why
        assert all(why in one.says for one in taken), [one.says for one in taken]
    assert state(book, number).pending
    assert take_reply(book, write_reply(good))[0].accepted


def test_one_bad_answer_does_not_stand_in_the_way_of_the_others(book: Registry) -> None:
    admit(book)
    number = pending(book)
    reply = read_reply(replied(book, number))
    stray = replace(reply.answers[0], number="0123456789A")
    taken = take_reply(book, write_reply(replace(reply, answers=(*reply.answers, stray))))
    assert {one.number: one.accepted for one in taken} == {number: True, "0123456789A": False}


def test_a_reply_is_taken_once(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    assert take_reply(book, data)[0].accepted
    (again,) = take_reply(book, data)
    assert not again.accepted
    assert "has signed" in again.says
    with pytest.raises(Refused, match="has signed"):
        ask_for(book, [number], ARTIST)


def test_a_key_that_ended_before_its_proof_came_back_signs_nothing(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    with book.writing() as w:
        end_key(w, ARTIST, KEY.public.raw, because="compromised")
    (taken,) = take_reply(book, data)
    assert not taken.accepted
    assert "does not sign on" in taken.says


def test_a_withdrawn_certificate_is_signed_by_nobody(book: Registry) -> None:
    admit(book)
    number = pending(book)
    data = replied(book, number)
    withdraw(book, number, "issued in error")
    assert "nobody signs it" in take_reply(book, data)[0].says
    with pytest.raises(Refused, match="no longer waits"):
        ask_for(book, [number], ARTIST)


def test_only_who_is_asked_signs(book: Registry) -> None:
    admit(book)
    number = pending(book)
    hand = builders.a_party(book)
    for doing in (
        lambda: ask_for(book, [number], hand),
        lambda: sign_in_ink(book, number, hand, SCAN),
    ):
        with pytest.raises(Refused, match="asks Ilse Varga to sign"):
            doing()


def test_a_certificate_that_is_drawn_takes_no_signature(book: Registry) -> None:
    one, two = heirs(book)
    number = pending(book, one, two, wanted="any")
    sign_in_ink(book, number, one, SCAN)
    drawn(book)
    with pytest.raises(Refused, match="is drawn"):
        sign_in_ink(book, number, two, SCAN)


def test_who_died_since_no_longer_signs(book: Registry) -> None:
    admit(book)
    number = pending(book)
    with book.writing() as w:
        record_death(w, ARTIST, on="2026-01-01")
    with pytest.raises(Refused, match="may no longer sign"):
        sign_in_ink(book, number, ARTIST, SCAN)


def test_a_replacement_is_asked_for_as_the_first_was(book: Registry) -> None:
    admit(book)
    number = pending(book)
    take_reply(book, replied(book, number))
    drawn(book)
    assert replace_lost(book, number, passphrase=PASSPHRASE) == ()
    (waiting,) = pending_of(book)
    assert waiting.replaces == number
    assert take_reply(book, replied(book, waiting.code))[0].complete
