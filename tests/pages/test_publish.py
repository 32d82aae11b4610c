"""The record as files: the right ones, no more, the same as served, and durably written."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest

from certificates.keyfile import read_keys
from editions.errors import FileUnusable, MachineRefused
from editions.ledger.checkpoint import open_checkpoint
from editions.pages import render
from editions.pages.installing import Installer
from editions.pages.publish import Published, publish
from editions.registry import Registry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.parties import enter_party
from tests.pages.builders import HELD, Gallery, Shop, cast, opened
from tests.store.books import tamper


def grow(registry: Registry) -> None:
    """A mark more on the certified piece."""
    with registry.writing() as w:
        record_mark(w, "P-0001", "HLB", place="left foot", method="chased")


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


PLAIN = {"index.html", "404.html", "C/index.html", "photo/index.html", "icon.svg"}
PLAIN |= {"keys.txt", "rotations.txt", "revocations.txt", "checkpoint", "status"}
PLAIN |= {f"{name}/index.html" for name in ("foundry", "keys", "look", "standing")}
PLAIN |= {"look/index.json"}
IN_FRENCH = {f"fr/{name}" for name in PLAIN if name.endswith((".html", ".json"))}
PLAIN |= IN_FRENCH
LISTED = tuple(f"{root}{one}/" for root in ("", "fr/") for one in ("run", "work", "artist"))


def pages(folder: Path) -> set[str]:
    """Every file but the tiles, and but the pages of runs, works and artists."""
    return {name for name in files(folder) if not name.startswith(("tile/", *LISTED))}


def test_a_site_holds_a_page_for_each_certificate_and_nothing_else(
    shown: Gallery, tmp_path: Path
) -> None:
    done = publish(shown.shop.registry, tmp_path / "site")
    records = {f"C/{number}/index.html" for number in shown.numbers.values()}
    records |= {f"fr/{name}" for name in records}
    beside = ("credential.json", "certificate.tlog-proof", "record.json")
    records |= {f"C/{number}/{name}" for number in shown.numbers.values() for name in beside}
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
    # What tells how the certificates stand is alone dated anew.
    assert publish(book, tmp_path / "site").written <= 2
    del kept["status"]
    kept.pop("standing/index.html", None)
    assert {name: (tmp_path / "site" / name).stat().st_ino for name in kept} == kept


def test_the_checkpoint_is_put_in_place_last_and_the_keys_first(
    book: Registry, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    replace = os.replace

    def noted(draft: Path, place: Path) -> None:
        if Path(place).is_relative_to(tmp_path / "site"):
            order.append(str(Path(place).relative_to(tmp_path / "site")))
        replace(draft, place)

    monkeypatch.setattr(os, "replace", noted)
    publish(book, tmp_path / "site")
    assert order[:2] == ["keys.txt", "rotations.txt"]
    assert order[2].startswith("photo/")
    assert order[3].startswith("C/")
    assert order[-2:] == ["status", "checkpoint"]


def contents(site: Path) -> dict[str, bytes]:
    return {name: (site / name).read_bytes() for name in files(site)}


@pytest.mark.parametrize("call", ["write", "place"])
def test_a_run_stopped_anywhere_leaves_the_old_site_whole_and_can_be_run_again(
    book: Registry, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    book.clock.step = timedelta(0)  # type: ignore[attr-defined]  # so that all are dated alike
    old, whole = tmp_path / "old", tmp_path / "whole"
    publish(book, old)
    before = contents(old)
    grow(book)
    publish(book, whole)
    coming = {one: data for one, data in before.items() if one.startswith("tile/")}
    coming |= contents(whole)
    owner, name = (Installer, "draft") if call == "write" else (os, "replace")
    real = getattr(owner, name)
    for stop in count():
        site, left = tmp_path / f"site-{stop}", iter(range(stop))
        shutil.copytree(old, site)

        def failing(*given: object, left: Iterator[int] = left) -> object:
            if next(left, None) is None and "published" not in str(given[1]):
                raise OSError(errno.ENOSPC, "full")
            return real(*given)

        monkeypatch.setattr(owner, name, failing)
        with contextlib.suppress(MachineRefused, OSError):
            publish(book, site)
            break
        monkeypatch.setattr(owner, name, real)
        after = contents(site)
        assert after["checkpoint"] == before["checkpoint"]
        assert call != "write" or after == before
        assert all(data in (before.get(one), coming.get(one)) for one, data in after.items())
        publish(book, site)
        assert contents(site) == coming
    assert stop > 2


def test_a_run_that_is_killed_leaves_the_old_site_whole(book: Registry, tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(book, site)
    before = contents(site)
    grow(book)
    script = (
        "import os, signal, sys; from pathlib import Path\n"
        "from editions.pages.installing import Installer\n"
        "from editions.pages.publish import publish\n"
        "from editions.registry import open_registry\n"
        "def killed(*_): os.kill(os.getpid(), signal.SIGKILL)\n"
        "Installer.finish = killed\n"
        "publish(open_registry(Path(sys.argv[1])), Path(sys.argv[2]))\n"
    )
    words = [sys.executable, "-c", script, str(book.home.folder), str(site)]
    assert subprocess.run(words, check=False).returncode == -signal.SIGKILL
    left = {name for name in files(site) if name.startswith(".unfinished-")}
    assert left
    assert {one: data for one, data in contents(site).items() if one not in left} == before
    publish(book, site)
    assert not any(name.startswith(".unfinished-") for name in files(site))
    assert (site / "checkpoint").read_bytes() != before["checkpoint"]


def test_only_what_new_entries_touch_is_written(
    book: Registry, number: str, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    record = site / f"C/{number}/index.html"
    kept = record.stat().st_ino
    with book.writing() as w:
        enter_party(w, ["hand"], private_name="of no page")
    publish(book, site)
    assert record.stat().st_ino == kept
    with book.writing() as w:
        record_mark(w, "P-0001", "HLB", place="left foot", method="chased")
    publish(book, site)
    assert record.stat().st_ino != kept
    assert "left foot" in record.read_text()


def test_a_page_bears_the_day_its_content_was_last_made(
    book: Registry, number: str, tmp_path: Path
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    record = site / f"C/{number}/index.html"
    first = record.read_bytes()
    book.clock.wind(days=3)  # type: ignore[attr-defined]
    publish(book, site)
    assert record.read_bytes() == first
    record.write_text("altered")
    publish(book, site)
    assert record.read_bytes() == first
    record.unlink()
    publish(book, site)
    assert record.read_bytes() == first


def test_what_was_published_is_remembered_outside_of_the_site(
    book: Registry, number: str, tmp_path: Path
) -> None:
    publish(book, tmp_path / "site")
    (memory,) = (book.home.folder / "published").iterdir()
    assert number in memory.read_text()
    assert memory.stat().st_mode & 0o077 == 0
    memory.write_text("{")
    publish(book, tmp_path / "site")
    assert number in memory.read_text()


def test_another_way_of_making_pages_makes_all_of_them_anew(
    book: Registry, number: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = tmp_path / "site"
    publish(book, site)
    first = (site / f"C/{number}/index.html").read_bytes()
    book.clock.wind(days=3)  # type: ignore[attr-defined]
    monkeypatch.setattr("editions.pages.publish.makers", lambda: "another style")
    publish(book, site)
    assert (site / f"C/{number}/index.html").read_bytes() != first


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


def test_progress_counts_what_has_to_be_made(shown: Gallery, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    publish(shown.shop.registry, tmp_path / "site", progress=lambda a, b: told.append((a, b)))
    made = len(files(tmp_path / "site")) - 2  # the status note and the checkpoint come after
    assert told == [(done, made) for done in range(1, made + 1)]


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
