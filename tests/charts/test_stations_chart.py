"""The chart of measured stations: what it shows, to the eye and to a screen reader."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from editions.charts.stations import Bar, Words, Zone, signed, stations_chart

SVG = "{http://www.w3.org/2000/svg}"
SAID = Words("Size", "6 stations", "One generation.", ("What it cannot see. " * 12,))
ZONES = (
    Zone("generation 0", -0.66, 0.66, fits=False),
    Zone("generation 1", -3.8, -1.2, fits=True),
    Zone("generation 2", -6.6, -3.2, fits=False),
    Zone("generation 3", -9.3, -5.3, fits=False),
)
BARS = (
    Bar("tail", -2.5, -3.3, -1.7),
    Bar("beak", -3.4, -4.0, -2.8),
    Bar("a station with a very long name indeed", 1.0, 0.4, 1.6, apart=True),
)
WHOLE = (Bar("all stations", -2.5, -2.9, -2.1), Bar("without", -2.6, -2.8, -2.4, apart=True))


def drawn(**said: object) -> ET.Element:
    given = {"bars": BARS, "wholes": WHOLE, "zones": ZONES, **said}
    return ET.fromstring(stations_chart(SAID, **given))  # type: ignore[arg-type]


def texts(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def test_every_station_stands_with_its_figure_and_one_apart_says_so() -> None:
    found = texts(drawn())
    assert "−2.50 %" in found
    assert "+1.00 % apart" in found
    assert "a station with a very l…" in found


def test_zones_say_in_words_whether_they_are_consistent() -> None:
    found = texts(drawn())
    assert found.count("consistent") == 1
    assert found.count("inconsistent") == 2
    # Generation 3 lies out of reach of everything measured.
    assert "generation 3" not in found


def test_a_zone_that_fits_is_shaded_and_the_others_are_outlines() -> None:
    classes = [rect.get("class") for rect in drawn().iter(f"{SVG}rect")]
    assert classes.count("band") == 1
    assert classes.count("faint") == 2


def test_labels_that_would_meet_stand_above_each_other() -> None:
    near = [Zone(f"generation {n}", -2.5 * n - 9, -2.5 * n + 9, fits=n < 2) for n in range(3)]
    root = drawn(bars=[Bar("tail", -2.5, -9.5, 9.5)], zones=near)
    labels = [t for t in root.iter(f"{SVG}text") if (t.text or "").startswith("generation")]
    assert len({t.get("y") for t in labels}) == 3
    assert float(root.get("height", 0)) > float(drawn(bars=BARS[:1]).get("height", 0))


def test_an_interval_beyond_the_scale_is_cut_off_and_shrinks_nothing() -> None:
    wide = drawn(wholes=[Bar("all stations", -2.5, -90.0, 90.0)])
    plain = drawn(wholes=[Bar("all stations", -2.5, -2.6, -2.4)])
    assert [c.get("cx") for c in wide.iter(f"{SVG}circle")] == [
        c.get("cx") for c in plain.iter(f"{SVG}circle")
    ]
    assert any(inner is not wide for inner in wide.iter(f"{SVG}svg"))


def test_notes_are_broken_into_lines_and_the_sheet_grows_with_them() -> None:
    long, short = (
        drawn(),
        ET.fromstring(stations_chart(SAID._replace(notes=()), BARS, WHOLE, ZONES)),
    )
    assert sum("cannot see" in text for text in texts(long)) >= 3
    assert float(long.get("height", 0)) > float(short.get("height", 0))


def test_everything_drawn_lies_on_the_sheet() -> None:
    root = drawn()
    width, height = float(root.get("width", 0)), float(root.get("height", 0))
    for name, across, down in (("circle", "cx", "cy"), ("text", "x", "y"), ("line", "x2", "y2")):
        for one in root.iter(f"{SVG}{name}"):
            assert 0 <= float(one.get(across, -1)) <= width
            assert 0 <= float(one.get(down, -1)) <= height


def test_thirty_stations_fit_closer_together() -> None:
    many = drawn(bars=[Bar(f"station {n}", -2.5, -3.0, -2.0) for n in range(30)])
    ys = sorted(float(c.get("cy", 0)) for c in many.iter(f"{SVG}circle"))
    assert min(b - a for a, b in pairwise(ys)) == 20


@pytest.mark.parametrize(("percent", "text"), [(-2.514, "−2.51"), (0.0, "+0.00"), (1.2, "+1.20")])
def test_a_percentage_has_a_sign_as_print_has_it(percent: float, text: str) -> None:
    assert signed(percent) == text
