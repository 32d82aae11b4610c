"""Waxes still wanted and the chance of them, against scipy.stats and by simulation."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from editions.errors import Unreadable
from editions.rules.mold_life.chance import (
    chance_of,
    failing_at_most,
    pulls_expected,
    survival,
)


# Foundry facts, known answer 7: no failure in 24: p ≤ .11735.
def test_no_failure_in_24_pulls() -> None:
    assert f"{failing_at_most(24):.5f}" == "0.11735"


@given(st.integers(1, 500))
def test_the_bound_is_the_exact_binomial_one(pulls: int) -> None:
    # Clopper and Pearson's upper end with no failure: the 0.95 quantile of Beta(1, n).
    assert failing_at_most(pulls) == pytest.approx(stats.beta.ppf(0.95, 1, pulls), rel=1e-9)
    assert (1 - failing_at_most(pulls)) ** pulls == pytest.approx(0.05)


def test_without_a_pull_nothing_is_known() -> None:
    with pytest.raises(Unreadable):
        failing_at_most(0)


@settings(max_examples=20)  # each integrates
@given(st.integers(0, 100), st.integers(0, 100))
def test_survival_is_the_mean_over_a_uniform_chance(pulls: int, more: int) -> None:
    # ∫ (1−p)^more dBeta(1, n+1), the posterior of a uniform prior after n without failure.
    wanted = stats.beta(1, pulls + 1).expect(lambda p: (1 - p) ** more)
    assert survival(pulls, more) == pytest.approx(wanted, rel=1e-6)


@given(st.integers(1, 20), st.integers(0, 40), st.integers(0, 40), st.integers(0, 60))
def test_the_pulls_that_waxes_take_are_a_beta_binomial(
    wanted: int, sound: int, rejected: int, most: int
) -> None:
    # So many sound in at most m pulls is at least k sound among m.
    chance = chance_of(wanted, sound, rejected, lambda pulls: float(pulls <= most))
    by_scipy = stats.betabinom.sf(wanted - 1, most, 9 + sound, 1 + rejected)
    assert chance == pytest.approx(by_scipy, abs=1e-8)


def test_a_mold_that_lasts_for_ever_finishes_and_one_that_is_done_does_not() -> None:
    assert chance_of(12, 20, 3, lambda _: 1.0) == pytest.approx(1, abs=1e-6)
    assert chance_of(12, 20, 3, lambda _: 0.0) == 0
    assert chance_of(0, 0, 0, lambda _: 0.0) == 1


def test_more_wanted_or_more_rejected_is_less_likely() -> None:
    def lasts(pulls: int) -> float:
        return survival(24, pulls)

    by_wanted = [chance_of(k, 20, 2, lasts) for k in range(0, 30, 5)]
    by_rejects = [chance_of(8, 20, r, lasts) for r in range(0, 30, 5)]
    assert by_wanted == sorted(by_wanted, reverse=True)
    assert by_rejects == sorted(by_rejects, reverse=True)


def test_the_chance_is_what_a_simulation_gives() -> None:
    """Molds whose rejects and failures are drawn from what the formula assumes."""
    draw = random.Random(26)
    runs = 20_000
    finished = 0
    for _ in range(runs):
        sound = draw.betavariate(9 + 18, 1 + 2)
        fails = draw.betavariate(1, 24 + 1)
        waxes = 0
        while waxes < 8 and draw.random() >= fails:
            waxes += draw.random() < sound
        finished += waxes == 8
    told = chance_of(8, 18, 2, lambda pulls: survival(24, pulls))
    # Three standard errors of a share of 20,000.
    assert finished / runs == pytest.approx(told, abs=3 * (told * (1 - told) / runs) ** 0.5)


@pytest.mark.parametrize(
    ("wanted", "sound", "rejected", "pulls"),
    [(0, 5, 5, 0), (9, 0, 0, 10), (12, 18, 2, 14), (10, 0, 10, 23)],
)
def test_pulls_expected_allow_for_the_rejects_seen(
    wanted: int, sound: int, rejected: int, pulls: int
) -> None:
    # ⌈k (10 + n)/(9 + sound)⌉.
    assert pulls_expected(wanted, sound, rejected) == pulls
