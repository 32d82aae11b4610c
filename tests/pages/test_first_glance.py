"""What is seen without scrolling on a phone, and what comes out of a printer."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from selenium.webdriver import Chrome

from editions.registry.acts.runs import declare_run
from tests.pages import builders, hostile
from tests.pages.builders import Gallery, Shop, cast, opened
from tests.pages.running import running
from tests.pages.test_browser import DESK, PHONE, STATES, complaints, overflow, visit

pytestmark = pytest.mark.browser

SEEN = (
    "[aria-label=Standing] .word", "[aria-label=Standing] svg", "figure img", ".artist", "h1",
    ".designation", ".cast", ".compare .mark", ".compare dd:nth-of-type(3)",
)  # fmt: skip
MORE = ".drawn, .marks table, .figures, figcaption"


@pytest.fixture(scope="module")
def site(shown: Gallery) -> Iterator[str]:
    with running(shown.shop.registry) as port:
        yield f"http://127.0.0.1:{port}"


def bottom(browser: Chrome, wanted: str) -> float:
    box = f"document.querySelector({json.dumps(wanted)}).getBoundingClientRect()"
    return float(browser.execute_script(f"return {box}.bottom"))


@pytest.mark.parametrize("wanted", SEEN)
def test_standing_picture_name_number_year_and_marks_are_seen_without_scrolling(
    browser: Chrome, site: str, shown: Gallery, wanted: str
) -> None:
    """Even where the number is contested, which is said above them."""
    visit(browser, f"{site}/C/{shown.numbers['stands']}", PHONE)
    assert 0 < bottom(browser, wanted) <= 640


def sheets(browser: Chrome) -> int:
    made: dict[str, Any] = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    with pypdfium2.PdfDocument(base64.b64decode(made["data"])) as document:
        width, height = document[0].get_size()
        # ISO 216: A4 is 210 by 297 mm; a point is 1/72 in.
        assert (round(width / 72 * 25.4), round(height / 72 * 25.4)) == (210, 297)
        return len(document)


@pytest.mark.parametrize("state", STATES)
def test_each_state_prints_on_one_sheet_of_a4(
    browser: Chrome, site: str, shown: Gallery, state: str
) -> None:
    visit(browser, f"{site}/C/{shown.numbers[state]}", DESK)
    assert sheets(browser) == 1


def test_the_proof_stays_on_the_printed_sheet_and_what_needs_a_screen_does_not(
    browser: Chrome, site: str, shown: Gallery
) -> None:
    visit(browser, f"{site}/C/{shown.numbers['stands']}", (794, 1123))
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    text = browser.find_element("tag name", "body").text
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert "Key fingerprints" in text
    assert "Where it has been" in text
    for left_out in ("Checked on this device", "To take with you", "Look something up"):
        assert left_out not in text


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_drawings_take_the_colours_of_the_page(
    browser: Chrome, site: str, shown: Gallery, scheme: str
) -> None:
    """At least 3 to 1 for what is drawn (WCAG 2.2, success criterion 1.4.11)."""
    visit(browser, f"{site}/C/{shown.numbers['sections']}", DESK, prefers_color_scheme=scheme)
    for wanted in (".field.this", ".field.declared", ".allowed + .found", ".pulls .this"):
        assert browser.execute_script(RATIO, wanted) >= 3, wanted


RATIO = """
const parse = c => c.match(/[\\d.]+/g).map(Number);
const lum = c => parse(c).slice(0, 3).map(v => v / 255)
  .map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4)
  .reduce((s, v, i) => s + v * [.2126, .7152, .0722][i], 0);
const e = document.querySelector(arguments[0]), own = getComputedStyle(e);
const drawn = own.stroke === 'none' ? own.fill : own.stroke;
const [a, b] = [lum(drawn), lum(getComputedStyle(document.body).backgroundColor)].sort();
return (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
"""


@pytest.fixture(scope="module")
def besieged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[str]]]:
    """Records of runs whose scale, promise, colour and neighbours are hostile texts."""
    shop: Shop = opened(tmp_path_factory.mktemp("besieged") / "registry")
    numbers = [_declared(shop, bad) for bad in hostile.ALL]
    with running(shop.registry) as port:
        yield f"http://127.0.0.1:{port}", numbers


def _declared(shop: Shop, bad: str) -> str:
    code = ""

    def declare(w: Any) -> None:
        nonlocal code
        code = declare_run(
            w, "K-0001", size=60, publishes=["size", "pieces", "heats", "molds"],
            elsewhere=[f"60/60={bad[:60]}"], on="2026-03-02", alloy="C87300", scale=bad[:60],
            promise=bad, other_runs=bad,
        ).code  # fmt: skip

    shop.write(declare)
    return builders.reserved(shop, "59/60", run=code)


@pytest.mark.parametrize("which", range(len(hostile.ALL)))
def test_hostile_words_of_a_run_break_nothing(
    browser: Chrome, besieged: tuple[str, list[str]], which: int
) -> None:
    address, numbers = besieged
    visit(browser, f"{address}/C/{numbers[which]}", PHONE)
    assert overflow(browser) == []
    assert complaints(browser) == []
    assert browser.execute_script(f"return document.querySelectorAll('{MORE}').length") >= 2


def test_a_piece_that_is_nothing_but_hostile_prints_and_fits(
    browser: Chrome, tmp_path: Path
) -> None:
    shop = opened(tmp_path / "registry", title=hostile.SCRIPT)
    number = shop.certify(cast(shop, said=hostile.SCRIPT))
    with running(shop.registry) as port:
        visit(browser, f"http://127.0.0.1:{port}/C/{number}", DESK)
        assert sheets(browser) == 1
        assert overflow(browser) == []
