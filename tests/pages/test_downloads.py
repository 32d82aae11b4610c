"""The files beside a record: what may be taken home, and what only the artist can let out."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest
from msgspec.structs import replace

from certificates.attach import read_attachments
from editions.errors import NotKnown
from editions.ledger.prooffile import ProofFile
from editions.pages import downloads
from editions.pages.view import record_view, room
from editions.registry import Registry
from editions.registry.acts.runs import amend_run
from editions.trade.certificates import Certificate
from tests.pages.builders import HELD, Gallery, Shop, cast, opened
from tests.store.books import tamper

STATES = (
    "stands", "contested", "withdrawn", "replaced", "replacing", "sections", "found", "reservation",
)  # fmt: skip


@pytest.mark.parametrize("state", STATES)
def test_a_record_as_json_reads_back_as_the_view_it_was_made_from(
    shown: Gallery, state: str
) -> None:
    number = shown.numbers[state]
    with room(shown.shop.registry) as here:
        view = here.view(here.certificate(number))
        data = downloads.record(here, number)
    assert downloads.from_json(data) == replace(view, carried=None)
    assert HELD.encode() not in data
    assert downloads.to_json(downloads.from_json(data)) == data


def test_what_is_no_record_is_refused() -> None:
    for data in (b"", b"[]", b"{}", b'{"number": 1}'):
        with pytest.raises(msgspec.DecodeError):
            downloads.from_json(data)


@pytest.mark.parametrize("state", STATES)
def test_credential_and_proof_are_those_of_the_paper(shown: Gallery, state: str) -> None:
    number, registry = shown.numbers[state], shown.shop.registry
    paper = read_attachments((registry.home.certificates / f"{number}.pdf").read_bytes())
    with room(registry) as here:
        assert downloads.credential(here, number) == paper["credential.json"]
        proof = downloads.proof(here, number)
    assert proof == paper["certificate.tlog-proof"]
    assert str(ProofFile.parse(proof.decode())).encode() == proof
    assert json.loads(paper["credential.json"])["type"]


def test_the_paper_is_nowhere_unless_the_artist_publishes_papers(shown: Gallery) -> None:
    view = record_view(shown.shop.registry, shown.numbers["stands"])
    assert view.downloads == ("credential.json", "certificate.tlog-proof", "record.json")
    with room(shown.shop.registry) as here, pytest.raises(NotKnown, match="not published"):
        downloads.certificate(here, view.number)


def test_the_paper_is_there_where_the_artist_publishes_papers(tmp_path: Path) -> None:
    shop: Shop = opened(tmp_path / "registry")
    shop.write(lambda w: amend_run(w, "R-0001", publishes=["size", "papers"]))
    number = shop.certify(cast(shop))
    kept = (shop.registry.home.certificates / f"{number}.pdf").read_bytes()
    with room(shop.registry) as here:
        assert downloads.certificate(here, number) == kept
    assert "certificate.pdf" in record_view(shop.registry, number).downloads


def test_a_paper_that_is_not_the_one_drawn_is_offered_by_nobody(
    book: Registry, number: str
) -> None:
    (book.home.certificates / f"{number}.pdf").write_bytes(b"%PDF-1.7 another")
    assert record_view(book, number).downloads == ("certificate.tlog-proof", "record.json")
    with room(book) as here, pytest.raises(NotKnown, match="No credential"):
        downloads.credential(here, number)


def test_without_its_entry_there_is_no_proof_and_the_page_offers_none(
    book: Registry, number: str
) -> None:
    with book.reading() as reading:
        leaf = reading.get(number, Certificate).leaf
    tamper(book, f"UPDATE entries SET leaf = zeroblob(32) WHERE leaf = x'{leaf}'")
    assert "certificate.tlog-proof" not in record_view(book, number).downloads
    with room(book) as here, pytest.raises(NotKnown, match="No proof"):
        downloads.proof(here, number)


@pytest.mark.parametrize("name", downloads.FILES)
def test_of_an_unknown_number_there_is_no_file(book: Registry, name: str) -> None:
    make, media = downloads.FILES[name]
    assert media
    with room(book) as here, pytest.raises(NotKnown):
        make(here, "0000000002Y")
