"""Tests of keys in the book: admitted once, for whom they fit, vouched for, ended at a place."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from certificates.countersign import (
    Countersigned,
    countersign,
    countersign_text,
    plain_words,
    read_countersigned,
)
from certificates.keyfile import read_keys
from editions.errors import (
    BronzebookError,
    Contradiction,
    KeyUnusable,
    NotKnown,
    Refused,
    Unreadable,
)
from editions.ledger.keys import PrivateKey, fingerprint, key_id, public_text
from editions.registry import Registry
from editions.registry.acts.keys import admit_key, countersigning, end_key, key_text
from editions.registry.acts.parties import give_authority, record_death
from editions.registry.auditing import audit
from editions.registry.keys import (
    all_keys,
    certifying_keys,
    foundry_keys_at,
    key_judgement,
)
from editions.registry.rotating import (
    left_by_the_old,
    prepare_rotation,
    rotate_foundry_key,
)
from editions.trade.keys import KeyAdmitted, KeyEnded
from editions.trade.parties import Party
from tests.registry.builders import KEY_COST, PASSPHRASE, a_party, an_artist, state

FOUNDRY = "Y-0001"
MET = "fingerprint compared in the studio"
NEW = "a passphrase for the next key"
ONE, TWO, THREE = (PrivateKey(bytes([number]) * 32) for number in (1, 2, 3))


def admit(registry: Registry, party: str, key: PrivateKey = ONE, **said: object) -> None:
    with registry.writing() as w:
        admit_key(w, party, key.public.raw, **{"document": MET, **said})  # type: ignore[arg-type]


def end(registry: Registry, party: str, key: PrivateKey = ONE, because: str = "lost") -> None:
    with registry.writing() as w:
        end_key(w, party, key.public.raw, because=because)


def vouched(registry: Registry, party: str, key: PrivateKey, by: PrivateKey) -> Countersigned:
    with registry.reading() as r:
        return countersign(countersigning(r, party, key.public.raw), by)


def size(registry: Registry) -> int:
    with registry.reading() as r:
        return r.size


def judged(registry: Registry, key: PrivateKey, position: int) -> str:
    with registry.reading() as r:
        return key_judgement(r, key_id(key.public.raw), position)


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


def rotate(registry: Registry, **said: object) -> tuple[str, ...]:
    prepare_rotation(registry, NEW, key_cost=KEY_COST)
    made = rotate_foundry_key(registry, **said)  # type: ignore[arg-type]
    return tuple(one.kind for one in made)


def test_the_certifying_key_rotates_and_the_old_one_stays_on_file(registry: Registry) -> None:
    old = registry.certifying_key(PASSPHRASE)
    assert rotate(registry, passphrase=PASSPHRASE) == ("key_admitted", "key_ended")
    new = registry.certifying_key(NEW)
    assert new.public.raw != old.public.raw
    kept = registry.home.old_certifying_key(key_id(old.public.raw).hex())
    assert kept.stat().st_mode & 0o777 == 0o600
    assert not registry.home.next_certifying_key.exists()
    last = size(registry)
    assert judged(registry, old, last) == "ended"
    assert judged(registry, old, 1) == judged(registry, new, last) == "valid"
    with registry.reading() as r:
        assert [k.public for k in foundry_keys_at(r, last)] == [new.public.raw]
        assert [k.public for k in certifying_keys(r)] == [new.public.raw, old.public.raw]
    foundry = [k for k in registry.public_keys() if k.use == "foundry"]
    assert [k.verifier().public for k in foundry] == [new.public.raw, old.public.raw]
    assert not audit(registry).faults


def test_rotated_twice_each_key_keeps_its_place(book: Registry) -> None:
    rotate(book, passphrase=PASSPHRASE)
    between = size(book) - 1
    prepare_rotation(book, "yet another one", key_cost=KEY_COST)
    rotate_foundry_key(book, passphrase=NEW)
    with book.reading() as r:
        assert len(foundry_keys_at(r, between)) == len(foundry_keys_at(r, r.size)) == 1
        assert len({k.public for at in (0, between, r.size) for k in foundry_keys_at(r, at)}) == 3


def test_a_wrong_passphrase_rotates_nothing(book: Registry) -> None:
    with pytest.raises(KeyUnusable):
        rotate(book, passphrase="some other words")
    assert size(book) == 2


def test_a_passphrase_lost_is_answered_for_by_another_key_in_the_book(registry: Registry) -> None:
    artist = an_artist(registry)
    admit(registry, artist)
    text = prepare_rotation(registry, NEW, key_cost=KEY_COST)
    assert prepare_rotation(registry, "words that come too late") == text
    with pytest.raises(Refused, match="Nobody has countersigned"):
        rotate_foundry_key(registry, because="lost", passphrase=PASSPHRASE)
    file = str(countersign(text, ONE))
    made = rotate_foundry_key(registry, because="lost", countersigned=read_countersigned(file))
    assert [one.kind for one in made] == ["key_ended", "key_admitted"]
    assert registry.certifying_key(NEW).public.raw
    assert not audit(registry).faults


def test_a_betrayed_key_cannot_name_its_follower(book: Registry) -> None:
    old = book.certifying_key(PASSPHRASE)
    text = prepare_rotation(book, NEW, key_cost=KEY_COST)
    with pytest.raises(Refused, match="none that may"):
        rotate_foundry_key(book, because="compromised", countersigned=countersign(text, old))
    assert size(book) == 2


def test_a_spare_key_of_the_foundry_vouches_when_the_first_is_lost(book: Registry) -> None:
    first = book.certifying_key(PASSPHRASE)
    admit(book, FOUNDRY, ONE, countersigned=vouched(book, FOUNDRY, ONE, first))
    text = prepare_rotation(book, NEW, key_cost=KEY_COST)
    rotate_foundry_key(book, because="lost", countersigned=countersign(text, ONE))
    assert book.certifying_key(NEW).public.raw


def test_a_rotation_stopped_before_the_files_changed_is_finished(
    book: Registry, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("editions.registry.rotating._change_files", stop)
        with pytest.raises(KeyboardInterrupt):
            rotate(book, passphrase=PASSPHRASE)
    assert rotate(book) == ()
    assert book.certifying_key(NEW).public.raw


def test_a_rotation_stopped_between_the_files_is_finished(book: Registry) -> None:
    prepare_rotation(book, NEW, key_cost=KEY_COST)
    rename = Path.rename
    with pytest.MonkeyPatch.context() as patch:

        def once(path: Path, to: Path) -> Path:
            if path == book.home.next_certifying_key:
                raise KeyboardInterrupt
            return rename(path, to)

        patch.setattr(Path, "rename", once)
        with pytest.raises(KeyboardInterrupt):
            rotate_foundry_key(book, passphrase=PASSPHRASE)
    assert rotate_foundry_key(book) == ()
    assert book.certifying_key(NEW).public.raw
    assert len(read_keys(book.home.public_keys.read_text())) == 3


def test_no_rotation_without_a_next_key(book: Registry) -> None:
    with pytest.raises(KeyUnusable, match="No next"):
        rotate_foundry_key(book, passphrase=PASSPHRASE)
    with pytest.raises(KeyUnusable, match="shorter"):
        prepare_rotation(book, "short")


def test_without_waiting_certificates_the_old_key_leaves_none(book: Registry) -> None:
    rotate(book, passphrase=PASSPHRASE)
    assert left_by_the_old(book) == ()


def test_an_end_of_the_only_certifying_key_is_remarked(book: Registry) -> None:
    key = book.certifying_key(PASSPHRASE)
    with book.writing() as w:
        made = end_key(w, FOUNDRY, key.public.raw, because="compromised")
    assert "No certifying key is left" in made.remarks[0]


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
