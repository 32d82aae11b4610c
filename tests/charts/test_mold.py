"""The plot of a section's wear."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from editions.charts.mold import WearLine, mold_plot

SVG = "{http://www.w3.org/2000/svg}"
TEARS = WearLine(
    title="M-0007 body",
    indicator="tears",
    unit="mm",
    threshold=5,
    readings=[(0, 0), (5, 0.5), (10, 1.2), (15, 1.6), (20, 2.3)],
    line=lambda pull: 0.114 * pull - 0.02,
    bound=lambda pull: 0.114 * pull + 0.3,
    pulls=20,
    retire_at=40,
)


def read(wear: WearLine) -> ET.Element:
    return ET.fromstring(mold_plot(wear))


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def test_the_plot_names_what_it_shows_and_where_to_retire() -> None:
    said = texts(read(TEARS))
    for words in ("M-0007 body: tears against pulls", "threshold, 5 mm", "now, 20 pulls"):
        assert words in said
    assert "retire at 40" in said


def test_a_screen_reader_is_told_every_reading() -> None:
    described = read(TEARS).findtext(f"{SVG}desc") or ""
    assert "0 at 0, 0.5 at 5, 1.2 at 10, 1.6 at 15, 2.3 at 20" in described
    assert "up to pull 40" in described


def test_there_is_a_dot_for_each_reading() -> None:
    assert len(list(read(TEARS).iter(f"{SVG}circle"))) == 5


def test_without_a_pull_to_retire_at_none_is_drawn() -> None:
    root = read(TEARS._replace(retire_at=None))
    assert not any("retire" in text for text in texts(root))
    assert "No pull to retire it at" in (root.findtext(f"{SVG}desc") or "")


@pytest.mark.parametrize("retire_at", [0, 41, 900, 100_000])
def test_readings_stay_in_sight_however_far_the_end_is(retire_at: int) -> None:
    root = read(TEARS._replace(retire_at=retire_at))
    places = [float(dot.get("cx", 0)) for dot in root.iter(f"{SVG}circle")]
    assert max(places) - min(places) > 100


def test_a_reading_above_the_threshold_is_within_the_axes() -> None:
    wear = TEARS._replace(readings=[(0, 0), (5, 4), (10, 9)], retire_at=10)
    heights = [float(dot.get("cy", 0)) for dot in read(wear).iter(f"{SVG}circle")]
    assert min(heights) > 84


def test_a_title_that_looks_like_markup_is_text() -> None:
    assert "<script" not in mold_plot(TEARS._replace(title="<script>"))
