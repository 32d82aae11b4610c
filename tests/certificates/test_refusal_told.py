"""A no that was only told to the foundry, by telephone or in person: entered, unsigned."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from certificates.asking import ask_for, take_reply, tell_refusal
from certificates.issue import issue, withdraw
from certificates.requests import read_request, refuse_request
from certificates.standings import refused_words
from editions.cli import bronzebook
from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry, open_registry
from editions.registry.signed import signature_faults
from editions.registry.waiting import waiting
from editions.trade.certificates import Certificate
from tests.certificates import house
from tests.certificates.asked import ARTIST, KEY, NAME, SIGNED, admit, drawn, pending, replied
from tests.registry.builders import PASSPHRASE


@pytest.fixture
def number(book: Registry) -> str:
    admit(book)
    return pending(book)


def state(book: Registry, number: str) -> Certificate:
    with book.reading() as reading:
        return reading.get(number, Certificate)


def test_a_refusal_by_telephone_is_entered_and_the_certificate_waits_for_its_end(
    book: Registry, number: str
) -> None:
    told = tell_refusal(book, number, ARTIST, how="by-telephone", note="not before spring")
    assert told.says.endswith(f"is refused by {NAME}, as told.")
    held = state(book, number)
    assert [(one.party, one.how) for one in held.refused] == [(ARTIST, "by telephone")]
    assert held.pending
    assert refused_words(held)[0].startswith(f"refused by {NAME} by telephone, on ")
    with book.reading() as reading:
        turns = [one.what for one in waiting(reading, {}) if one.code == number]
    assert any(f"refused by {NAME} by telephone" in turn for turn in turns)
    withdraw(book, number, "signature refused")
    assert state(book, number).standing == "withdrawn"


def test_nobody_has_signed_it_so_the_audit_asks_for_no_signature(
    book: Registry, number: str
) -> None:
    tell_refusal(book, number, ARTIST, how="in person")
    with book.reading() as reading:
        assert tuple(signature_faults(reading)) == ()


def test_the_same_no_may_be_signed_later_and_is_one_refusal(book: Registry, number: str) -> None:
    tell_refusal(book, number, ARTIST, how="in person")
    request = read_request(ask_for(book, [number], ARTIST))
    (taken,) = take_reply(book, refuse_request(request, KEY, SIGNED))
    assert taken.accepted
    held = state(book, number)
    assert [(one.party, one.how) for one in held.refused] == [(ARTIST, None)]
    assert len(held.refusals) == 2
    with book.reading() as reading:
        assert tuple(signature_faults(reading)) == ()


def test_whoever_said_no_may_still_sign(book: Registry, number: str) -> None:
    tell_refusal(book, number, ARTIST, how="in person")
    (taken,) = take_reply(book, replied(book, number))
    assert taken.complete
    assert state(book, number).refused == ()
    assert drawn(book).startswith(b"%PDF")


@pytest.mark.parametrize("how", ["", "shouted", "by post", "telephone call"])
def test_how_it_was_said_is_one_of_four_ways(book: Registry, number: str, how: str) -> None:
    with pytest.raises(Unreadable):
        tell_refusal(book, number, ARTIST, how=how)


def test_what_no_longer_waits_is_not_refused(book: Registry, number: str) -> None:
    tell_refusal(book, number, ARTIST, how="in person")
    with pytest.raises(Refused, match="is in the book"):
        tell_refusal(book, number, ARTIST, how="by telephone")
    with pytest.raises(Refused, match="to sign, not Y-0001"):
        tell_refusal(book, number, "Y-0001", how="in person")
    for nobody in ("Y-0909", "nobody"):
        with pytest.raises(NotKnown):
            tell_refusal(book, number, nobody, how="in person")
    take_reply(book, replied(book, number))
    with pytest.raises(Refused, match="has signed"):
        tell_refusal(book, number, ARTIST, how="in person")
    issue(book, (), passphrase=PASSPHRASE)
    with pytest.raises(Refused, match="is drawn"):
        tell_refusal(book, number, ARTIST, how="in person")


def test_a_withdrawn_one_is_not_refused(book: Registry, number: str) -> None:
    tell_refusal(book, number, ARTIST, how="in person")
    withdraw(book, number, "signature refused")
    with pytest.raises(Refused, match="was withdrawn"):
        tell_refusal(book, number, ARTIST, how="in person")


def test_the_command_enters_it_and_keeps_the_note(tmp_path: Path) -> None:
    home = tmp_path / "book"
    book = house.built(home, home)
    admit(book)
    number = pending(book)
    before = house.size(book)
    book.close()
    call = partial(CliRunner(env={"BRONZEBOOK_REGISTRY": str(home)}).invoke, bronzebook)
    words = ["certificate", "refused", number, "--by", ARTIST, "--how", "by-telephone"]
    done = call([*words, "--note", "not before spring"])
    assert done.exit_code == 0, done.output
    assert "as told. Withdraw it: certificate withdraw --because refused." in done.output
    assert "not before spring" not in done.output
    shown = call(["show", number, "--json"])
    assert '"by telephone"' in shown.stdout
    assert "not before spring" not in shown.output
    assert "not before spring" in call(["show", number, "--held", "--json"]).stdout
    assert house.size(open_registry(home)) == before + 1
