"""Wear of a section against pulls: regression and prediction bound against scipy.stats."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from editions.errors import Refused, Unreadable
from editions.rules.mold_life.readings import read_readings, read_threshold
from editions.rules.mold_life.wear import Fit, Point, crossing_of_bound, fit, wear
from editions.trade.quantities import Quantity

TEARS = [(0.0, 0.0), (5.0, 0.5), (10.0, 1.2), (15.0, 1.6), (20.0, 2.3)]


# Foundry facts, known answer 7: slope .114, crossing 44.04, bound 40.40, retire at 40.
def test_the_known_tears_are_retired_at_forty() -> None:
    worn = wear("tears", "mm", TEARS, 5)
    assert (str(worn.slope), str(worn.crossing), str(worn.bound)) == ("0.1140", "44.04", "40.40")
    assert worn.retire_at == 40
    assert worn.says == ""


def bound_by_scipy(points: list[Point], pull: float) -> float:
    """The one-sided 95 % prediction bound by hand from what scipy.stats.linregress gives."""
    xs, ys = zip(*points, strict=True)
    found = stats.linregress(xs, ys)
    n, mean = len(xs), sum(xs) / len(xs)
    sxx = sum((x - mean) ** 2 for x in xs)
    residuals = [y - found.intercept - found.slope * x for x, y in points]
    spread = math.sqrt(sum(e * e for e in residuals) / (n - 2))
    error = spread * math.sqrt(1 + 1 / n + (pull - mean) ** 2 / sxx)
    return float(found.intercept + found.slope * pull + stats.t.ppf(0.95, n - 2) * error)


def by_scipy(points: list[Point], threshold: float, pull: float) -> tuple[float, float, float]:
    """Slope, intercept, and the chance that a reading at a pull is under the threshold."""
    xs, ys = zip(*points, strict=True)
    found = stats.linregress(xs, ys)
    n, mean = len(xs), sum(xs) / len(xs)
    # The standard error of the slope is s/√Sxx.
    sxx = sum((x - mean) ** 2 for x in xs)
    spread = found.stderr * math.sqrt(sxx)
    error = spread * math.sqrt(1 + 1 / n + (pull - mean) ** 2 / sxx)
    gap = threshold - (found.intercept + found.slope * pull)
    return found.slope, found.intercept, float(stats.t.cdf(gap / error, n - 2))


READINGS = st.lists(
    st.tuples(st.integers(0, 60).map(float), st.integers(0, 80).map(lambda n: n / 10)),
    min_size=3,
    max_size=12,
    unique_by=lambda point: point[0],
)


@given(READINGS, st.integers(0, 120))
def test_line_and_bound_are_those_of_scipy(points: list[Point], pull: int) -> None:
    line = fit(points)
    assume(line.spread > 1e-6)
    slope, intercept, below = by_scipy(points, 5, pull)
    assert line.slope == pytest.approx(slope, abs=1e-9)
    assert line.at(0) == pytest.approx(intercept, abs=1e-9)
    assert line.bound(pull) == pytest.approx(bound_by_scipy(points, pull), rel=1e-6, abs=1e-6)
    assert line.chance_below(pull, 5) == pytest.approx(below, rel=1e-6, abs=1e-9)


@given(READINGS)
def test_the_bound_crosses_the_threshold_where_it_is_said_to(points: list[Point]) -> None:
    line = fit(points)
    assume(line.spread > 1e-6)
    crossing = crossing_of_bound(line, 5)
    if crossing is not None:
        assume(abs(crossing) < 1e5)
        assert line.bound(crossing) == pytest.approx(5, rel=1e-4, abs=1e-4)
        assert line.bound(crossing + 1) > line.bound(crossing)
    else:
        # It lies above everywhere, or never rises that far.
        last = max(point[0] for point in points)
        far = [line.bound(last + pulls) for pulls in (0, 10, 1_000, 100_000)]
        assert line.bound(last) > 5 or all(bound <= 5 + 1e-6 for bound in far)


@given(READINGS)
def test_the_section_is_good_at_its_last_pull_and_not_at_the_next(points: list[Point]) -> None:
    worn = wear("tears", "mm", points, 5)
    line = fit(points)
    if worn.retire_at and worn.bound is not None and not worn.says:
        assume(worn.retire_at < 1e5)
        assert line.bound(worn.retire_at) <= 5 + 1e-6
        assert line.bound(worn.retire_at + 1) > 5 - 1e-6


def test_a_perfect_line_has_no_spread_and_its_bound_is_itself() -> None:
    worn = wear("tears", "mm", [(0, 0), (5, 0.5), (10, 1)], 5)
    assert (str(worn.crossing), str(worn.bound), worn.retire_at) == ("50.00", "50.00", 50)
    assert fit([(0, 0), (5, 0.5), (10, 1)]).chance_below(49, 5) == 1
    assert fit([(0, 0), (5, 0.5), (10, 1)]).chance_below(51, 5) == 0


def test_what_does_not_rise_is_never_retired_by_it() -> None:
    worn = wear("tears", "mm", [(0, 0), (5, 0), (10, 0)], 5)
    assert (worn.crossing, worn.bound, worn.retire_at) == (None, None, None)
    assert "does not rise" in worn.says


def test_readings_that_scatter_tell_nothing() -> None:
    worn = wear("tears", "mm", [(0, 3), (5, 1), (10, 1)], 5)
    assert worn.retire_at is None
    assert "scatter too much" in worn.says


def test_a_reading_above_the_threshold_retires_at_once() -> None:
    worn = wear("tears", "mm", [(0, 0), (5, 3), (10, 6)], 5)
    assert (worn.retire_at, worn.says) == (10, "the last reading is above the threshold")


@pytest.mark.parametrize("points", [[], [(0.0, 1.0)], [(0.0, 1.0), (5.0, 2.0)], [(5.0, 1.0)] * 4])
def test_too_few_readings_or_one_pull_are_refused(points: list[Point]) -> None:
    with pytest.raises(Refused):
        fit(points)


@pytest.mark.parametrize("bad", [(-1.0, 1.0), (1.0, -1.0), (math.nan, 1.0), (1.0, math.inf)])
def test_a_reading_that_is_no_number_is_refused(bad: Point) -> None:
    with pytest.raises(Unreadable):
        fit([*TEARS, bad])


@pytest.mark.parametrize("threshold", [0, -5])
def test_a_threshold_of_nothing_is_refused(threshold: float) -> None:
    with pytest.raises(Refused, match="threshold"):
        wear("tears", "mm", TEARS, threshold)


def test_readings_are_read_with_or_without_a_unit() -> None:
    read = read_readings("0:0 5:0.5, 10:1.2mm; 15:1/16in")
    assert read == ("mm", ((0, 0), (5, 0.5), (10, 1.2), (15, 1.5875)))


def test_readings_in_inches_stay_in_inches() -> None:
    assert read_readings("0:0in 8:1/16in 16:0.01ft") == ("in", ((0, 0), (8, 0.0625), (16, 0.12)))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no readings"),
        (" , ", "no readings"),
        ("0:0 5:0,5", "comma"),
        ("5", "not a reading"),
        (":5", "not a reading"),
        ("-5:1", "not a reading"),
        ("5:-1", "below nothing"),
        ("5:1kg", "not a length"),
        ("5:", "not begin with a number"),
        ("5:wide", "not begin with a number"),
    ],
)
def test_what_is_no_reading_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as why:
        read_readings(text)
    assert says in why.value.message
    assert why.value.remedy


def test_a_threshold_is_read_by_its_indicator() -> None:
    assert read_threshold("Tears = 1/4 in") == ("tears", Quantity("1/4", "in"))
    assert read_threshold("tears=5") == ("tears", Quantity("5", "mm"))


@pytest.mark.parametrize("text", ["tears", "holes=5mm", "tears=", "tears=5,5mm", "tears=0mm"])
def test_what_is_no_threshold_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_threshold(text)


def test_a_fit_is_the_same_wherever_counting_begins() -> None:
    moved = fit([(x + 100, y) for x, y in TEARS])
    assert isinstance(moved, Fit)
    assert crossing_of_bound(moved, 5) == pytest.approx(140.40, abs=0.01)
