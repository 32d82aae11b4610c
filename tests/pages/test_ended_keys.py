"""Keys that ended, on a site: the signed note as published and as served, the pages beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import update

from certificates.asking import take_reply
from certificates.checks import KEY_THEN
from certificates.signatures import key_then
from certificates.standing import check_number
from editions.errors import NotKnown
from editions.ledger.revocations import KeyEnd, Revocations, open_revocations
from editions.pages import site
from editions.pages.publish import publish
from editions.pages.render import render_record
from editions.pages.serve import create_app
from editions.pages.view import record_view, room
from editions.registry import Registry
from editions.registry.acts.keys import end_key
from editions.registry.acts.parties import enter_party
from editions.registry.keys import keys_of_party
from editions.registry.revocations import end_of
from editions.store.tables import subjects
from tests.certificates import asked, house, rotating
from tests.certificates.asked import ARTIST, KEY
from tests.certificates.house import certify
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.registry.builders import PASSPHRASE

FOUNDRY = "Y-0001"


@pytest.fixture
def book(plain_stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """A registry where a piece is finished and can be certified."""
    opened = patterns.copied("finished", plain_stores, tmp_path / "home", house.built)
    yield opened
    opened.close()


def end(book: Registry, party: str, raw: bytes, because: str, start: int | None = None) -> None:
    with book.writing() as w:
        end_key(w, party, raw, because=because, from_position=start)


def certifying(book: Registry) -> bytes:
    return book.certifying_key(PASSPHRASE).public.raw


def note(book: Registry, folder: Path) -> Revocations:
    return open_revocations((folder / "revocations.txt").read_text(), book.log_verifier())


def test_the_note_names_the_keys_that_ended_and_no_other(book: Registry, tmp_path: Path) -> None:
    asked.admit(book)
    publish(book, tmp_path / "site")
    assert note(book, tmp_path / "site").ended == ()
    end(book, ARTIST, KEY.public.raw, "lost")
    end(book, FOUNDRY, certifying(book), "compromised", 5)
    rotating.rotate(book)
    publish(book, tmp_path / "site")
    told = note(book, tmp_path / "site")
    assert [(one.use, one.because) for one in told.ended] == [
        ("artist", "lost"), ("foundry", "compromised"), ("log", "rotated"),
    ]  # fmt: skip
    with book.reading() as r:
        assert told.checkpoint.size == r.size
        held = [end_of(one) for code in (FOUNDRY, ARTIST) for one in keys_of_party(r, code)]
    assert set(told.ended) == {one for one in held if isinstance(one, KeyEnd)}
    assert None in held


def test_a_site_and_a_server_give_the_same_bytes(book: Registry, tmp_path: Path) -> None:
    end(book, FOUNDRY, certifying(book), "lost")
    publish(book, tmp_path / "site")
    answer = create_app(book).test_client().get("/revocations.txt")
    assert answer.data == (tmp_path / "site/revocations.txt").read_bytes()
    assert answer.content_type == "text/plain; charset=utf-8"


def test_the_note_is_left_as_it_is_while_the_book_is(book: Registry, tmp_path: Path) -> None:
    end(book, FOUNDRY, certifying(book), "lost")
    publish(book, tmp_path / "site")
    path = tmp_path / "site/revocations.txt"
    before, data = path.stat().st_ino, path.read_bytes()
    publish(book, tmp_path / "site")
    assert (path.stat().st_ino, path.read_bytes()) == (before, data)
    with book.writing() as w:
        enter_party(w, ["hand"], private_name="a hand")
    publish(book, tmp_path / "site")
    grown = note(book, tmp_path / "site")
    assert path.read_bytes() != data
    assert grown.ended == open_revocations(data.decode(), book.log_verifier()).ended


def test_no_note_is_signed_where_a_table_tells_otherwise_of_a_key(
    book: Registry, tmp_path: Path
) -> None:
    end(book, FOUNDRY, certifying(book), "compromised")
    publish(book, tmp_path / "site")
    with book.engine.connect() as owner:
        row = subjects.c.code == FOUNDRY
        state = owner.execute(subjects.select().where(row)).mappings().one()["state"]
        hidden = state.replace("compromised", "rotated")
        assert hidden != state
        owner.execute(update(subjects).where(row).values(state=hidden))
        owner.commit()
    with room(book) as here, pytest.raises(NotKnown):
        site.revocations(here)
    # The true one stays until the book has grown, and then is taken away, not replaced.
    publish(book, tmp_path / "site")
    assert note(book, tmp_path / "site").ended[0].betrayed
    with book.writing() as w:
        enter_party(w, ["hand"], private_name="a hand")
    publish(book, tmp_path / "site")
    assert not (tmp_path / "site/revocations.txt").exists()
    assert create_app(book).test_client().get("/revocations.txt").status_code == 404


def test_no_note_is_signed_where_the_keys_cannot_be_read(book: Registry) -> None:
    with book.engine.connect() as owner:
        owner.execute(update(subjects).where(subjects.c.code == FOUNDRY).values(state="no state"))
        owner.commit()
    with room(book) as here, pytest.raises(NotKnown):
        site.revocations(here)


def test_the_page_of_keys_links_the_note_and_tells_the_same(book: Registry, tmp_path: Path) -> None:
    end(book, FOUNDRY, certifying(book), "compromised", 7)
    publish(book, tmp_path / "site")
    page = (tmp_path / "site/keys/index.html").read_text()
    assert '<a href="/revocations.txt">' in page
    assert "it proves nothing from entry 7 on" in page
    assert note(book, tmp_path / "site").ended[0].start == 7
    french = (tmp_path / "site/fr/keys/index.html").read_text()
    assert "chaque clé qui a pris fin" in french


# The page of a record


def told(book: Registry, number: str) -> dict[str, tuple[str, str]]:
    made = record_view(book, number).proof.checks
    return {str(check.name): (check.result, str(check.says)) for check in made}


def test_a_record_does_not_speak_of_keys_that_were_good_where_they_signed(book: Registry) -> None:
    number = certify(book).number
    assert KEY_THEN not in told(book, number)
    end(book, FOUNDRY, certifying(book), "compromised")
    assert KEY_THEN not in told(book, number)
    assert check_number(book, number).status == 0


@pytest.mark.parametrize(
    ("because", "says"),
    [
        ("compromised", "This key signs nothing from entry 0 on: it was compromised."),
        ("lost", "This key had ended before entry"),
    ],
)
def test_a_record_and_a_registry_agree_of_a_key_that_proves_nothing_there(
    book: Registry, because: str, says: str
) -> None:
    number = certify(book).number
    end(book, FOUNDRY, certifying(book), because, 0)
    result, said = told(book, number)[KEY_THEN]
    assert result == "contradicts"
    assert said.startswith(says)
    page = render_record(book, number).decode()
    assert "This record contradicts itself" in page
    assert says in page
    assert check_number(book, number).status == 3


def test_a_record_tells_of_an_artists_key_that_proves_nothing_where_it_signed(
    book: Registry,
) -> None:
    asked.admit(book)
    number = asked.pending(book)
    take_reply(book, asked.replied(book, number))
    asked.drawn(book)
    name = str(key_then(asked.NAME))
    assert name not in told(book, number)
    end(book, ARTIST, KEY.public.raw, "compromised", 1)
    assert told(book, number)[name][0] == "contradicts"
    assert check_number(book, number).status == 3


def test_every_record_is_published_anew_when_a_key_ends(book: Registry, tmp_path: Path) -> None:
    number = certify(book).number
    publish(book, tmp_path / "site")
    page = tmp_path / "site/C" / number / "index.html"
    assert "This record contradicts itself" not in page.read_text()
    end(book, FOUNDRY, certifying(book), "compromised", 0)
    publish(book, tmp_path / "site")
    assert "This record contradicts itself" in page.read_text()
