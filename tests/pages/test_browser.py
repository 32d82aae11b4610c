"""Pages in a real browser: no violation of the policy, no request elsewhere, no overflow."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Chrome

from editions.pages.render import render_record
from editions.registry import Registry
from tests.pages import hostile
from tests.pages.builders import Gallery, Shop, cast, opened
from tests.pages.running import running
from tests.store.books import tamper

pytestmark = pytest.mark.browser

PHONE, DESK, NARROW = (360, 640), (1280, 900), (320, 568)
STATES = (
    "stands", "contested", "withdrawn", "replaced", "replacing", "sections", "found", "reservation",
)  # fmt: skip

OVERFLOWING = """
const wide = document.documentElement.clientWidth + 1;
return [...document.querySelectorAll('body *')].filter(e => !e.closest('.skip, svg'))
  .filter(e => { const r = e.getBoundingClientRect(); return r.right > wide || r.left < -1; })
  .map(e => e.tagName + '.' + e.className);
"""


@pytest.fixture(scope="module")
def site(shown: Gallery) -> Iterator[str]:
    with running(shown.shop.registry) as port:
        yield f"http://127.0.0.1:{port}"


def visit(browser: Chrome, address: str, size: tuple[int, int], **media: str) -> None:
    """Open an address on a screen of this size, whatever the window's least width."""
    width, height = size
    screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    features = [{"name": name.replace("_", "-"), "value": value} for name, value in media.items()]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
    browser.get(address)


def complaints(browser: Chrome) -> list[str]:
    """What the browser's console says: violations of the policy are among it."""
    log = browser.get_log("browser")  # type: ignore[no-untyped-call]
    return [str(entry["message"]) for entry in log]


def overflow(browser: Chrome) -> Any:
    width = browser.execute_script("return document.documentElement.scrollWidth")
    seen = browser.execute_script("return document.documentElement.clientWidth")
    assert width <= seen
    return browser.execute_script(OVERFLOWING)


def script(browser: Chrome, text: str) -> Any:
    return browser.execute_script(text)


@pytest.mark.parametrize("size", [NARROW, DESK], ids=["320", "1280"])
@pytest.mark.parametrize("state", STATES)
def test_each_state_fits_its_screen_and_breaks_no_rule(
    browser: Chrome, site: str, shown: Gallery, state: str, size: tuple[int, int]
) -> None:
    visit(browser, f"{site}/C/{shown.numbers[state]}", size)
    assert overflow(browser) == []
    assert complaints(browser) == []


@pytest.mark.parametrize("path", ["/", "/C/"])
@pytest.mark.parametrize("size", [NARROW, DESK], ids=["320", "1280"])
def test_the_plain_pages_fit_too(
    browser: Chrome, site: str, path: str, size: tuple[int, int]
) -> None:
    visit(browser, site + path, size)
    assert overflow(browser) == []
    assert complaints(browser) == []


def test_no_request_leaves_the_site(browser: Chrome, site: str, shown: Gallery) -> None:
    visit(browser, f"{site}/C/{shown.numbers['stands']}", PHONE)
    asked = script(browser, "return performance.getEntriesByType('resource').map(e => e.name)")
    assert any("/photo/" in address for address in asked)
    assert all(address.startswith(site) for address in asked)


