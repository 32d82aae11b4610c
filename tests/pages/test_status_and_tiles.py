"""The status note and the tiles, as published and as served."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from certificates.issue import withdraw
from certificates.reporting import report_certificate
from editions.errors import BronzebookError, Contradiction
from editions.ledger.checkpoint import Checkpoint, open_checkpoint
from editions.ledger.moments import from_moment
from editions.ledger.status import StatusNote, open_status
from editions.ledger.tiles import TileReader
from editions.ledger.tree import consistency_proof, verify_consistency
from editions.pages.publish import publish
from editions.pages.serve import create_app
from editions.registry import Registry
from editions.registry.acts.parties import enter_party
from editions.registry.status import word_of
from editions.trade.certificates import Certificate
from tests.pages.builders import Gallery
from tests.store.books import tamper


def status_in(site: Path, registry: Registry) -> StatusNote:
    return open_status((site / "status").read_text(), registry.log_verifier())


def checkpoint_in(site: Path, registry: Registry) -> Checkpoint:
    return open_checkpoint((site / "checkpoint").read_text(), registry.log_verifier())


def grow(registry: Registry, entries: int) -> None:
    with registry.writing() as w:
        for at in range(entries):
            enter_party(w, ["hand"], private_name=f"hand {at}")


def leaf(registry: Registry, number: str) -> bytes:
    with registry.reading() as r:
        return bytes.fromhex(r.get(number, Certificate).leaf)


def test_the_status_names_what_no_longer_stands_and_no_number(
    shown: Gallery, tmp_path: Path
) -> None:
    registry = shown.shop.registry
    publish(registry, tmp_path / "site")
    status = status_in(tmp_path / "site", registry)
    said = {
        name: status.standing_of(leaf(registry, number)) for name, number in shown.numbers.items()
    }
    expected = dict.fromkeys(shown.numbers)
    assert said == expected | {"withdrawn": "withdrawn", "replaced": "replaced"}
    assert status.checkpoint == checkpoint_in(tmp_path / "site", registry)
    text = (tmp_path / "site/status").read_text()
    assert not any(number in text for number in shown.numbers.values())


@pytest.mark.parametrize("word", ["lost", "stolen", "disputed", "withdrawn"])
def test_each_way_of_ending_has_its_word(
    book: Registry, number: str, word: str, tmp_path: Path
) -> None:
    if word in ("lost", "stolen"):
        report_certificate(book, number, word)  # type: ignore[arg-type]
    else:
        withdraw(book, number, "disputed" if word == "disputed" else "surrendered")
    publish(book, tmp_path / "site")
    (ended,) = status_in(tmp_path / "site", book).ended
    assert (ended.leaf, ended.word) == (leaf(book, number), word)


def test_what_stands_has_no_word_in_a_status_note(book: Registry, number: str) -> None:
    with book.reading() as r:
        certificate = r.get(number, Certificate)
    with pytest.raises(ValueError, match="stands"):
        word_of(certificate)


def test_a_status_is_dated_when_it_is_published(book: Registry, tmp_path: Path) -> None:
    book.clock.step = timedelta(0)  # type: ignore[attr-defined]
    publish(book, tmp_path / "site")
    first = status_in(tmp_path / "site", book)
    assert from_moment(first.issued) == int(book.clock().timestamp())
    book.clock.wind(days=3)  # type: ignore[attr-defined]
    publish(book, tmp_path / "site")
    assert status_in(tmp_path / "site", book).is_newer_than(first)


def test_the_tiles_make_the_root_and_join_an_older_checkpoint_to_it(
    book: Registry, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    old = checkpoint_in(site, book)
    grow(book, 300)
    publish(book, site)
    new = checkpoint_in(site, book)
    reader = TileReader(lambda path: (site / path).read_bytes(), new.size, new.root)
    reader.check()
    proof = consistency_proof(old.size, new.size, reader)
    verify_consistency(old.size, old.root, new.size, new.root, proof)


def test_a_full_tile_is_written_once_and_narrower_ones_go_when_it_is_there(
    book: Registry, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    assert list(site.glob("tile/0/000.p/*"))
    grow(book, 256)
    assert publish(book, site).removed == 1
    assert not (site / "tile/0/000.p").exists()
    full = (site / "tile/0/000").stat().st_mtime_ns
    grow(book, 256)
    publish(book, site)
    assert (site / "tile/0/000").stat().st_mtime_ns == full


def test_a_tile_that_was_changed_is_never_written_over(book: Registry, tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(book, site)
    (partial,) = site.glob("tile/0/000.p/*")
    (site / "checkpoint").unlink()
    partial.write_bytes(bytes(partial.stat().st_size))
    with pytest.raises(Contradiction, match="already with other content"):
        publish(book, site)
    assert not (site / "checkpoint").exists()


def test_a_tile_that_was_deleted_is_written_again(book: Registry, tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(book, site)
    (partial,) = site.glob("tile/0/000.p/*")
    kept = partial.read_bytes()
    partial.unlink()
    publish(book, site)
    assert partial.read_bytes() == kept


def test_a_book_that_does_not_continue_what_is_published_is_refused(
    book: Registry, tmp_path: Path
) -> None:
    site, behind = tmp_path / "site", tmp_path / "behind"
    shutil.copytree(book.home.folder, behind)
    grow(book, 1)
    publish(book, site)
    before = (site / "checkpoint").read_bytes()
    from editions.registry import open_registry

    restored = open_registry(behind, clock=book.clock)
    for entries in (0, 1, 2):
        grow(restored, entries)
        with pytest.raises(Contradiction, match="does not continue"):
            publish(restored, site)
    restored.close()
    assert (site / "checkpoint").read_bytes() == before


def test_a_checkpoint_by_another_key_in_the_folder_is_refused(
    book: Registry, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    note = (site / "checkpoint").read_text()
    (site / "checkpoint").write_text(note.replace("— ", "— x", 1))
    with pytest.raises(Contradiction):
        publish(book, site)


def test_a_book_whose_newest_checkpoint_is_damaged_publishes_none(
    book: Registry, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    tamper(book, "UPDATE checkpoints SET note = replace(note, '—', '-')")
    with pytest.raises(Contradiction, match="does not continue"):
        publish(book, site)
    with pytest.raises(BronzebookError):
        publish(book, tmp_path / "other")
    assert not (tmp_path / "other/checkpoint").exists()


@pytest.fixture
def client(book: Registry) -> FlaskClient:
    return create_app(book).test_client()


def test_what_is_served_as_status_says_what_is_published(
    book: Registry, number: str, client: FlaskClient, tmp_path: Path
) -> None:
    withdraw(book, number, "surrendered")
    publish(book, tmp_path / "site")
    served = client.get("/status")
    assert served.headers["Cache-Control"] == "no-cache"
    said = open_status(served.text, book.log_verifier())
    published = status_in(tmp_path / "site", book)
    assert (said.checkpoint, said.ended) == (published.checkpoint, published.ended)


def test_a_served_status_is_kept_for_an_hour_unless_the_book_grows(
    book: Registry, client: FlaskClient
) -> None:
    first = client.get("/status").data
    assert client.get("/status").data == first
    grow(book, 1)
    second = client.get("/status").data
    assert second != first
    book.clock.wind(hours=2)  # type: ignore[attr-defined]
    third = client.get("/status").data
    assert third != second
    book.clock.wind(hours=-5)  # type: ignore[attr-defined]
    assert client.get("/status").data != third


def test_a_server_without_the_log_key_has_no_status(book: Registry, client: FlaskClient) -> None:
    book.home.log_key.unlink()
    assert client.get("/status").status_code == 404
    assert client.get("/checkpoint").status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "000", "0", "0/000", "0/000.p/255", "0/000.p/0", "0/00", "0/001.p/1", "1/000", "1/000.p/1",
        "64/000", "0/x000/000.p/1", "0/000.p/1/", "0/../0/000.p/1", "entries/000",
    ],
)  # fmt: skip
def test_no_other_tile_is_there(client: FlaskClient, path: str) -> None:
    assert client.get(f"/tile/{path}").status_code == 404


def test_a_tile_narrower_than_the_tree_is_served_too(client: FlaskClient) -> None:
    answer = client.get("/tile/0/000.p/3")
    assert len(answer.data) == 96
    assert answer.mimetype == "application/octet-stream"
    assert "immutable" in answer.headers["Cache-Control"]
