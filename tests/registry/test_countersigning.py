"""A key that follows another is vouched for by one that the book holds."""

from __future__ import annotations

import pytest

from certificates.countersign import (
    countersign,
    countersign_text,
    plain_words,
    read_countersigned,
)
from editions.errors import (
    BronzebookError,
    Contradiction,
    KeyUnusable,
    NotKnown,
    Refused,
)
from editions.ledger.keys import public_text
from editions.registry import Registry
from editions.registry.acts.keys import key_text
from editions.trade.keys import KeyAdmitted
from tests.registry.builders import PASSPHRASE, an_artist, state
from tests.registry.keyring import ONE, THREE, TWO, admit, end, vouched


def test_a_key_that_follows_is_countersigned(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with pytest.raises(Refused, match="countersigned"):
        admit(book, artist, TWO)
    admit(book, artist, TWO, countersigned=vouched(book, artist, TWO, ONE))
    held = state(book, artist).keys
    assert held[1].countersigned_by == held[0].key


def test_a_lost_key_cannot_vouch_for_its_follower_but_the_foundry_can(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    end(book, artist)
    with pytest.raises(Refused, match="none that may"):
        admit(book, artist, TWO, countersigned=vouched(book, artist, TWO, ONE))
    foundry = book.certifying_key(PASSPHRASE)
    admit(book, artist, TWO, countersigned=vouched(book, artist, TWO, foundry))


def test_the_log_key_vouches_for_nothing(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with pytest.raises(Refused, match="log key"):
        admit(book, artist, TWO, countersigned=vouched(book, artist, TWO, book.log_key()))


def test_a_key_that_nobody_knows_vouches_for_nothing(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with pytest.raises(NotKnown, match="not in the book"):
        admit(book, artist, TWO, countersigned=vouched(book, artist, TWO, THREE))


def test_a_countersignature_counts_for_its_key_and_party_alone(book: Registry) -> None:
    artist, other = an_artist(book), an_artist(book, "Marta Okonjo")
    admit(book, artist)
    for party, key in ((artist, THREE), (other, TWO)):
        with pytest.raises(Contradiction):
            admit(book, artist, TWO, countersigned=vouched(book, party, key, ONE))


def test_a_countersignature_named_and_not_given_is_none(book: Registry) -> None:
    artist = an_artist(book)
    admit(book, artist)
    with book.writing() as w:
        text = key_text(w, artist, TWO.public.raw)
        first = key_text(w, artist, ONE.public.raw)
        facts = KeyAdmitted(key=text, use="artist", begins="2026", countersigned_by=first)
        with pytest.raises(Refused, match="not there"):
            w.enter(facts, artist)


def test_what_is_countersigned_is_read_back_as_it_was(book: Registry) -> None:
    text = countersign_text("book.example", "Y-0002", "artist", public_text("a", ONE.public.raw))
    made = countersign(text, TWO)
    assert read_countersigned(str(made)) == made
    assert "Y-0002" in " ".join(plain_words(text))


@pytest.mark.parametrize("at", range(0, 480, 7))
def test_every_altered_countersignature_is_refused(at: int) -> None:
    text = countersign_text("book.example", "Y-0002", "artist", public_text("a", ONE.public.raw))
    file = str(countersign(text, TWO))
    if at >= len(file):
        at = len(file) - 1
    altered = file[:at] + chr(ord(file[at]) ^ 1) + file[at + 1 :]
    with pytest.raises(BronzebookError):
        read_countersigned(altered)


def test_a_text_that_nobody_signed_vouches_for_nothing() -> None:
    text = countersign_text("book.example", "Y-0002", "artist", public_text("a", ONE.public.raw))
    with pytest.raises(KeyUnusable, match="Nobody"):
        read_countersigned(text)
    with pytest.raises(KeyUnusable):
        countersign(text + "more\n", ONE)
