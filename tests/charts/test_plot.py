"""The plotting core: places, ticks, and SVG for the eye, for paper and for a screen reader."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.charts import drawing
from editions.charts.plot import Axis, Plot
from editions.charts.scales import Scale, around, ticks

SVG = "{http://www.w3.org/2000/svg}"


def a_plot(title: str = "Tear of the mold by pulls", described: str = "A line rises.") -> Plot:
    plot = Plot(title, described, x=Axis(0, 60, "pulls"), y=Axis(0, 6, "tear, mm"), subtitle="body")
    plot.band([(0, -1), (60, 5)], [(0, 1), (60, 7)])
    plot.line([(0, 0), (60, Fraction(17, 3))], "fit")
    plot.across(5, "threshold, 5 mm")
    plot.upright(40, "retire at 40")
    plot.dots([(0, 0), (10, Decimal("1.2"))])
    plot.dots([(20, 2.3)], hollow=True)
    return plot


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def test_a_chart_is_well_formed_and_named_for_a_screen_reader() -> None:
    root = read(a_plot().svg())
    title, described = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert title is not None
    assert described is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {described.get('id')}"
    assert (title.text, described.text) == ("Tear of the mold by pulls", "A line rises.")


def test_two_charts_in_one_page_share_no_id() -> None:
    def ids(svg: str) -> set[str]:
        return set(re.findall(r'id="([^"]+)"', svg))

    assert not ids(a_plot().svg()) & ids(a_plot(described="Another line rises.").svg())


def test_the_same_numbers_give_the_same_bytes_and_no_colour_stands_outside_the_palettes() -> None:
    svg = a_plot().svg()
    assert svg == a_plot().svg()
    body = svg.partition("</style>")[2]
    assert not re.search(r"#[0-9a-f]{3,6}|style=|fill=|stroke=", body)


def test_there_is_a_dark_palette_and_paper_is_printed_light() -> None:
    style = a_plot().svg().partition("<style>")[2]
    dark = style.partition("prefers-color-scheme:dark")[2].partition("@media print")
    assert "--paper:#17120d" in dark[0]
    assert "--paper:#fff" in dark[2]
    for name in re.findall(r"var\((--[a-z]+)\)", style):
        assert style.count(f"{name}:#") >= 3, name


def _luminance(colour: str) -> float:
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


# WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
@pytest.mark.parametrize("palette", [drawing._LIGHT, drawing._DARK])
def test_text_stands_out_from_its_ground(palette: str) -> None:
    colours = dict(part.split(":") for part in palette.split(";"))
    ground = _luminance(colours["--paper"])
    for name in ("--ink", "--soft", "--bronze", "--alert"):
        pair = sorted((ground, _luminance(colours[name])))
        assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 4.5, name


def test_words_that_look_like_markup_are_words() -> None:
    svg = Plot("<script>", '"&\x07', x=Axis(0, 1, "<b>"), y=Axis(0, 1, "]]>")).svg()
    root = read(svg)
    assert root.find(f"{SVG}title").text == "<script>"  # type: ignore[union-attr]
    assert root.find(f"{SVG}desc").text == '"&\ufffd'  # type: ignore[union-attr]
    assert "<script" not in svg


def test_marks_lie_where_the_axes_say_and_a_band_is_cut_off_at_them() -> None:
    plot = a_plot()
    root = read(plot.svg())
    dots = [(float(c.get("cx", 0)), float(c.get("cy", 0))) for c in root.iter(f"{SVG}circle")]
    assert dots[0] == (plot.x.start, plot.y.start)
    assert dots[2] == pytest.approx(
        (64 + 20 / 60 * (720 - 24 - 64), (440 - 54) - 2.3 / 6 * (440 - 54 - 84)), abs=0.01
    )
    band = next(s for s in root.iter(f"{SVG}svg") if s is not root)
    assert band.get("viewBox") == f"64 84 {720 - 24 - 64} {440 - 54 - 84}"


def test_a_label_near_the_right_end_stands_to_the_left_of_its_line() -> None:
    plot = Plot("t", "d", x=Axis(0, 10, "x"), y=Axis(0, 1, "y"))
    plot.upright(1, "early")
    plot.upright(9, "late", row=1)
    anchors = {t.text: t.get("text-anchor") for t in read(plot.svg()).iter(f"{SVG}text")}
    assert (anchors["early"], anchors["late"]) == ("start", "end")


@pytest.mark.parametrize(
    ("low", "high", "marks"),
    [
        (0, 60, ["0", "10", "20", "30", "40", "50", "60"]),
        (0, 0.42, ["0.0", "0.1", "0.2", "0.3", "0.4"]),
        (-8, 2, ["-8", "-6", "-4", "-2", "0", "2"]),
        (0, 70, ["0", "10", "20", "30", "40", "50", "60", "70"]),
        (950, 1250, ["950", "1000", "1050", "1100", "1150", "1200", "1250"]),
        (3, 3, ["3"]),
    ],
)
def test_ticks_are_round_figures(low: float, high: float, marks: list[str]) -> None:
    assert [str(tick) for tick in ticks(low, high)] == marks


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_ticks_are_few_lie_between_the_ends_and_are_written_plainly(
    low: float, span: float
) -> None:
    marks = ticks(low, low + span)
    assert len(marks) <= 8
    slack = span * 1e-6 + abs(low) * 1e-8
    assert all(low - slack <= float(mark) <= low + span + slack for mark in marks)
    assert not any("E" in str(mark) for mark in marks if abs(mark) >= Decimal("0.001"))


def test_figures_that_are_all_alike_still_have_room() -> None:
    assert around([5.0, 5.0])[0] < 5 < around([5.0])[1]
    assert around([0.0]) == (-1.0, 1.0)
    assert Scale(2, 2, 0, 100)(2) == 0
    assert Scale(0, 1, 0, 1).holds(1)
    assert not Scale(0, 1, 0, 1).holds(Decimal("1.01"))


@pytest.mark.parametrize(
    ("figure", "text"),
    [(0, "0"), (-0.001, "0"), (Fraction(1, 3), "0.33"), (100, "100"), (1e15, "1000000000000000")],
)
def test_coordinates_have_two_decimals_at_most(figure: drawing.Number, text: str) -> None:
    assert drawing.number(figure) == text
