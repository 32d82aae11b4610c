"""A record page checks itself in a real browser: over HTTP and from a kept file."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from certificates.claim import code_text
from certificates.examining import verify
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.tiles import tile_bytes, tiles_for
from editions.ledger.tree import Frontier, leaf_hash
from tests.pages.builders import Gallery
from tests.pages.checking import (
    Place,
    Subject,
    carried,
    complaints,
    contradicted,
    put,
    results,
    shown_at,
    visit,
)

pytestmark = pytest.mark.browser


def test_a_good_record_agrees_and_asks_for_the_fingerprint(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    checks = visit(browser, shown_at(place, subject, subject.page))
    assert {name for name, (result, _) in checks.items() if result == "not checked"} == {
        "Whose key it is"
    }, checks
    assert contradicted(checks) == set()
    fingerprint = "".join(re.findall(r"[0-9A-F]{4}", checks["Whose key it is"][1]))
    assert fingerprint.lower() in browser.execute_script(
        "return document.querySelector('#proof .print').textContent.replaceAll(' ', '').toLowerCase()"  # noqa: E501
    )
    assert "now compare the fingerprint" in browser.find_element("css selector", ".sum").text
    assert not browser.find_element("id", "alarm").is_displayed()
    assert complaints(browser) == []
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(e => e.name)"
    )
    assert any(name.endswith("/checkpoint") for name in asked)
    assert all(name.startswith(place.address) for name in asked)


def test_the_scanned_code_is_checked_rather_than_what_the_page_carries(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    page = put(subject.page, subject.data | {"claim": ""})
    address = shown_at(place, subject, page)
    assert visit(browser, address)["Claim"][0] == "not checked"
    text = code_text(
        "https://book.example", subject.number, base64.b64decode(subject.data["claim"])
    )
    checks = visit(browser, f"{address}#{text.partition('#')[2]}")
    assert contradicted(checks) == set()
    assert "the code that was scanned" in checks["Claim"][1]
    other = code_text(
        "https://book.example", subject.number, base64.b64decode(subject.other["claim"])
    )
    assert "Claim" in contradicted(visit(browser, f"{address}#{other.partition('#')[2]}"))
    cut = text.partition("#")[2][:-9]
    assert "Claim" in contradicted(visit(browser, f"{address}#{cut}"))


@pytest.fixture
def kept(browser: Chrome, place: Place, subject: Subject, tmp_path: Path) -> Path:
    """The page as its button keeps it."""
    allow = {"behavior": "allow", "downloadPath": str(tmp_path)}
    browser.execute_cdp_cmd("Browser.setDownloadBehavior", allow)
    visit(browser, shown_at(place, subject, subject.page))
    browser.find_element("css selector", ".keep button").click()
    file = tmp_path / f"{subject.number}.html"
    WebDriverWait(browser, 20, 0.05).until(lambda _: file.exists() and file.stat().st_size)
    assert complaints(browser) == []
    return file


def test_a_kept_page_checks_itself_from_disk_without_a_network(
    browser: Chrome, kept: Path, subject: Subject
) -> None:
    checks = visit(browser, kept.as_uri())
    assert contradicted(checks) == set()
    passed = {name for name, (result, _) in checks.items() if result == "not checked"}
    assert passed == {"The book today", "Standing today", "Whose key it is"}
    assert complaints(browser) == []
    asked = browser.execute_script(
        "return performance.getEntriesByType('resource').map(e => e.name)"
    )
    assert all(name.startswith("data:") for name in asked)
    width = "return document.querySelector('figure img').naturalWidth"
    assert browser.execute_script(width) == 400
    assert browser.execute_script("return document.querySelectorAll('.keep').length") == 0
    text = kept.read_text("utf-8")
    assert "connect-src" not in text.split("<title>")[0]
    assert carried(text)["claim"] == subject.data["claim"]


def test_a_kept_page_is_verified_without_a_browser_too(kept: Path, subject: Subject) -> None:
    (verdict,) = verify(None, kept)
    assert (verdict.number, verdict.status, verdict.proved) == (subject.number, 5, True)
    assert (verdict.seen, verdict.contradicted) == ("record", ())


def test_a_kept_page_that_was_altered_contradicts(browser: Chrome, kept: Path) -> None:
    text = kept.read_text("utf-8")
    kept.write_text(text.replace("<bdi>Ilse Varga</bdi>", "<bdi>Ilse Verga</bdi>"), "utf-8")
    assert "Words of this page" in contradicted(visit(browser, kept.as_uri()))
    kept.write_text(
        text.replace("data:image/jpeg;base64,/9j/4AAQ", "data:image/jpeg;base64,/9j/4AAR")
    )
    assert "Photograph" in contradicted(visit(browser, kept.as_uri()))
    script = re.sub("refuse=", "refuse= ", text, count=1)
    kept.write_text(script, "utf-8")
    browser.get(kept.as_uri())
    assert not browser.find_element("id", "check").is_displayed()
    assert any("Content Security Policy" in line for line in complaints(browser))


def test_a_book_that_shrank_or_was_rewritten_is_found(
    browser: Chrome, place: Place, subject: Subject, shown: Gallery
) -> None:
    address = shown_at(place, subject, subject.page)
    key = shown.shop.registry.log_key()
    now = Checkpoint.parse(subject.files["/checkpoint"].decode().partition("\n\n")[0] + "\n")
    frontier, nodes = Frontier(0, ()).grown([leaf_hash(b"%d" % at) for at in range(now.size)])
    kept = {(node.level, node.index): node.hash for node in nodes}
    cases = [
        (3, bytes(32), {}, "has shrunk"),
        (now.size, bytes(32), {}, "is not that of today’s checkpoint"),
        (
            now.size,
            frontier.root(),
            {
                f"/{tile.path}": tile_bytes(tile, lambda places: [kept[one] for one in places])
                for tile in tiles_for(0, now.size)
            },
            "The book was rewritten",
        ),
    ]
    for size, root, tiles, says in cases:
        place.files.update(tiles)
        note = sign_checkpoint(Checkpoint(now.origin, size, root), key)
        place.files["/checkpoint"] = note.encode()
        result, words = visit(browser, address)["The book today"]
        assert (result, says in words) == ("contradicts", True), words


def test_without_tiles_or_a_checkpoint_it_says_that_it_did_not_bridge(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    address = shown_at(place, subject, subject.page)
    for path in [path for path in place.files if path.startswith("/tile/")]:
        del place.files[path]
    assert "does not publish the tree" in visit(browser, address)["The book today"][1]
    del place.files["/checkpoint"]
    result, words = visit(browser, address)["The book today"]
    assert (result, "publishes no checkpoint" in words) == ("not checked", True)


NO_CRYPTOGRAPHY = "Object.defineProperty(Crypto.prototype, 'subtle', {get: () => undefined})"
NO_ED25519 = (
    "SubtleCrypto.prototype.importKey = async () => "
    "{ throw new DOMException('', 'NotSupportedError'); }"
)


@pytest.mark.parametrize(
    ("lacking", "says"), [(NO_CRYPTOGRAPHY, ""), (NO_ED25519, "cannot check Ed25519")]
)
def test_a_browser_that_cannot_check_says_so_and_gives_the_command(
    browser: Chrome, place: Place, subject: Subject, lacking: str, says: str
) -> None:
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": lacking})
    try:
        browser.get(shown_at(place, subject, subject.page))
        if says:
            checks = results(browser)
            assert says in checks["Signature of the foundry"][1]
            assert contradicted(checks) == set()
            assert checks["Entry"][0] == "agrees"
        else:
            said = browser.find_element("css selector", ".sum").text
            assert "cannot check here" in said
        command = browser.find_element("css selector", "#check code").text
        assert command == f"bronzebook verify {subject.number}.pdf --key keys.txt"
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
