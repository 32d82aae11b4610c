"""The statistics of a comparison, against the figures worked by hand and against SciPy."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from editions.rules.aftercast import Measured, compare
from editions.rules.aftercast.scale import Reading, apart, fit, outlying, student_t
from editions.trade.quantities import Quantity, decimal_text
from editions.trade.statement import Station
from tests.rules.aftercast.bronzes import AFTERCAST, NAMES, REGISTERED, compared
from tests.rules.aftercast.simulation import astray, simulate

logs = st.lists(
    st.tuples(st.floats(-0.2, 0.2), st.floats(1e-4, 1e-2)).map(lambda p: Reading(p[0], p[1] ** 2)),
    min_size=3,
    max_size=30,
)


def test_the_worked_example_comes_out_to_its_printed_figures() -> None:
    # Worked from the formulas stated in the module, stations 0.15 mm sure on both sides.
    told = compared(AFTERCAST).estimate
    assert f"{told.log_scale:.7f}" == "-0.0254588"
    assert f"{told.standard_error:.7f}" == "0.0015101"
    assert f"{told.chi2:.3f}" == "0.494"
    assert f"{told.scale:.5f}" == "0.97486"
    assert (f"{told.low:.5f}", f"{told.high:.5f}") == ("0.97109", "0.97865")
    assert [f"{one.z:+.2f}" for one in told.generations[:3]] == ["-7.58", "-0.02", "+2.76"]
    assert told.consistent_with == (1,)


@given(logs)
@settings(max_examples=40)
def test_mean_and_error_are_those_of_a_weighted_fit(taken: list[Reading]) -> None:
    # scipy.optimize.curve_fit of a constant; absolute_sigma=False is the Birge ratio's scaling.
    y = np.array([one.y for one in taken])
    sigma = np.sqrt([one.variance for one in taken])
    found = fit(taken)

    def constant(x: np.ndarray, c: float) -> np.ndarray:
        return c + 0 * x

    def slope(x: np.ndarray, c: float) -> np.ndarray:
        return np.ones((len(x), 1))

    said = {"sigma": sigma, "jac": slope}
    best, plain = optimize.curve_fit(constant, y, y, absolute_sigma=True, **said)
    _, by_scatter = optimize.curve_fit(constant, y, y, absolute_sigma=False, **said)
    assert found.beta == pytest.approx(best[0], abs=1e-9)
    larger = max(plain[0, 0], by_scatter[0, 0])
    assert found.se == pytest.approx(math.sqrt(larger), rel=1e-6)


@given(logs)
@settings(max_examples=40)
def test_interval_and_chance_are_those_of_scipy_stats(taken: list[Reading]) -> None:
    found = fit(taken)
    low, high = stats.t.interval(0.95, found.freedom, loc=found.beta, scale=found.se)
    assert found.interval == pytest.approx((math.exp(low), math.exp(high)), rel=1e-9)
    assert found.chance == pytest.approx(stats.chi2.sf(found.chi2, found.freedom), abs=1e-12)


# W. S. Gosset's t, two-sided 95 %: printed in every table of it (from memory, high confidence).
@pytest.mark.parametrize(("freedom", "t"), [(1, 12.706), (2, 4.303), (5, 2.571), (29, 2.045)])
def test_the_quantile_of_t_is_the_tables(freedom: int, t: float) -> None:
    assert student_t(0.975, freedom) == pytest.approx(t, abs=0.0005)


def test_a_generation_is_foretold_as_scipy_has_the_normal_distribution() -> None:
    told = compared(AFTERCAST).estimate
    deviation = math.sqrt(told.standard_error**2 + 0.003**2 + 0.006**2)
    mean = math.log(0.975)
    one = told.generations[1]
    assert one.z == pytest.approx((told.log_scale - mean) / deviation, abs=1e-3)
    under = stats.norm(mean, deviation).logpdf(told.log_scale)
    plain = stats.norm(0, math.hypot(told.standard_error, 0.003)).logpdf(told.log_scale)
    assert one.log10_bayes == pytest.approx((under - plain) / math.log(10), abs=1e-3)


@given(
    st.lists(st.tuples(st.integers(30, 900), st.integers(30, 900)), min_size=2, max_size=6),
    st.fractions(Fraction(1, 9), 9, max_denominator=40),
)
@settings(max_examples=60)
def test_nothing_changes_when_all_lengths_are_scaled_together(
    lengths: list[tuple[int, int]], factor: Fraction
) -> None:
    def stations(column: int, times: Fraction) -> Measured:
        # Twelve hundred and sixty keeps every scaled length exact in nine decimals of a metre.
        made = []
        for name, pair in zip(NAMES, lengths, strict=False):
            near = [pair[0], pair[0] + pair[1] % 30][column]
            made.append(
                Station(
                    name=name,
                    length=Quantity(decimal_text(near * times, 9), "mm"),
                    uncertainty=Quantity(decimal_text(times / 5, 9), "mm"),
                )
            )
        return Measured(stations=tuple(made))

    plain, large = (
        compare(stations(1, times), stations(0, times), "documented cast")
        for times in (Fraction(1), factor)
    )
    assert large.estimate.consistent_with == plain.estimate.consistent_with
    assert large.estimate.log_scale == pytest.approx(plain.estimate.log_scale, abs=2e-7)
    assert large.estimate.standard_error == pytest.approx(plain.estimate.standard_error, abs=2e-7)
    assert large.outlying == plain.outlying


def test_inches_and_millimetres_of_the_same_lengths_give_the_same_answer() -> None:
    def inches(lengths: tuple[str, ...]) -> Measured:
        return Measured(
            stations=tuple(
                Station(
                    name=name,
                    length=Quantity(decimal_text(Fraction(length) / Fraction("25.4"), 9), "in"),
                    uncertainty=Quantity(
                        decimal_text(Fraction("0.15") / Fraction("25.4"), 9), "in"
                    ),
                )
                for name, length in zip(NAMES, lengths, strict=True)
            )
        )

    told = compare(inches(AFTERCAST), inches(REGISTERED), "documented cast").estimate
    assert told == compared(AFTERCAST).estimate


@given(logs)
@settings(max_examples=40)
def test_bronze_and_reference_exchanged_turn_the_scale_over(taken: list[Reading]) -> None:
    turned = fit([Reading(-one.y, one.variance) for one in taken])
    assert turned.beta == pytest.approx(-fit(taken).beta, abs=1e-12)
    assert turned.se == pytest.approx(fit(taken).se)


def test_a_station_far_from_the_others_is_found_first() -> None:
    taken = [Reading(0.0, 1e-6)] * 5 + [Reading(0.02, 1e-6), Reading(-0.015, 1e-6)]
    assert outlying(taken) == (5, 6)


def test_of_two_stations_none_can_be_said_to_lie_apart() -> None:
    assert outlying([Reading(0.0, 1e-6), Reading(0.5, 1e-6)]) == ()


def test_never_half_of_the_stations_or_more_are_set_aside() -> None:
    taken = [Reading(y, 1e-8) for y in (0.0, 0.1, 0.2, 0.3)]
    assert len(outlying(taken)) <= 1


def test_how_far_a_station_lies_apart_counts_both_uncertainties() -> None:
    # (0.003 - 0) / sqrt(1e-6 + 1e-6 / 3), by hand.
    taken = [Reading(0.0, 1e-6)] * 3 + [Reading(0.003, 1e-6)]
    assert apart(taken, 3) == pytest.approx(0.003 / math.sqrt(4e-6 / 3))


def test_stations_that_agree_are_seldom_called_outlying() -> None:
    random = np.random.default_rng(7)
    called = sum(
        bool(outlying([Reading(float(y), 1e-6) for y in 1e-3 * random.standard_normal(8)]))
        for _ in range(1000)
    )
    # 5 in 100 for all stations together, with three standard deviations of sampling error.
    assert called <= 50 + 3 * math.sqrt(1000 * 0.05 * 0.95)


@pytest.mark.parametrize("generation", [0, 1])
@pytest.mark.parametrize("stations", [3, 5, 10, 30])
def test_of_simulated_bronzes_95_in_100_are_consistent_with_their_own_generation(
    generation: int, stations: int
) -> None:
    count = 500
    row = simulate(generation, stations, count)
    error = 3 * math.sqrt(0.05 * 0.95 / count)
    assert abs(row.wrongly_excluded - 0.05) <= error
    assert row.covered >= 0.95 - error
    # An aftercast is seldom taken for a legitimate cast, or the other way round.
    assert row.other <= 0.02


def test_a_foundry_that_contracts_otherwise_goes_astray_by_how_far_it_does() -> None:
    small, usual, large = (astray(contraction, 200) for contraction in (1.0, 2.5, 4.0))
    assert usual["1"] >= 0.9
    assert small["1"] < usual["1"]
    assert small["0"] > usual["0"]
    assert large["2"] > usual["2"]
