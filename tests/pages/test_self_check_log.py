"""A page whose paper was issued under an older log key checks today's book in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from selenium.webdriver import Chrome

from certificates.countersign import countersign, countersign_text
from editions.ledger.keys import PrivateKey, public_text
from editions.pages.publish import publish
from editions.registry import Registry
from editions.registry.rotating_log import prepare_log_rotation, rotate_log_key
from tests.pages.builders import PASSPHRASE
from tests.pages.checking import Place, complaints, contradicted, visit
from tests.pages.running import running

pytestmark = pytest.mark.browser

TODAY = {"The book today", "Standing today"}
STRANGER = PrivateKey(b"\x0c" * 32)


def change(book: Registry, because: str) -> None:
    if because == "lost":
        book.home.log_key.unlink()
    prepare_log_rotation(book)
    rotate_log_key(book, because=because, passphrase=PASSPHRASE)


@pytest.mark.parametrize("because", [["rotated"], ["lost"], ["rotated", "compromised", "rotated"]])
def test_a_page_follows_the_log_key_to_the_one_of_today(
    browser: Chrome, book: Registry, number: str, because: list[str]
) -> None:
    for why in because:
        change(book, why)
    with running(book) as port:
        checks = visit(browser, f"http://127.0.0.1:{port}/C/{number}")
        assert complaints(browser) == []
    assert contradicted(checks) == set(), checks
    assert {checks[name][0] for name in TODAY} == {"agrees"}, checks


@pytest.fixture
def rotated(book: Registry, place: Place, tmp_path: Path) -> Place:
    """A site of files whose log key was changed since its one paper."""
    change(book, "rotated")
    publish(book, tmp_path / "site")
    for path in (tmp_path / "site").rglob("*"):
        if path.is_file():
            name = path.relative_to(tmp_path / "site").as_posix()
            place.files[f"/{name.removesuffix('/index.html')}"] = path.read_bytes()
    return place


def vouched(book: Registry, by: PrivateKey, key: PrivateKey, use: str = "log") -> bytes:
    """A new key of the log, countersigned by whoever it is."""
    with book.reading() as reading:
        origin = reading.book.origin
    text = countersign_text(origin, "Y-0001", use, public_text(origin, key.public.raw))
    return str(countersign(text, by)).encode()


def test_a_good_site_of_files_agrees(browser: Chrome, rotated: Place, number: str) -> None:
    checks = visit(browser, f"{rotated.address}/C/{number}")
    assert {checks[name][0] for name in TODAY} == {"agrees"}, checks


def test_a_new_key_that_nobody_vouched_for_is_not_followed(
    browser: Chrome, book: Registry, rotated: Place, number: str
) -> None:
    good = rotated.files["/rotations.txt"]
    new = book.log_key()
    forged = [
        vouched(book, STRANGER, new),
        vouched(book, STRANGER, STRANGER) + vouched(book, STRANGER, new),
        vouched(book, new, new),
        good.replace(b"use log", b"use foundry"),
        good.replace(b"party Y-0001", b"party Y-0002"),
        b"",
        b"nothing",
    ]
    for data in forged:
        rotated.files["/rotations.txt"] = data
        checks = visit(browser, f"{rotated.address}/C/{number}")
        assert contradicted(checks) >= TODAY, data
        assert "is not signed by the book’s key" in checks["The book today"][1]
    rotated.files["/rotations.txt"] = forged[0] + good
    assert contradicted(visit(browser, f"{rotated.address}/C/{number}")) == set()
