"""Tests of keys in the book: admitted once, for whom they fit, vouched for, ended at a place."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import (
    NotKnown,
    Refused,
    Unreadable,
)
from editions.ledger.keys import fingerprint, key_id
from editions.registry import Registry
from editions.registry.acts.keys import end_key, key_text
from editions.registry.acts.parties import give_authority, record_death
from editions.registry.auditing import audit
from editions.registry.keys import (
    all_keys,
    foundry_keys_at,
    key_judgement,
)
from editions.trade.keys import KeyAdmitted, KeyEnded
from editions.trade.parties import Party
from tests.registry.builders import PASSPHRASE, a_party, an_artist, state
from tests.registry.keyring import FOUNDRY, MET, ONE, TWO, admit, end, judged, size


def test_a_key_counts_from_the_entry_that_admitted_it(registry: Registry) -> None:
    artist = an_artist(registry)
    before = size(registry)
    admit(registry, artist)
    assert judged(registry, ONE, before - 1) == "unknown"
    assert judged(registry, ONE, before) == "valid"
    assert judged(registry, TWO, before) == "unknown"
    assert not audit(registry).faults


def test_the_keys_of_entry_0_count_from_there(book: Registry) -> None:
    certifying, log = book.certifying_key(PASSPHRASE), book.log_key()
    assert judged(book, certifying, 0) == judged(book, log, 0) == "valid"
    with book.reading() as r:
        assert [key.public for key in foundry_keys_at(r, 0)] == [certifying.public.raw]
        assert key_judgement(r, key_id(log.public.raw), 0, "foundry") == "unknown"


def test_a_key_that_was_betrayed_is_revoked_from_a_place_and_stands_before_it(
    registry: Registry,
) -> None:
    artist = an_artist(registry)
    admit(registry, artist)
    place = size(registry) - 1
    a_party(registry)
    with registry.writing() as w:
        end_key(w, artist, ONE.public.raw, because="compromised", from_position=place + 1)
    assert judged(registry, ONE, place) == "valid"
    assert judged(registry, ONE, place + 1) == f"revoked from {place + 1}"
    assert not audit(registry).faults


def test_a_key_revoked_from_0_never_counted(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.writing() as w:
        end_key(w, artist, ONE.public.raw, because="compromised", from_position=0)
    assert judged(book, ONE, size(book)) == "revoked from 0"


@pytest.mark.parametrize("because", ["rotated", "expired", "lost", "succession"])
def test_a_key_that_ended_otherwise_is_ended(book: Registry, because: str) -> None:
    artist = an_artist(book)
    admit(book, artist)
    end(book, artist, because=because)
    assert judged(book, ONE, size(book)) == "ended"
    assert judged(book, ONE, size(book) - 2) == "valid"


def test_a_key_is_admitted_once_whoever_brings_it(book: Registry) -> None:
    artist, estate = an_artist(book), a_party(book, "estate")
    with book.writing() as w:
        give_authority(w, estate, artist, capacity="estate", document="will", begins="2020")
    admit(book, artist)
    for party in (artist, estate):
        with pytest.raises(Refused, match="in the book already"):
            admit(book, party)


@pytest.mark.parametrize("which", ["log", "certifying"])
def test_a_key_of_entry_0_is_not_admitted_again(book: Registry, which: str) -> None:
    key = book.log_key() if which == "log" else book.certifying_key(PASSPHRASE)
    with pytest.raises(Refused, match="in the book already"):
        admit(book, an_artist(book), key)


@pytest.mark.parametrize("role", ["hand", "collector", "witness", "laboratory", "mold maker"])
def test_who_neither_is_an_artist_nor_acts_for_one_has_no_key(book: Registry, role: str) -> None:
    with pytest.raises(Refused, match="neither an artist nor acts for one"):
        admit(book, a_party(book, role))


def test_an_estate_has_a_key_while_its_authority_holds(book: Registry) -> None:
    artist, estate = an_artist(book), a_party(book, "estate")
    with pytest.raises(Refused, match="no authority"):
        admit(book, estate)
    with book.writing() as w:
        give_authority(w, estate, artist, capacity="estate", document="will", begins="2020",
                       until="2021")  # fmt: skip
    with pytest.raises(Refused, match="no authority"):
        admit(book, estate)
    with book.writing() as w:
        give_authority(w, estate, artist, capacity="estate", document="will", begins="2020")
    admit(book, estate)


def test_an_executor_named_only_by_code_may_have_a_key(book: Registry) -> None:
    artist, executor = an_artist(book), a_party(book, "witness")
    with book.writing() as w:
        give_authority(w, executor, artist, capacity="executor", document="will", begins="2020")
    admit(book, executor)


def test_a_first_key_stands_on_a_document(book: Registry) -> None:
    with pytest.raises(Refused, match="how the key is known"):
        admit(book, an_artist(book), document="")


@pytest.mark.parametrize("use", ["log", "foundry"])
def test_an_artist_has_no_key_of_the_foundry_or_the_log(book: Registry, use: str) -> None:
    artist = an_artist(book)
    with book.writing() as w:
        text = key_text(w, artist, ONE.public.raw)
        facts = KeyAdmitted(key=text, use=use, document=MET, begins="2026")  # type: ignore[arg-type]
        with pytest.raises(Refused):
            w.enter(facts, artist)


def test_a_term_runs_forward(book: Registry) -> None:
    with pytest.raises(Refused, match="before it begins"):
        admit(book, an_artist(book), begins="2026", until="2020")
    admit(book, an_artist(book), until="2100")


def test_the_log_key_does_not_end_unless_another_follows_it(book: Registry) -> None:
    for use, reason in (("foundry", "is ended as that"), ("log", "only when another follows")):
        facts = KeyEnded(key="", because="lost", from_position=0, use=use)  # type: ignore[arg-type]
        with book.writing() as w, pytest.raises(Refused, match=reason):
            w.enter(replace(facts, key=w.book.log_key), FOUNDRY)


def test_only_a_key_of_the_party_ends_and_once(book: Registry) -> None:
    artist = an_artist(book)
    with pytest.raises(NotKnown):
        end(book, artist)
    admit(book, artist)
    end(book, artist)
    with pytest.raises(Refused, match="ended on"):
        end(book, artist)


def test_a_key_is_ended_by_the_beginning_of_its_fingerprint(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.writing() as w:
        with pytest.raises(NotKnown):
            end_key(w, artist, "0000", because="lost")
        end_key(w, artist, fingerprint(ONE.public.raw)[:9].lower(), because="lost")
    assert state(book, artist).keys[0].ended == "lost"


def test_a_key_ends_at_a_place_that_is_in_the_book(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.writing() as w, pytest.raises(Unreadable, match="no place"):
        end_key(w, artist, ONE.public.raw, because="lost", from_position=99)


def test_an_end_of_the_only_certifying_key_is_remarked(book: Registry) -> None:
    key = book.certifying_key(PASSPHRASE)
    with book.writing() as w:
        made = end_key(w, FOUNDRY, key.public.raw, because="compromised")
    assert "No certifying key is left" in made.remarks[0]


def test_every_key_is_listed_with_its_party(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.reading() as r:
        listed = [(one.party, one.held.use) for one in all_keys(r)]
    assert listed == [(FOUNDRY, "log"), (FOUNDRY, "foundry"), (artist, "artist")]


def test_a_dead_artists_key_stays_in_the_book(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.writing() as w:
        record_death(w, artist)
    assert isinstance(state(book, artist), Party)
    assert judged(book, ONE, size(book)) == "valid"
