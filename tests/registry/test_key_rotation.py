"""The certifying key rotates: the old vouches for the new, or another key of the book does."""

from __future__ import annotations

from pathlib import Path

import pytest

from certificates.countersign import (
    countersign,
    read_countersigned,
)
from certificates.keyfile import read_keys
from editions.errors import (
    KeyUnusable,
    Refused,
)
from editions.ledger.keys import key_id
from editions.registry import Registry
from editions.registry.auditing import audit
from editions.registry.keys import (
    certifying_keys,
    foundry_keys_at,
)
from editions.registry.rotating import (
    left_by_the_old,
    prepare_rotation,
    rotate_foundry_key,
)
from tests.registry.builders import KEY_COST, PASSPHRASE, an_artist
from tests.registry.keyring import FOUNDRY, ONE, admit, judged, size, vouched

NEW = "a passphrase for the next key"


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
