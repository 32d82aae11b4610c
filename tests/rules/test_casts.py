"""Counting bronzes: by quality, together, and in the order of pouring."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.rules.casts import Cast, Life, Place, cast, counted, grouped, life_of, place_of

HERON = (
    cast("P-01", scale="1:1", alloy="C87300", cast_on="2018", molds=("M-1",)),
    cast("P-02", scale="1:1", alloy="C87300", cast_on="2019", molds=("M-1", "M-2")),
    cast("P-03", scale="1:2", alloy="C83600", cast_on="2020-05", series="AP", molds=("M-2",)),
    cast("P-04", scale="1:1", cast_on="2020", destroyed=True, generation=1),
    cast("P-05", trial=True, cast_on="2017"),
    cast("P-06"),
)


def codes(casts: tuple[Cast, ...]) -> list[str]:
    return [one.code for one in casts]


def test_casts_are_grouped_by_a_quality_and_the_destroyed_apart() -> None:
    groups = {group.value: (group.exist, group.destroyed) for group in grouped(HERON, "scale")}
    assert groups == {"1:1": (2, 1), "1:2": (1, 0), "not said": (2, 0)}


def test_a_cast_of_two_molds_counts_under_each() -> None:
    groups = {group.value: group.exist for group in grouped(HERON, "mold")}
    assert groups == {"M-1": 2, "M-2": 2, "not said": 2}


def test_a_series_and_a_generation_have_their_words() -> None:
    assert {group.value for group in grouped(HERON, "series")} == {"numbered", "AP"}
    assert {group.value for group in grouped(HERON, "generation")} == {"1", "not said"}


def test_who_counts_says_which_count_together() -> None:
    assert codes(counted(HERON)) == ["P-01", "P-02", "P-03", "P-06"]
    assert codes(counted(HERON, series=("",), trials=True)) == ["P-01", "P-02", "P-05", "P-06"]
    assert "P-04" in codes(counted(HERON, destroyed=True))
    assert codes(counted(HERON, alike=("mold", "M-2"))) == ["P-02", "P-03"]


def test_the_place_of_a_cast_is_between_what_dates_leave_open() -> None:
    casts = counted(HERON, destroyed=True, trials=True)
    # P-06 has no date: it may come before anything. P-03 and P-04 fall in one year.
    assert place_of(casts, "P-05") == Place(1, 2)
    assert place_of(casts, "P-02") == Place(3, 4)
    assert place_of(casts, "P-03") == Place(4, 6)
    assert place_of(casts, "P-06") == Place(1, 6)
    assert place_of(casts, "P-99") is None


def test_what_is_counted_apart_does_not_push_back() -> None:
    assert place_of(HERON, "P-03", apart="scale") == Place(1, 1)
    assert place_of(HERON, "P-03", apart="mold") == Place(2, 2)


# HTSUS chapter 97, additional U.S. note 1, as in the facts: the first 12 castings; the 13th is not.
def test_the_twelfth_casting_is_the_twelfth_and_the_thirteenth_the_thirteenth() -> None:
    thirteen = [cast(f"P-{n:02}", cast_on=f"20{n:02}", scale=f"1:{n % 3}") for n in range(1, 14)]
    assert place_of(thirteen, "P-12") == Place(12, 12)
    assert place_of(thirteen, "P-13") == Place(13, 13)


# CPI R.122-3, as in the facts: numbered casts and artist's proofs together, 12 in all.
def test_numbers_and_proofs_are_counted_together_where_the_law_does() -> None:
    casts = [cast(f"P-{n}") for n in range(8)] + [cast(f"A-{n}", series="EA") for n in range(5)]
    assert len(counted(casts, series=("", "EA", "AP"))) == 13
    assert len(counted(casts, series=("",))) == 8


@pytest.mark.parametrize(
    ("cast_on", "died", "life"),
    [
        ("2019", None, "lifetime"),
        ("2008-12", "2009-01-02", "lifetime"),
        ("2009", "2009-01-02", "not known"),
        ("2009-01-02", "2009-01-02", "not known"),
        ("2010", "2009", "posthumous"),
        ("2010~", "2009", "not known"),
        (None, "2009", "not known"),
        ("", None, "not known"),
    ],
)
def test_lifetime_or_posthumous_only_where_both_dates_tell(
    cast_on: str | None, died: str | None, life: Life
) -> None:
    assert life_of(cast_on, died) == life


_DATES = st.sampled_from(["2018", "2018-05", "2018-05-02", "2019", "2019-06~", "../2020", ""])


@given(st.lists(_DATES, min_size=1, max_size=8))
def test_every_place_lies_among_the_casts_and_dated_ones_in_their_order(days: list[str]) -> None:
    casts = [cast(f"P-{n}", cast_on=day) for n, day in enumerate(days)]
    for one in casts:
        place = place_of(casts, one.code)
        assert place is not None
        assert 1 <= place.first <= place.last <= len(casts)
