"""Charts as a browser draws them: no word over another, nothing off the sheet, light and dark."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver import Chrome

from editions.charts.stations import Bar, Words, Zone, stations_chart
from tests.charts.test_plot import a_plot

pytestmark = pytest.mark.browser

SAID = Words(
    "Size of P-0002 (T-0102) against P-0001 (T-0101)",
    "6 stations: −2.51 % (−2.89 to −2.13 %, 95 in 100)",
    "One generation.",
    ("Finding: consistent with generation 1.", "Size does not tell who cast it."),
)
ZONES = [
    Zone(f"generation {n}", -2.5 * n - 0.66 - 0.6 * n, -2.5 * n + 0.66 + 0.6 * n, fits=n == 1)
    for n in range(5)
]
BARS = [Bar(f"station number {n}", -2.5, -4.1, -0.9, apart=n == 2) for n in range(6)]
WHOLES = [Bar("all stations", -2.5, -2.9, -2.1), Bar("without those apart", -2.6, -2.9, -2.3)]


def _stations() -> str:
    return stations_chart(SAID, BARS, WHOLES, ZONES)


def _crowded() -> str:
    near = [zone._replace(low=zone.low - 9, high=zone.high + 9, fits=True) for zone in ZONES]
    return stations_chart(SAID, [Bar("tail", -2.5, -15, 15)], WHOLES[:1], near)


CHARTS = [_stations, _crowded, lambda: a_plot().svg()]

BOXES = """
const boxes = [...document.querySelectorAll('text')].map(t => [t.textContent,
  ...['left', 'top', 'right', 'bottom'].map(side => t.getBoundingClientRect()[side])]);
return boxes;
"""
GROUND = "return getComputedStyle(document.querySelector('.ground')).fill"


def _show(browser: Chrome, place: Path, svg: str) -> None:
    place.write_text(svg)
    browser.get(place.as_uri())


@pytest.mark.parametrize("draw", CHARTS)
def test_no_word_lies_over_another_and_all_lie_on_the_sheet(
    browser: Chrome, tmp_path: Path, draw: Callable[[], str]
) -> None:
    _show(browser, tmp_path / "chart.svg", draw())
    boxes = browser.execute_script(BOXES)
    assert len(boxes) > 10
    for at, (text, left, top, right, bottom) in enumerate(boxes):
        assert left >= 0, text
        assert right <= 720, text
        for other, x0, y0, x1, y1 in boxes[at + 1 :]:
            apart = right <= x0 or x1 <= left or bottom <= y0 + 3 or y1 <= top + 3
            assert apart, f"{text} lies over {other}"


@pytest.mark.parametrize("draw", CHARTS)
def test_a_dark_system_has_a_dark_sheet_and_paper_a_white_one(
    browser: Chrome, tmp_path: Path, draw: Callable[[], str]
) -> None:
    _show(browser, tmp_path / "chart.svg", draw())
    seen = []
    for media, scheme in (("screen", "light"), ("screen", "dark"), ("print", "dark")):
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        browser.execute_cdp_cmd(
            "Emulation.setEmulatedMedia", {"media": media, "features": features}
        )
        seen.append(browser.execute_script(GROUND))
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
    assert seen == ["rgb(253, 250, 243)", "rgb(23, 18, 13)", "rgb(255, 255, 255)"]
