"""A number and a site: the record's page is checked by what it carries, as its own script does."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from certificates.issue import withdraw
from certificates.verify import verify_record
from editions.cli import bronzebook
from editions.errors import FileUnusable
from editions.pages.publish import publish
from editions.registry import Registry
from tests.certificates.asked import admit, pending
from tests.certificates.house import certify
from tests.pages.running import running

DATA = re.compile(rb'(<script type="application/json" id="carried">)(.*?)(</script>)', re.DOTALL)


@pytest.fixture
def number(book: Registry) -> str:
    book.clock = lambda: datetime.datetime.now(datetime.UTC)
    return certify(book).number


@pytest.fixture
def site(book: Registry, number: str, tmp_path: Path) -> Path:
    assert number
    publish(book, tmp_path / "site")
    return tmp_path / "site"


def asked(number: str, site: Path | str, *words: str) -> Result:
    line = ["verify", number, "--site", str(site), *words]
    return CliRunner(env={"BRONZEBOOK_REGISTRY": ""}).invoke(bronzebook, line)


def page_of(site: Path, number: str) -> Path:
    return site / "C" / number / "index.html"


def changed(page: Path, **fields: Any) -> None:
    """Put other values into what a page carries."""
    data = page.read_bytes()
    found = DATA.search(data)
    assert found is not None
    text = json.dumps(json.loads(found[2]) | fields).encode()
    page.write_bytes(DATA.sub(lambda one: one[1] + text + one[3], data))


def test_a_number_and_a_folder_give_a_verdict_without_a_registry(site: Path, number: str) -> None:
    own = asked(number, site)
    assert own.exit_code == 5, own.output
    assert own.stderr.startswith("The record agrees with itself, by the key that its site shows")
    given = asked(number, site, "--key", str(site / "keys.txt"))
    assert given.exit_code == 0, given.output
    assert "Everything agrees: this certificate stands" in given.stderr
    assert "Whoever knows a number can print it" in given.stderr


def test_a_running_site_answers_the_same(book: Registry, number: str) -> None:
    keys = str(book.home.public_keys)
    with running(book) as port:
        done = asked(f"{number[:4]} {number[4:]}", f"http://127.0.0.1:{port}", "--key", keys)
    assert done.exit_code == 0, done.output


def test_a_withdrawn_one_is_told_though_its_page_is_an_old_one(
    book: Registry, site: Path, number: str
) -> None:
    old = page_of(site, number).read_bytes()
    withdraw(book, number, "surrendered")
    publish(book, site)
    page_of(site, number).write_bytes(old)
    done = asked(number, site, "--key", str(site / "keys.txt"))
    assert done.exit_code == 3
    assert "but it does not stand: this certificate was withdrawn" in done.stderr


@pytest.mark.parametrize(
    ("fields", "status"),
    [
        ({"entry": "e30="}, 9),
        ({"proof": "none"}, 9),
        ({"log": "none"}, 9),
        ({"claim": 7}, 9),
        ({"foundry": "book.kilnlane.example+00000000+AAAA"}, 9),
    ],
    ids=str,
)
def test_a_page_that_does_not_carry_a_proof_is_refused(
    site: Path, number: str, fields: dict[str, Any], status: int
) -> None:
    changed(page_of(site, number), **fields)
    done = asked(number, site)
    assert done.exit_code == status, done.output
    assert "not the page of a record, or not whole" in done.stderr


def test_the_page_of_another_number_is_refused(book: Registry, site: Path, number: str) -> None:
    from editions.trade.numbers import make_number
    from tests.helpers.chance import Chance

    other = make_number(Chance("another number"))
    page_of(site, other).parent.mkdir()
    page_of(site, other).write_bytes(page_of(site, number).read_bytes())
    done = asked(other, site)
    assert done.exit_code == 9
    assert "carries another record" in done.stderr


def test_a_pending_number_is_pending_and_not_damaged(book: Registry, tmp_path: Path) -> None:
    admit(book)
    waiting = pending(book)
    publish(book, tmp_path / "published")
    done = asked(waiting, tmp_path / "published")
    assert done.exit_code == 4, done.output
    assert "Pending, by the word of its site" in done.stderr
    assert "damaged" not in done.stderr


def test_a_page_without_a_claim_that_is_not_pending_says_what_is_missing(
    site: Path, number: str
) -> None:
    changed(page_of(site, number), claim="")
    done = asked(number, site)
    assert done.exit_code == 4
    assert "carries no signed claim" in done.stderr
    assert "ending" not in done.stderr


def test_a_number_that_the_site_does_not_have_is_not_known(site: Path, number: str) -> None:
    page_of(site, number).unlink()
    done = asked(number, site)
    assert done.exit_code == 4
    assert "This site has no record of" in done.stderr


@pytest.mark.parametrize("page", [b"", b"<html>", b"\xff" * 100])
def test_what_is_no_page_is_refused(page: bytes) -> None:
    with pytest.raises(FileUnusable):
        verify_record(page, ())
