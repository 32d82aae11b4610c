"""The forged set in a real browser, over HTTP and from a file: each is named as what it is."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Chrome

from certificates.claim import code_text
from editions.ledger.checkpoint import Checkpoint, sign_checkpoint
from editions.ledger.keys import PrivateKey
from editions.ledger.notes import VerifierKey
from editions.ledger.prooffile import ProofFile
from editions.pages.render import render_record
from tests.helpers.chance import Chance
from tests.pages.builders import Gallery, cast, opened
from tests.pages.checking import Place, Subject, contradicted, put, shown_at, visit

pytestmark = pytest.mark.browser


def flipped(coded: str, at: int) -> str:
    data = bytearray(base64.b64decode(coded))
    data[at] ^= 1
    return base64.b64encode(bytes(data)).decode()


def _hash_changed(data: dict[str, Any]) -> dict[str, Any]:
    proof = ProofFile.parse(data["proof"])
    hashes = (bytes(32), *proof.hashes[1:])
    return data | {"proof": str(ProofFile(proof.index, hashes, proof.checkpoint_note))}


def _signed_by_another(data: dict[str, Any]) -> dict[str, Any]:
    proof = ProofFile.parse(data["proof"])
    checkpoint = Checkpoint.parse(proof.checkpoint_note.partition("\n\n")[0] + "\n")
    note = sign_checkpoint(checkpoint, PrivateKey(bytes(range(32))))
    return data | {"proof": str(ProofFile(proof.index, proof.hashes, note))}


def _entry_changed(data: dict[str, Any]) -> dict[str, Any]:
    entry = data["entry"].replace("Heron, settling", "Heron, settled!")
    assert entry != data["entry"]
    return data | {"entry": entry}


Forge = Callable[[Subject], str]
FORGED: dict[str, tuple[Forge, str, str]] = {
    "the claim of another certificate": (
        lambda s: put(s.page, s.data | {"claim": s.other["claim"]}),
        "Claim",
        "The claim is that of certificate",
    ),
    "a flipped bit of the signature": (
        lambda s: put(s.page, s.data | {"claim": flipped(s.data["claim"], -1)}),
        "Signature of the foundry",
        "The signature does not hold",
    ),
    "an entry with another title": (
        lambda s: put(s.page, _entry_changed(s.data)),
        "Entry",
        "does not hash to the leaf",
    ),
    "another hash in the proof": (
        lambda s: put(s.page, _hash_changed(s.data)),
        "Inclusion",
        "does not lead to the place and root",
    ),
    "a checkpoint signed by another key": (
        lambda s: put(s.page, _signed_by_another(s.data)),
        "Checkpoint",
        "not signed by the book’s key",
    ),
    "another title on the page": (
        lambda s: s.page.replace("<h1><bdi>Heron, settling", "<h1><bdi>Heron, rising"),
        "Words of this page",
        "Title: this page shows “Heron, rising”",
    ),
    "another fingerprint on the page": (
        lambda s: re.sub(r'(<dd class="print"><code>)[0-9A-F]{4}', r"\g<1>0000", s.page),
        "Words of this page",
        "Fingerprint: this page shows",
    ),
    "the claim of another registry": (
        lambda s: put(s.page, s.data | {"claim": s.abroad["claim"]}),
        "Claim",
        "The claim is that of certificate",
    ),
    "the key of another foundry": (
        lambda s: put(s.page, s.data | {"foundry": str(_key_of("book.harrow-lane.example"))}),
        "Signature of the foundry",
        "names another key",
    ),
}


def _key_of(name: str) -> VerifierKey:
    return VerifierKey(name, PrivateKey(bytes(range(32))).public.raw)


@pytest.mark.parametrize("over", ["http", "file"])
@pytest.mark.parametrize("forgery", FORGED)
def test_each_forgery_is_named_for_what_it_is(
    browser: Chrome, place: Place, subject: Subject, tmp_path: Path, forgery: str, over: str
) -> None:
    forge, check, words = FORGED[forgery]
    page = forge(subject)
    assert page != subject.page
    address = shown_at(place, subject, page)
    if over == "file":
        kept = tmp_path / "kept.html"
        kept.write_text(page, encoding="utf-8")
        address = kept.as_uri()
    checks = visit(browser, address)
    assert check in contradicted(checks), checks
    assert words in checks[check][1]
    assert browser.find_element("id", "alarm").is_displayed()
    assert "Do not rely" in browser.find_element("css selector", ".sum").text


@pytest.fixture(scope="module")
def forger(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """A page and its number from a whole book that a forger made under the foundry's name."""
    shop = opened(tmp_path_factory.mktemp("forger") / "registry", random=Chance("a forger"))
    number = shop.certify(cast(shop))
    yield number, render_record(shop.registry, number).decode()
    shop.registry.close()


