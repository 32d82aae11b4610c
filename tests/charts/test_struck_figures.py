"""Runs as struck figures, and small bars: what is drawn, how much of it, and how light it is."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.charts.bars import WIDTH, Pulled, limit_bar, pull_bar
from editions.charts.glyphs import stroked, width
from editions.charts.punches import SHEET, Row, Stretch, punches


def paths(svg: str, name: str) -> list[str]:
    return [
        one.get("d", "")
        for one in ET.fromstring(svg).iter("path")
        if name in (one.get("class") or "").split()
    ]


def row(*stretches: Stretch, label: str = "", figures: list[str] | str = "arabic") -> Row:
    return Row(label, stretches, figures)


EIGHT = row(Stretch("declared", 1, 2), Stretch("this", 3, 3), Stretch("declared", 4, 8))


def test_each_designation_is_one_field_and_its_own_is_ringed_and_cut_out() -> None:
    svg = punches([EIGHT], "the run")
    assert [d.count("M") for d in paths(svg, "field")] == [7, 1]
    assert len(paths(svg, "ring")) == 1
    assert paths(svg, "cut")[0].startswith("M")
    assert paths(svg, "this")[0].count("M") == 1


def test_a_reserved_number_is_ringed_and_stays_open() -> None:
    svg = punches([row(Stretch("awaited", 1, 1))], "the run")
    assert len(paths(svg, "ring")) == 1
    assert paths(svg, "cut") == []
    assert len(paths(svg, "figure")) == 1


def test_shapes_differ_without_their_colour() -> None:
    """WCAG 2.2, success criterion 1.4.1: filled, open, ringed; the page dashes the last."""
    known, outside = Stretch("known", 1, 1), Stretch("outside", 2, 2)
    svg = punches([row(known, outside, Stretch("declared", 3, 3))], "the run")
    assert len(paths(svg, "cut")) == 1
    assert len(paths(svg, "figure")) == 2
    assert len(paths(svg, "outside")) == 1


def test_the_drawing_is_named_for_a_screen_reader_and_carries_no_style() -> None:
    root = ET.fromstring(punches([EIGHT], 'a "run" & <more>'))
    assert (root.get("role"), root.get("aria-label")) == ("img", 'a "run" & <more>')
    assert all(one.get("style") is None for one in root.iter())
    assert root.find("style") is None


def test_wide_figures_make_wide_fields_that_stay_within_the_sheet() -> None:
    roman = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII"]
    svg = punches([row(Stretch("declared", 1, 8), figures=roman)], "the run")
    (fields,) = paths(svg, "field")
    wide = float(re.findall(r"h([0-9.]+)", fields)[0])
    assert wide >= width("VIII")
    starts = [float(x) for x in re.findall(r"M([0-9.]+)", fields)]
    assert max(starts) + wide <= SHEET


@pytest.mark.parametrize("size", [49, 200, 999])
def test_a_long_run_is_dots_one_each_and_light(size: int) -> None:
    at = size // 2
    before, after = Stretch("declared", 1, at - 1), Stretch("declared", at + 1, size)
    svg = punches([row(before, Stretch("this", at, at), after)], "the run")
    assert len(svg) < 1_500
    # A stretch of n dots is a line of n - 1 steps of 7, and a little.
    reach = [float(x) for d in paths(svg, "dots") for x in re.findall(r"h([0-9.]+)", d)]
    assert sum(round((x - 0.1) / 7) + 1 for x in reach) == size


def test_a_run_of_more_than_can_be_seen_is_not_drawn() -> None:
    assert punches([row(Stretch("declared", 1, 5_000))], "the run") == ""
    assert punches([], "the run") == ""


@given(st.text(max_size=12))
def test_any_figure_makes_a_path_or_nothing(figure: str) -> None:
    assert re.fullmatch(r"[-0-9. MmLlHhVvCcSsz]*", stroked(figure, 3, 4.5))
    assert width(figure) >= 0


@pytest.mark.parametrize("figure", [*map(str, range(10)), *"ABCDEFGHIJKLMNOPQRST", "VIII", "XCIX"])
def test_every_figure_a_designation_can_have_is_in_the_punch_set(figure: str) -> None:
    assert stroked(figure, 0, 0).count("M") == len(figure)


def test_a_figure_within_its_limits_stands_in_the_allowed_stretch() -> None:
    svg = limit_bar(3.5, 5.0, [4.26])
    start, end = map(float, re.findall(r"M([0-9.]+) 7H([0-9.]+)", paths(svg, "allowed")[0])[0])
    at = float(re.findall(r"M([0-9.]+)", paths(svg, "found")[0])[0])
    assert 0 < start < at < end < WIDTH


@pytest.mark.parametrize(
    ("low", "high", "found"), [(3.5, 5.0, 5.6), (None, 0.09, 0.14), (94.0, None, 92.0)]
)
def test_a_figure_outside_stands_outside_and_on_the_bar(
    low: float | None, high: float | None, found: float
) -> None:
    svg = limit_bar(low, high, [found])
    start, end = map(float, re.findall(r"M([0-9.]+) 7H([0-9.]+)", paths(svg, "allowed")[0])[0])
    at = float(re.findall(r"M([0-9.]+)", paths(svg, "found")[0])[0])
    assert not start <= at <= end
    assert 0 <= at <= WIDTH


def test_without_a_figure_only_the_limit_is_drawn_and_equal_figures_once() -> None:
    assert paths(limit_bar(None, 0.5, []), "found") == []
    assert paths(limit_bar(None, 0.5, [0.1, 0.1]), "found")[0].count("M") == 1


PULLS = (Pulled("not inspected", 1, 4), Pulled("sound", 5, 9), Pulled("worn", 10, 12))


def test_every_pull_is_an_upright_the_better_the_taller_and_one_is_pointed_at() -> None:
    svg = pull_bar(PULLS, 7)
    counts = {name: paths(svg, name)[0].count("z") for name in ("not-inspected", "sound", "worn")}
    assert counts == {"not-inspected": 4, "sound": 5, "worn": 3}
    tall = [int(re.findall(r"v-(\d+)", paths(svg, n)[0])[0]) for n in ("sound", "worn")]
    assert tall[0] > tall[1]
    pointed = float(re.findall(r"M([0-9.]+)", paths(svg, "this")[0])[0])
    seventh = float(re.findall(r"M([0-9.]+)", paths(svg, "sound")[0])[2])
    wide = float(re.findall(r"h([0-9.]+)", paths(svg, "sound")[0])[0])
    assert abs(pointed - seventh - wide / 2) < 0.1


def test_pulls_too_many_to_tell_apart_are_blocks() -> None:
    svg = pull_bar([Pulled("sound", 1, 400)], None)
    assert paths(svg, "sound")[0].count("z") == 1
    assert paths(svg, "this") == []
    assert pull_bar([], 3) == ""
