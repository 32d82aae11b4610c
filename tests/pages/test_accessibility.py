"""Every page kind and state by axe-core: no WCAG 2.2 AA fault, phone and desk, light and dark."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from editions.registry import Registry
from tests.pages import axe
from tests.pages.builders import Gallery
from tests.pages.running import running
from tests.store.books import tamper

pytestmark = pytest.mark.browser

PHONE, DESK = (360, 640), (1280, 900)
STATES = (
    "stands", "contested", "withdrawn", "replaced", "replacing", "sections", "found", "reservation",
)  # fmt: skip
PLACES = (
    "/", "/C/", "/nothing-here", "/run/R-0001/", "/run/R-0002/", "/work/K-0001/", "/artist/Y-0002/",
    "/foundry/", "/keys/", "/standing/", "/look/",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(shown: Gallery) -> Iterator[str]:
    with running(shown.shop.registry) as port:
        yield f"http://127.0.0.1:{port}"


# What is done to the book, and what its record then says.
HARMS = {
    "contradicting": (("UPDATE nodes SET hash = zeroblob(32)",), "This record contradicts itself"),
    "of entries that are gone": (("UPDATE entries SET bytes = x'00'",), "contradicts itself"),
    "damaged": (
        (
            "UPDATE subjects SET state = '' WHERE length(code) = 11",
            "UPDATE entries SET bytes = x'7b7d' WHERE kind = 'certificate_issued'",
        ),
        "This record cannot be read",
    ),
}


def judged(browser: Chrome, address: str, size: tuple[int, int]) -> list[str]:
    """What axe finds on a screen of this size, in light and in dark."""
    width, height = size
    screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    browser.get(address)
    found = []
    for scheme in ("light", "dark"):
        feature = {"name": "prefers-color-scheme", "value": scheme}
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [feature]})
        found += [f"{scheme}: {fault}" for fault in axe.faults(browser)]
    return found


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("state", STATES)
def test_a_record_in_each_state_has_no_fault(
    browser: Chrome, site: str, shown: Gallery, state: str, size: tuple[int, int]
) -> None:
    assert judged(browser, f"{site}/C/{shown.numbers[state]}", size) == []


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("place", PLACES)
def test_every_other_page_has_no_fault(
    browser: Chrome, site: str, place: str, size: tuple[int, int]
) -> None:
    assert judged(browser, site + place, size) == []


@pytest.mark.parametrize(("harm", "said"), HARMS.values(), ids=HARMS)
def test_a_page_that_warns_has_no_fault(
    browser: Chrome, book: Registry, number: str, harm: tuple[str, ...], said: str
) -> None:
    for statement in harm:
        tamper(book, statement)
    with running(book) as port:
        assert judged(browser, f"http://127.0.0.1:{port}/C/{number}", PHONE) == []
        assert said in browser.find_element("tag name", "main").text


def test_the_look_up_has_no_fault_when_it_answers(browser: Chrome, site: str) -> None:
    browser.get(f"{site}/look/")
    browser.find_element("id", "typed-number").send_keys("0123 4567 89B\n")
    browser.find_element("id", "typed-title").send_keys("heron\n")
    WebDriverWait(browser, 10, 0.05).until(
        lambda one: one.find_elements("css selector", "#found li")
    )
    assert axe.faults(browser) == []


def test_the_judge_does_find_faults(browser: Chrome, site: str) -> None:
    """Pale words, a picture without words, a field without a label, a target too small to hit."""
    browser.get(f"{site}/look/")
    browser.execute_script(
        "const add = (tag, more) => Object.assign(document.body.appendChild("
        "document.createElement(tag)), more);"
        "add('p', {textContent: 'pale'}).style.cssText = 'color: #777; background: #888';"
        "add('img', {src: '/icon.svg'}); add('input', {});"
        "const row = add('p', {}); for (let at = 0; at < 3; at++) { const one = row.appendChild("
        "document.createElement('button')); one.style.cssText = 'all: unset; display: block;"
        " width: 9px; height: 9px'; one.ariaLabel = 'x'; }"
    )
    found = {fault.partition(":")[0] for fault in axe.faults(browser)}
    assert {"color-contrast", "image-alt", "label", "target-size"} <= found
