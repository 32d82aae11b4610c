"""The record as files: the right ones, no more, the same as served, and durably written."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from certificates.keyfile import read_keys
from editions.errors import FileUnusable, MachineRefused
from editions.ledger.checkpoint import open_checkpoint
from editions.pages import render
from editions.pages.publish import Published, publish
from editions.registry import Registry
from editions.store.files import write_durably, write_once
from tests.pages.builders import HELD, Gallery, Shop, cast, opened
from tests.store.books import tamper


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


WRITER = "editions.pages.publish.write_durably"
ONCE = "editions.pages.publish.write_once"
PLAIN = {"index.html", "404.html", "C/index.html", "photo/index.html", "icon.svg"}
PLAIN |= {"keys.txt", "rotations.txt", "checkpoint", "status"}


def pages(folder: Path) -> set[str]:
    """Every file but the tiles."""
    return {name for name in files(folder) if not name.startswith("tile/")}


def test_a_site_holds_a_page_for_each_certificate_and_nothing_else(
    shown: Gallery, tmp_path: Path
) -> None:
    done = publish(shown.shop.registry, tmp_path / "site")
    records = {f"C/{number}/index.html" for number in shown.numbers.values()}
    found = pages(tmp_path / "site")
    (photograph,) = found - records - PLAIN
    assert photograph.startswith("photo/")
    assert photograph.endswith(".jpg")
    assert found == records | PLAIN | {photograph}
    written = len(files(tmp_path / "site"))
    assert done == Published(folder=tmp_path / "site", records=8, written=written, removed=0)


def test_nothing_held_is_in_any_file(shown: Gallery, tmp_path: Path) -> None:
    publish(shown.shop.registry, tmp_path / "site")
    for name in files(tmp_path / "site"):
        assert HELD.encode() not in (tmp_path / "site" / name).read_bytes()


def test_no_file_but_a_record_names_a_certificate(shown: Gallery, tmp_path: Path) -> None:
    publish(shown.shop.registry, tmp_path / "site")
    for name in PLAIN:
        data = (tmp_path / "site" / name).read_text()
        assert not any(number in data.replace(" ", "") for number in shown.numbers.values())


def test_keys_and_checkpoint_are_those_a_checker_takes(shown: Gallery, tmp_path: Path) -> None:
    publish(shown.shop.registry, tmp_path / "site")
    keys = read_keys((tmp_path / "site/keys.txt").read_text())
    log = next(key for key in keys if key.use == "log")
    note = (tmp_path / "site/checkpoint").read_text()
    with shown.shop.registry.reading() as reading:
        assert open_checkpoint(note, log.verifier()).size == reading.size


def test_what_has_not_changed_is_not_written_again(book: Registry, tmp_path: Path) -> None:
    publish(book, tmp_path / "site")
    kept = {name: (tmp_path / "site" / name).stat().st_ino for name in files(tmp_path / "site")}
    # The status note alone is dated anew.
    assert publish(book, tmp_path / "site").written == 1
    del kept["status"]
    assert {name: (tmp_path / "site" / name).stat().st_ino for name in kept} == kept


def test_the_checkpoint_is_written_last_and_the_keys_first(
    book: Registry, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []

    def noted(path: Path, data: bytes) -> bool:
        order.append(str(path.relative_to(tmp_path / "site")))
        write_durably(path, data)
        return True

    monkeypatch.setattr(WRITER, noted)
    monkeypatch.setattr(ONCE, noted)
    publish(book, tmp_path / "site")
    assert order[:2] == ["keys.txt", "rotations.txt"]
    assert order[2].startswith("photo/")
    assert order[3].startswith("C/")
    assert [name.partition("/")[0] for name in order[-3:]] == ["tile", "status", "checkpoint"]


def test_a_run_stopped_halfway_can_be_run_again(
    book: Registry, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.clock.step = timedelta(0)  # type: ignore[attr-defined]  # so that all are dated alike
    whole = tmp_path / "whole"
    total = publish(book, whole).written
    for stop in range(total):
        left = stop

        def failing(path: Path, data: bytes) -> bool:
            nonlocal left
            if left == 0:
                raise MachineRefused("The disk is full.")
            left -= 1
            write_durably(path, data)
            return True

        site = tmp_path / f"site-{stop}"
        monkeypatch.setattr(WRITER, failing)
        monkeypatch.setattr(ONCE, failing)
        with pytest.raises(MachineRefused):
            publish(book, site)
        assert not (site / "checkpoint").exists()
        monkeypatch.setattr(WRITER, write_durably)
        monkeypatch.setattr(ONCE, write_once)
        publish(book, site)
        assert {name: (site / name).read_bytes() for name in files(site)} == {
            name: (whole / name).read_bytes() for name in files(whole)
        }


def test_records_and_photographs_that_do_not_belong_are_removed(
    book: Registry, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    (site / "C/0123456789A").mkdir()
    (site / "C/0123456789A/index.html").write_text("of another time")
    (site / f"photo/{'0' * 64}.jpg").write_bytes(b"of another time")
    done = publish(book, site)
    assert done.removed == 2
    assert not (site / "C/0123456789A").exists()
    assert not (site / f"photo/{'0' * 64}.jpg").exists()


def test_what_is_not_ours_in_the_folder_is_left(book: Registry, tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(book, site)
    mine = {"robots.txt": "mine", "C/notes/index.html": "mine", "C/0123456789A/photo.png": "mine"}
    for name, text in mine.items():
        (site / name).parent.mkdir(exist_ok=True)
        (site / name).write_text(text)
    (site / "C/0123456789A/index.html").write_text("of another time")
    assert publish(book, site).removed == 1
    assert {name: (site / name).read_text() for name in mine} == mine


@pytest.mark.parametrize("name", ["index.html", "thesis.odt", "C"])
def test_a_folder_that_holds_something_else_is_refused_and_left(
    book: Registry, tmp_path: Path, name: str
) -> None:
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / name).write_text("mine")
    with pytest.raises(FileUnusable, match="holds other things"):
        publish(book, tmp_path / "home")
    assert files(tmp_path / "home") == {name}


def test_the_site_of_another_book_is_refused(
    book: Registry, shown: Gallery, tmp_path: Path
) -> None:
    publish(shown.shop.registry, tmp_path / "site")
    (tmp_path / "site/keys.txt").write_text("log another\n")
    with pytest.raises(FileUnusable):
        publish(book, tmp_path / "site")


def test_a_folder_with_only_the_hosts_own_files_will_do(book: Registry, tmp_path: Path) -> None:
    for name in (".nojekyll", "CNAME"):
        (tmp_path / "site").mkdir(exist_ok=True)
        (tmp_path / "site" / name).write_text("")
    assert publish(book, tmp_path / "site").records == 1


def test_a_file_where_the_folder_should_be_is_refused(book: Registry, tmp_path: Path) -> None:
    (tmp_path / "site").write_text("a file")
    with pytest.raises(FileUnusable, match="is a file"):
        publish(book, tmp_path / "site")


def test_progress_counts_the_records(shown: Gallery, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    publish(shown.shop.registry, tmp_path / "site", progress=lambda a, b: told.append((a, b)))
    assert told == [(done, 8) for done in range(1, 9)]


def test_a_photograph_that_is_lost_is_left_out(book: Registry, tmp_path: Path) -> None:
    publish(book, tmp_path / "site")
    (photograph,) = (tmp_path / "site").glob("photo/*.jpg")
    (book.home.photographs / photograph.stem[:2] / photograph.stem).unlink()
    assert publish(book, tmp_path / "site").removed == 1
    assert not photograph.exists()


def test_a_site_of_a_book_without_certificates_is_whole(tmp_path: Path) -> None:
    shop = opened(tmp_path / "registry")
    assert publish(shop.registry, tmp_path / "site").records == 0
    assert pages(tmp_path / "site") == PLAIN


def test_a_tampered_book_is_published_with_its_contradictions(
    book: Registry, number: str, tmp_path: Path
) -> None:
    tamper(book, "UPDATE subjects SET state = '' WHERE code = 'BOOK' OR code = :n", n=number)
    tamper(book, "UPDATE entries SET bytes = x'7b7d' WHERE kind = 'certificate_issued'")
    publish(book, tmp_path / "site")
    page = (tmp_path / f"site/C/{number}/index.html").read_text()
    assert "This record cannot be read" in page


def test_publishing_is_the_same_on_every_database(store_url: str, tmp_path: Path) -> None:
    shop: Shop = opened(tmp_path / "registry", store_url)
    piece = cast(shop)
    shop.photograph(piece)
    number = shop.certify(piece)
    publish(shop.registry, tmp_path / "site")
    page = (tmp_path / f"site/C/{number}/index.html").read_bytes()
    assert page == render.render_record(shop.registry, number)
    assert page.count(b">agrees<") == 9
    shop.registry.close()
