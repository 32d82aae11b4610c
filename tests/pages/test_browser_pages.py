"""Pages beside the records in a real browser: they fit, break no rule, ask nothing elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from selenium.webdriver import Chrome

from tests.pages import hostile
from tests.pages.builders import Gallery, opened, picture
from tests.pages.running import running
from tests.pages.test_browser import DESK, NARROW, complaints, overflow, script, visit

pytestmark = pytest.mark.browser

PLACES = (
    "/run/R-0001/", "/run/R-0002/", "/work/K-0001/", "/artist/Y-0002/", "/foundry/", "/keys/",
    "/standing/", "/look/",
)  # fmt: skip
SIZES = pytest.mark.parametrize("size", [NARROW, DESK], ids=["320", "1280"])


@pytest.fixture(scope="module")
def site(shown: Gallery) -> Iterator[str]:
    with running(shown.shop.registry) as port:
        yield f"http://127.0.0.1:{port}"


@SIZES
@pytest.mark.parametrize("place", PLACES)
def test_each_page_fits_its_screen_and_breaks_no_rule(
    browser: Chrome, site: str, place: str, size: tuple[int, int]
) -> None:
    visit(browser, site + place, size)
    assert overflow(browser) == []
    assert complaints(browser) == []
    asked = script(browser, "return performance.getEntriesByType('resource').map(e => e.name)")
    assert all(address.startswith(site) for address in asked)


@pytest.mark.parametrize("place", PLACES)
def test_each_page_is_all_there_without_scripts(browser: Chrome, site: str, place: str) -> None:
    visit(browser, site + place, DESK)
    script(browser, "document.querySelectorAll('form').forEach((form) => form.remove())")
    with_scripts = browser.find_element("tag name", "body").text
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    browser.get(site + place)
    without = browser.find_element("tag name", "body").text
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert without.split() == with_scripts.split()


@pytest.mark.parametrize("place", PLACES)
def test_the_keyboard_reaches_every_link_in_the_order_it_is_read(
    browser: Chrome, site: str, place: str
) -> None:
    visit(browser, site + place, DESK)
    shown = "[...document.querySelectorAll('a, input, button')].filter(e => e.checkVisibility())"
    wanted = script(browser, f"return {shown}.map(e => e.outerHTML)")
    press = {"type": "keyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}
    reached = []
    for _ in wanted:
        browser.execute_cdp_cmd("Input.dispatchKeyEvent", press)
        reached.append(script(browser, "return document.activeElement.outerHTML"))
        assert script(browser, "return getComputedStyle(document.activeElement).outlineStyle") in (
            "solid",
            "auto",
        )
    assert reached == wanted


@pytest.fixture(scope="module", params=range(len(hostile.ALL)))
def besieged(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, str]]:
    """A site whose titles and names are each hostile text."""
    bad = hostile.ALL[request.param]
    shop = opened(tmp_path_factory.mktemp("besieged") / "registry", title=bad, artist=bad)
    shop.photograph("K-0001", picture())
    with running(shop.registry) as port:
        yield f"http://127.0.0.1:{port}", bad
    shop.registry.close()


@SIZES
def test_hostile_titles_and_names_do_nothing_and_break_no_layout(
    browser: Chrome, besieged: tuple[str, str], size: tuple[int, int]
) -> None:
    site, bad = besieged
    for place in ("/run/R-0001/", "/work/K-0001/", "/artist/Y-0002/", "/foundry/", "/look/"):
        visit(browser, site + place, size)
        assert overflow(browser) == [], place
        assert complaints(browser) == [], place
        links = "return [...document.querySelectorAll('h1, a')].map((one) => one.textContent)"
        assert bad in script(browser, links), place


@pytest.mark.parametrize("asked", ["/run/r-0001", "/run/r-0001/", "/Run/../run/r-0001/"])
def test_a_code_in_small_letters_is_led_to_its_address(
    browser: Chrome, site: str, asked: str
) -> None:
    visit(browser, site + asked, DESK)
    assert browser.current_url == f"{site}/run/R-0001/"