def test_the_standing_and_the_object_are_seen_first_on_a_phone(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    visit(browser, f"{site}/C/{shown.numbers['stands']}", PHONE)
    for wanted in (".banner .word", "figure img", ".artist", "h1", ".designation", ".cast"):
        box = f"document.querySelector({json.dumps(wanted)}).getBoundingClientRect()"
        bottom = script(browser, f"return {box}.bottom")
        assert bottom <= 640, wanted
    assert script(browser, "return document.querySelector('figure img').naturalWidth") == 400


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("state", ["stands", "withdrawn", "replaced", "reservation"])
def test_words_stand_out_from_what_is_behind_them(
    browser: Chrome, site: str, shown: Gallery, state: str, scheme: str
) -> None:
    """At least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3)."""
    visit(browser, f"{site}/C/{shown.numbers[state]}", DESK, prefers_color_scheme=scheme)
    faint = script(browser, CONTRAST)
    assert faint == []


CONTRAST = """
const parse = c => c.match(/[\\d.]+/g).map(Number);
const lum = ([r, g, b]) => [r, g, b].map(v => v / 255)
  .map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4)
  .reduce((s, v, i) => s + v * [.2126, .7152, .0722][i], 0);
const behind = e => { for (; e; e = e.parentElement) {
  const c = parse(getComputedStyle(e).backgroundColor); if (c.length < 4 || c[3] > 0) return c; }
  return [255, 255, 255]; };
const walker = document.createTreeWalker(document.querySelector('body'), NodeFilter.SHOW_TEXT);
const faint = [];
while (walker.nextNode()) {
  const e = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim() || e.closest('.skip')) continue;
  const [a, b] = [lum(parse(getComputedStyle(e).color)), lum(behind(e))].sort((x, y) => y - x);
  if ((a + .05) / (b + .05) < 4.5) faint.push(e.className + ': ' + walker.currentNode.data.trim());
}
return faint;
"""


def test_the_keyboard_reaches_the_record_first_and_sees_where_it_is(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    visit(browser, f"{site}/C/{shown.numbers['stands']}", DESK)
    press = {"type": "keyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}
    browser.execute_cdp_cmd("Input.dispatchKeyEvent", press)
    assert script(browser, "return document.activeElement.className") == "skip"
    assert script(browser, "return document.activeElement.getBoundingClientRect().left >= 0")


def test_a_page_prints_on_white_with_nothing_cut_off(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    visit(browser, f"{site}/C/{shown.numbers['stands']}", (794, 1123))
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert script(browser, "return getComputedStyle(document.body).backgroundColor") == (
        "rgb(255, 255, 255)"
    )
    assert overflow(browser) == []
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


@pytest.fixture(scope="module")
def besieged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[str]]]:
    """A site whose records hold each hostile text, and their numbers."""
    shop: Shop = opened(tmp_path_factory.mktemp("besieged") / "registry", title=hostile.SCRIPT)
    numbers = []
    for place, bad in enumerate(hostile.ALL, 1):
        piece = cast(shop, f"{place}/8", said=bad)
        numbers.append(shop.certify(piece))
    with running(shop.registry) as port:
        yield f"http://127.0.0.1:{port}", numbers


@pytest.mark.parametrize("which", range(len(hostile.ALL)))
@pytest.mark.parametrize("size", [NARROW, DESK], ids=["320", "1280"])
def test_hostile_text_does_nothing_and_breaks_no_layout(
    browser: Chrome, besieged: tuple[str, list[str]], which: int, size: tuple[int, int]
) -> None:
    address, numbers = besieged
    visit(browser, f"{address}/C/{numbers[which]}", size)
    assert overflow(browser) == []
    assert complaints(browser) == []
    assert script(browser, "return document.scripts.length") == 4
    assert script(browser, "return document.querySelector('h1').textContent") == hostile.SCRIPT
    assert script(browser, "return getComputedStyle(document.body).display") == "block"


def test_a_page_kept_as_a_file_is_bound_by_the_same_policy(
    browser: Chrome, site: str, shown: Gallery, tmp_path: Path
) -> None:
    page = render_record(shown.shop.registry, shown.numbers["reservation"]).decode()
    kept = tmp_path / "page.html"
    kept.write_text(page.replace("</body>", "<script>document.title = 'taken'</script></body>"))
    browser.get(kept.as_uri())
    assert script(browser, "return document.title") != "taken"
    assert any("Content Security Policy" in line for line in complaints(browser))
    assert script(
        browser, "return getComputedStyle(document.querySelector('.banner:not([hidden])')).display"
    ) == ("grid")


def test_without_scripts_the_page_is_the_same_but_for_the_check_on_the_device(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    address = f"{site}/C/{shown.numbers['stands']}"
    visit(browser, address, DESK)
    section = "const own = document.getElementById('check'); own.hidden = true;"
    script(browser, f"return checked.then(() => {{ {section} }})")
    with_scripts = browser.find_element("tag name", "body").text
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    browser.get(address)
    without = browser.find_element("tag name", "body").text
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert without.split() == with_scripts.split()


def test_a_tampered_book_warns_at_the_very_top(
    browser: Chrome, book: Registry, number: str
) -> None:
    tamper(book, "UPDATE nodes SET hash = zeroblob(32)")
    with running(book) as port:
        visit(browser, f"http://127.0.0.1:{port}/C/{number}", PHONE)
        word = browser.find_element("css selector", ".banner.contradicts .word")
        assert word.text == "This record contradicts itself"
        assert word.location["y"] < 120
        assert overflow(browser) == []