def test_a_page_signed_again_with_an_unknown_key_asks_for_the_fingerprint_and_is_told_by_the_site(
    browser: Chrome, place: Place, subject: Subject, forger: tuple[str, str], tmp_path: Path
) -> None:
    """From a file the fingerprint alone can tell; at the foundry's site its checkpoint does."""
    number, page = forger
    kept = tmp_path / "kept.html"
    kept.write_text(page, encoding="utf-8")
    checks = visit(browser, kept.as_uri())
    assert contradicted(checks) == set()
    assert "That proves only that the page agrees with itself" in summary(browser)
    assert fingerprint_in(checks) != fingerprint_in(genuine(browser, place, subject))
    place.files[f"/C/{number}"] = page.encode()
    checks = visit(browser, f"{place.address}/C/{number}")
    assert {"The book today", "Standing today"} <= contradicted(checks)
    assert "not signed by the book’s key" in checks["The book today"][1]


def genuine(browser: Chrome, place: Place, subject: Subject) -> dict[str, tuple[str, str]]:
    return visit(browser, shown_at(place, subject, subject.page))


def fingerprint_in(checks: dict[str, tuple[str, str]]) -> str:
    return "".join(re.findall(r"[0-9A-F]{4}", checks["Whose key it is"][1]))


def summary(browser: Chrome) -> str:
    return browser.find_element("css selector", ".sum").text


def test_an_old_page_of_a_withdrawn_paper_is_told_by_the_status_note(
    browser: Chrome, place: Place, subject: Subject, shown: Gallery
) -> None:
    """The page of a withdrawn paper, its banner put back to what it was before."""
    registry, number = shown.shop.registry, shown.numbers["withdrawn"]
    page = render_record(registry, number).decode()
    shown_at(place, subject, subject.page)
    place.files[f"/C/{number}"] = page.encode()
    honest = visit(browser, f"{place.address}/C/{number}")
    assert honest["Standing today"][0] == "agrees"
    old = page.replace('class="banner withdrawn"', 'class="banner stands"')
    assert old != page
    place.files[f"/C/{number}"] = old.encode()
    checks = visit(browser, f"{place.address}/C/{number}")
    assert contradicted(checks) == {"Standing today"}
    assert "This is an old page" in checks["Standing today"][1]
    assert "the paper stands no more: withdrawn, " in checks["Standing today"][1]
    assert browser.find_element("id", "alarm").is_displayed()


def test_an_old_status_note_beside_the_book_of_today_is_called_old(
    browser: Chrome, place: Place, subject: Subject
) -> None:
    address = shown_at(place, subject, subject.page)
    place.files["/status"] = subject.old_status
    result, says = visit(browser, address)["Standing today"]
    assert (result, "is old: it" in says) == ("not checked", True), says
    place.files["/status"] = subject.files["/checkpoint"]
    assert visit(browser, address)["Standing today"][0] == "contradicts"
    del place.files["/status"]
    result, says = visit(browser, address)["Standing today"]
    assert (result, "publishes no status note" in says) == ("not checked", True)


def test_a_code_of_the_genuine_paper_does_not_fit_a_forger_s_page(
    browser: Chrome, place: Place, subject: Subject, forger: tuple[str, str]
) -> None:
    number, page = forger
    text = code_text("https://book.example", number, base64.b64decode(subject.data["claim"]))
    place.files[f"/C/{number}"] = page.encode()
    checks = visit(browser, f"{place.address}/C/{number}#{text.partition('#')[2]}")
    assert {"Claim"} <= contradicted(checks)
