"""Pages in French in a real browser: they fit, break no rule, check themselves, and are offered."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator

import pypdfium2
import pytest
from selenium.webdriver import Chrome

from editions.pages import sending
from editions.pages.render import RECORD_SCRIPTS, render_record
from editions.pages.tongues import Tongue, tongues
from editions.registry import Registry
from tests.pages import axe
from tests.pages.builders import Gallery
from tests.pages.checking import Place, Subject, contradicted, results, shown_at
from tests.pages.running import running
from tests.pages.test_accessibility import HARMS
from tests.pages.test_browser import DESK, NARROW, PHONE, complaints, overflow, script, visit
from tests.pages.test_self_check_forged import FORGED
from tests.pages.test_sending import STATIC
from tests.store.books import tamper

pytestmark = pytest.mark.browser

STATES = ("stands", "sections", "withdrawn", "reservation", "found")
PLACES = (
    "/", "/C/", "/nothing-here", "/run/R-0001/", "/work/K-0001/", "/artist/Y-0002/", "/foundry/",
    "/keys/", "/standing/", "/look/",
)  # fmt: skip


@pytest.fixture(scope="module")
def french() -> Tongue:
    (found,) = (one for one in tongues() if one.code == "fr")
    return found


@pytest.fixture(scope="module")
def site(shown: Gallery) -> Iterator[str]:
    with running(shown.shop.registry) as port:
        yield f"http://127.0.0.1:{port}"


@pytest.fixture
def spoken(subject: Subject, shown: Gallery, french: Tongue) -> Subject:
    page = render_record(shown.shop.registry, subject.number, tongue=french).decode()
    return subject._replace(page=page)


def without_fault(browser: Chrome, site: str, address: str) -> None:
    """A page in French, opened once: by axe, on two screens, by its console and its requests."""
    visit(browser, address, NARROW)
    assert script(browser, "return document.documentElement.lang") == "fr"
    assert overflow(browser) == []
    assert axe.faults(browser) == []
    assert [one for one in complaints(browser) if not re.search(r"\b(404|503) \(", one)] == []
    asked = script(browser, "return performance.getEntriesByType('resource').map(e => e.name)")
    assert all(name.startswith(site) for name in asked)
    width, height = DESK
    screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    assert overflow(browser) == []


@pytest.mark.parametrize("state", STATES)
def test_a_record_has_no_fault(browser: Chrome, site: str, shown: Gallery, state: str) -> None:
    without_fault(browser, site, f"{site}/fr/C/{shown.numbers[state]}")


@pytest.mark.parametrize("place", PLACES)
def test_every_other_page_has_no_fault(browser: Chrome, site: str, place: str) -> None:
    without_fault(browser, site, f"{site}/fr{place}")
    if place != "/nothing-here":
        inside = "[...document.querySelectorAll('main a[href^=\"/\"], .places a')]"
        led = script(browser, f"return {inside}.map((one) => one.getAttribute('href'))")
        assert all(re.match(r"/fr/|/photo/|/[^/]+$", one) for one in led), led


def test_what_must_be_seen_first_is_seen_first_on_a_phone(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    visit(browser, f"{site}/fr/C/{shown.numbers['stands']}", PHONE)
    for wanted in (".banner .word", "figure img", "h1", ".designation", ".cast", ".compare h2"):
        bottom = f"return document.querySelector('{wanted}').getBoundingClientRect().bottom"
        assert script(browser, bottom) <= PHONE[1], wanted


def test_without_scripts_all_is_there_and_the_other_language_is_a_link(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    path = f"/C/{shown.numbers['stands']}"
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        visit(browser, f"{site}/fr{path}", PHONE)
        assert browser.find_element("css selector", ".banner:not(.alarm) .word").is_displayed()
        assert not browser.find_element("css selector", ".offer").is_displayed()
        browser.find_element("css selector", ".tongues a").click()
        assert browser.current_url == f"{site}{path}"
    finally:
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})


@pytest.mark.parametrize("state", ["stands", "sections"])
def test_a_record_prints_on_one_sheet(
    browser: Chrome, site: str, shown: Gallery, state: str
) -> None:
    visit(browser, f"{site}/fr/C/{shown.numbers[state]}", DESK)
    made = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    sheet = pypdfium2.PdfDocument(base64.b64decode(made["data"]))
    assert len(sheet) == 1
    sheet.close()


@pytest.mark.parametrize(
    ("preferred", "path", "offered"),
    [
        ("fr", "", "fr"),
        ("fr-CA,en", "", "fr"),
        ("de,fr,en", "", "fr"),
        ("en,fr", "", None),
        ("de", "", None),
        ("en-US,fr", "/fr", "en"),
        ("fr,en", "/fr", None),
    ],
)
def test_a_page_is_offered_in_the_language_that_its_reader_prefers(
    browser: Chrome, site: str, shown: Gallery, preferred: str, path: str, offered: str | None
) -> None:
    """Nothing else happens: nobody is led elsewhere, and nothing is kept."""
    agent = {"userAgent": "a reader", "acceptLanguage": preferred}
    browser.execute_cdp_cmd("Emulation.setUserAgentOverride", agent)
    number = shown.numbers["found"]
    try:
        visit(browser, f"{site}{path}/C/{number}#MZXW6", PHONE)
        seen = [
            one for one in browser.find_elements("css selector", ".offer") if one.is_displayed()
        ]
        assert [one.get_attribute("lang") for one in seen] == ([offered] if offered else [])
        assert browser.current_url == f"{site}{path}/C/{number}#MZXW6"
        assert script(browser, "return document.cookie + localStorage.length") == "0"
        if offered:
            seen[0].find_element("tag name", "a").click()
            other = "/fr" if offered == "fr" else ""
            assert browser.current_url == f"{site}{other}/C/{number}#MZXW6"
    finally:
        browser.execute_cdp_cmd("Emulation.setUserAgentOverride", {"userAgent": ""})


@pytest.mark.parametrize(("place", "led"), [("/nothing-here", "/fr/404.html"), ("/C/", "/fr/C/")])
def test_a_page_for_no_record_is_offered_in_the_language_that_its_reader_prefers(
    browser: Chrome, site: str, place: str, led: str
) -> None:
    agent = {"userAgent": "a reader", "acceptLanguage": "fr"}
    browser.execute_cdp_cmd("Emulation.setUserAgentOverride", agent)
    try:
        visit(browser, site + place, PHONE)
        browser.find_element("css selector", ".offer a").click()
        assert browser.current_url == site + led
        assert script(browser, "return document.documentElement.lang") == "fr"
    finally:
        browser.execute_cdp_cmd("Emulation.setUserAgentOverride", {"userAgent": ""})


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (HARMS["contradicting"][0], "Cette notice se contredit"),
        (HARMS["damaged"][0], "Cette notice est illisible"),
    ],
    ids=["contradicting", "damaged"],
)
def test_a_page_that_warns_has_no_fault(
    browser: Chrome, book: Registry, number: str, harm: tuple[str, ...], said: str
) -> None:
    for statement in harm:
        tamper(book, statement)
    with running(book) as port:
        site = f"http://127.0.0.1:{port}"
        without_fault(browser, site, f"{site}/fr/C/{number}")
        word = browser.find_element("css selector", ".banner:not(.alarm) .word")
        assert word.text == said
        browser.find_element("css selector", ".tongues a").click()
        assert browser.current_url == f"{site}/C/{number}"


def test_the_page_for_a_book_that_does_not_answer_has_no_fault(
    browser: Chrome, book: Registry, number: str
) -> None:
    with running(book) as port:
        tamper(book, "DROP TABLE subjects")
        site = f"http://127.0.0.1:{port}"
        without_fault(browser, site, f"{site}/fr/C/{number}")
        assert "Le livre ne répond pas" in browser.title


def test_the_look_up_leads_to_pages_in_french(browser: Chrome, site: str) -> None:
    visit(browser, f"{site}/fr/look/", PHONE)
    browser.find_element("id", "typed-title").send_keys("heron\n")
    led = "return [...document.querySelectorAll('#found a')].map((one) => one.pathname)"
    for _ in range(100):
        if found := script(browser, led):
            break
    assert found
    assert all(one.startswith("/fr/") for one in found)
    browser.find_element("id", "typed-number").send_keys("7DD6 ZS4G DM6\n")
    assert "/fr/C/" in browser.current_url or browser.find_element("id", "number-says").text


def test_a_good_record_agrees_and_is_kept_in_french(
    browser: Chrome, place: Place, spoken: Subject, french: Tongue
) -> None:
    browser.get(shown_at(place, spoken, spoken.page))
    checks = results(browser)
    assert contradicted_in(french, checks) == set()
    assert french.gettext("Whose key it is") in checks
    agreed = french.gettext("agrees")
    assert {result for result, _ in checks.values()} == {agreed, french.gettext("not checked")}
    kept = script(browser, "return keptPage(known)")
    assert not re.search("<(a|link)[^>]* hreflang=", kept)
    assert '<html lang="fr">' in kept
    assert complaints(browser) == []


def contradicted_in(tongue: Tongue, checks: dict[str, tuple[str, str]]) -> set[str]:
    word = tongue.gettext("contradicts")
    renamed = {
        name: ("contradicts" if result == word else result, says)
        for name, (result, says) in checks.items()
    }
    return contradicted(renamed)


KEYS = [
    key
    for name in RECORD_SCRIPTS
    for _, key in sending.messages(STATIC.joinpath(name).read_text("utf-8"))
]


# What stands for a value in the English words of a forgery.
VALUED = {
    "Title: this page shows": "{fact}: this page shows",
    "Fingerprint: this page shows": "{fact}: this page shows",
    "not signed by the book’s key": "The checkpoint is not signed by the book’s key",
}


def said_for(tongue: Tongue, words: str) -> re.Pattern[str]:
    """The one message of the script that some of its English words are from, in a language."""
    words = words.partition(" “")[0]
    (key,) = {one for one in KEYS if VALUED.get(words, words) in one}
    return pattern(tongue.gettext(key))


def pattern(message: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"\\\{\w+\\\}", ".+", re.escape(message)))


def test_each_forgery_is_named_in_french_for_what_it_is(
    browser: Chrome, place: Place, spoken: Subject, french: Tongue
) -> None:
    for forgery, (forge, check, words) in FORGED.items():
        browser.get("about:blank")
        browser.get(shown_at(place, spoken, forge(spoken)))
        checks = results(browser)
        name = french.gettext(check)
        assert name in contradicted_in(french, checks), forgery
        assert said_for(french, words).search(checks[name][1]), (forgery, checks[name][1])
        assert browser.find_element("id", "alarm").is_displayed()
