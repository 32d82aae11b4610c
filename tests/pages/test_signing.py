"""Tests of who signed, as a record page tells it, and of the keys that a site hands out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import update

from certificates.asking import ask_for, pending_of, sign_in_ink, take_reply
from certificates.issue import issue
from certificates.keyfile import read_keys
from certificates.requests import read_request, sign_request
from certificates.signatures import ENOUGH, proof_name
from editions.ledger.keys import PrivateKey
from editions.pages import site
from editions.pages.render import render_record
from editions.pages.tongues import english
from editions.pages.view import record_view, room
from editions.registry import Registry
from editions.registry.acts.keys import admit_key
from editions.registry.rotating import prepare_rotation, rotate_foundry_key
from editions.store.tables import subjects
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.registry import builders
from tests.registry.builders import KEY_COST, PASSPHRASE

ARTIST, NAME = "Y-0002", "Ilse Varga"
KEY = PrivateKey(b"\x07" * 32)


def asked(where: str, home: Path) -> Registry:
    """A registry where a certificate waits for its artist, who has a key."""
    registry = builders.a_registry(where, home)
    artist = builders.an_artist(registry)
    with registry.writing() as w:
        admit_key(w, artist, KEY.public.raw, document="compared in the studio")
    work = builders.work_of(registry, builders.a_model(registry, builders.a_work(registry, artist)))
    run = builders.a_run(registry, work, signers=[artist])
    piece = builders.a_piece(registry, run, to="approved in colour", number="1/8")
    issue(registry, [piece], passphrase=PASSPHRASE)
    return registry


@pytest.fixture
def book(plain_stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """The test's own copy of that registry."""
    registry = patterns.copied("asked", plain_stores, tmp_path, asked)
    yield registry
    registry.close()


def told(registry: Registry, number: str) -> dict[str, tuple[str, str]]:
    made = record_view(registry, number).proof.checks
    return {check.name: (check.result, check.says) for check in made}


def waiting(registry: Registry) -> str:
    return pending_of(registry)[0].code


def test_a_page_says_who_has_still_to_sign(book: Registry) -> None:
    assert told(book, waiting(book))[ENOUGH] == (
        "not checked", f"1 more of these have to sign: {NAME}.",
    )  # fmt: skip


def test_the_page_of_a_certificate_that_waits_is_pending_and_bears_no_tick(book: Registry) -> None:
    page = render_record(book, waiting(book)).decode()
    assert '<section class="banner pending"' in page
    assert "Pending: not yet given out" in page
    words = page.replace("<bdi>", "").replace("</bdi>", "")
    assert f"it waits for the signature of {NAME}" in words
    assert "<bdi>This certificate is issued and not yet given out" in page
    assert "certificate stands" not in page


def test_a_page_checks_the_artists_proof_anew(book: Registry) -> None:
    number = waiting(book)
    request = read_request(ask_for(book, [number], ARTIST))
    take_reply(book, sign_request(request, KEY, "2026-11-25T09:00:00Z"))
    checks = told(book, number)
    assert checks[proof_name(NAME)][0] == "agrees"
    assert ENOUGH not in checks


def test_a_page_tells_a_signature_in_ink_with_its_scan(book: Registry) -> None:
    number = waiting(book)
    sign_in_ink(book, number, ARTIST, b"%PDF-1.4")
    result, said = told(book, number)[proof_name(NAME)]
    assert result == "not checked"
    assert "Signed in ink" in said


def test_a_proof_altered_in_the_tables_contradicts(book: Registry) -> None:
    number = waiting(book)
    request = read_request(ask_for(book, [number], ARTIST))
    take_reply(book, sign_request(request, KEY, "2026-11-25T09:00:00Z"))
    with book.engine.connect() as owner:
        row = subjects.c.code == number
        state = owner.execute(subjects.select().where(row)).mappings().one()["state"]
        changed = state.replace("2026-11-25T09:00:00Z", "2026-11-25T09:00:01Z")
        assert changed != state
        owner.execute(update(subjects).where(row).values(state=changed))
        owner.commit()
    assert told(book, number)[proof_name(NAME)][0] == "contradicts"


def test_a_site_hands_out_every_certifying_key_the_newest_first(book: Registry) -> None:
    old = book.certifying_key(PASSPHRASE).public.raw
    prepare_rotation(book, "for the next key", key_cost=KEY_COST)
    rotate_foundry_key(book, passphrase=PASSPHRASE)
    new = book.certifying_key("for the next key").public.raw
    with room(book) as here:
        entries = read_keys(site.keys(here).decode())
        assert site.front(here, "", english())
    assert [e.use for e in entries] == ["foundry", "foundry", "log"]
    assert [e.verifier().public for e in entries][:2] == [new, old]
