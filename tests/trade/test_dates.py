"""Dates against the examples of the EDTF specification (Library of Congress, 4 February 2019)."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.trade.dates import (
    certainly_before,
    earliest,
    latest,
    read_when,
    say_when,
    say_year,
)

# The specification's examples of level 0 and 1, with the first and last day each may mean (ours:
# the specification gives no bounds). None: no bound.
EXAMPLES = [
    ("1985-04-12", "1985-04-12", "1985-04-12"),
    ("1985-04", "1985-04-01", "1985-04-30"),
    ("1985", "1985-01-01", "1985-12-31"),
    ("1964/2008", "1964-01-01", "2008-12-31"),
    ("2004-06/2006-08", "2004-06-01", "2006-08-31"),
    ("2004-02-01/2005-02-08", "2004-02-01", "2005-02-08"),
    ("2004-02-01/2005-02", "2004-02-01", "2005-02-28"),
    ("2004-02-01/2005", "2004-02-01", "2005-12-31"),
    ("2005/2006-02", "2005-01-01", "2006-02-28"),
    ("2001-21", "2001-03-01", "2001-12-31"),
    ("1984?", "1984-01-01", "1984-12-31"),
    ("2004-06~", "2004-06-01", "2004-06-30"),
    ("2004-06-11%", "2004-06-11", "2004-06-11"),
    ("201X", "2010-01-01", "2019-12-31"),
    ("20XX", "2000-01-01", "2099-12-31"),
    ("2004-XX", "2004-01-01", "2004-12-31"),
    ("1985-04-XX", "1985-04-01", "1985-04-30"),
    ("1985-XX-XX", "1985-01-01", "1985-12-31"),
    ("1985-04-12/..", "1985-04-12", None),
    ("1985-04/..", "1985-04-01", None),
    ("1985/..", "1985-01-01", None),
    ("../1985-04-12", None, "1985-04-12"),
    ("../1985-04", None, "1985-04-30"),
    ("../1985", None, "1985-12-31"),
    ("1985-04-12/", "1985-04-12", None),
    ("1985-04/", "1985-04-01", None),
    ("1985/", "1985-01-01", None),
    ("/1985-04-12", None, "1985-04-12"),
    ("/1985-04", None, "1985-04-30"),
    ("/1985", None, "1985-12-31"),
    # Further forms of the same features
    ("2004-02", "2004-02-01", "2004-02-29"),
    ("1900-02", "1900-02-01", "1900-02-28"),
    ("2000-02-29", "2000-02-29", "2000-02-29"),
    ("1984~/2004-06%", "1984-01-01", "2004-06-30"),
    ("2001-22", "2000-12-01", "2002-03-31"),
    ("2001-23", "2001-03-01", "2001-12-31"),
    ("2001-24", "2000-12-01", "2002-03-31"),
    ("0001-24", "0001-12-01", "0002-03-31"),
    ("9999-24", "9998-12-01", "9999-03-31"),
    ("00XX", "0001-01-01", "0099-12-31"),
    ("201X?", "2010-01-01", "2019-12-31"),
]

# Level 0 and 1 examples that a casting book leaves out: times of day, and years beyond four digits
# or before 1.
LEFT_OUT = [
    "1985-04-12T23:20:30",
    "1985-04-12T23:20:30Z",
    "1985-04-12T23:20:30-04",
    "1985-04-12T23:20:30+04:30",
    "Y170000002",
    "Y-170000002",
    "-1985",
]

# Level 2 examples of the specification.
LEVEL_2 = [
    "Y-17E7",
    "1950S2",
    "[1667,1668,1670..1672]",
    "{1960,1961-12}",
    "2004-06~-11",
    "?2004-06-~11",
    "156X-12-25",
    "15XX-12-25",
    "XXXX-12-XX",
    "1XXX-XX",
    "1984-XX-12",
    "2004-06-~01/2004-06-~20",
]

NO_DATES = [
    "",
    " ",
    "/",
    "..",
    "../",
    "/..",
    "../..",
    "2026/2027/2028",
    "26",
    "20260",
    "2026-1",
    "2026-011",
    "20261124",
    "2026-11-24-1",
    "2026--11",
    "2026-XX-24",
    "201X-11",
    "2X",
    "XXXX",
    "2026~?",
    "~2026",
    "2026 11",
    "today",
    "c. 2026",
    "２０２６",
    "2026\n2027",
    "2026\x00",
    "9" * 1_000_000,
]


def _day(text: str | None) -> datetime.date | None:
    return datetime.date.fromisoformat(text) if text else None


@pytest.mark.parametrize(("when", "first", "last"), EXAMPLES)
def test_the_specifications_examples_are_read_and_bounded(
    when: str, first: str | None, last: str | None
) -> None:
    assert read_when(when) == when
    assert read_when(f" {when.lower()} ") == when
    assert (earliest(when), latest(when)) == (_day(first), _day(last))


@pytest.mark.parametrize("text", LEFT_OUT + LEVEL_2 + NO_DATES)
def test_other_forms_are_refused_with_an_example(text: str) -> None:
    with pytest.raises(Unreadable, match="is not a date") as caught:
        read_when(text)
    assert "2026-11-24" in caught.value.remedy
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize(
    "text",
    [
        "2026-13",
        "2026-00",
        "2026-25",
        "2001-34",  # a level 2 season
        "2026-02-30",
        "2025-02-29",
        "2026-11-31",
        "2026-11-00",
        "2026-21-01",
        "2026-99-XX",
    ],
)
def test_no_day_outside_the_calendar_is_read(text: str) -> None:
    with pytest.raises(Unreadable, match="the calendar does not have"):
        read_when(text)


@pytest.mark.parametrize("text", ["11/24/2026", "24.11.2026", "24-11-2026", "1/2/26"])
def test_a_date_in_another_order_is_refused_not_guessed(text: str) -> None:
    with pytest.raises(Unreadable, match="may be read in two orders"):
        read_when(text)


@pytest.mark.parametrize("text", ["2027/2026", "2026-11-24/2026-11-23", "2026-05/2026-04-30"])
def test_an_interval_that_ends_before_it_begins_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="ends before it begins"):
        read_when(text)


@pytest.mark.parametrize("text", ["0000", "0000-01", "0000-01-01"])
def test_there_was_no_year_nought(text: str) -> None:
    with pytest.raises(Unreadable, match="names the year 0"):
        read_when(text)


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("2026", "2026"),
        ("2026-11", "November 2026"),
        ("2026-11-24", "24 November 2026"),
        ("2026-01-02", "2 January 2026"),
        ("2026-11~", "about November 2026"),
        ("2026?", "2026 (uncertain)"),
        ("2026-11-24%", "about 24 November 2026 (uncertain)"),
        ("../2026", "2026 or before"),
        ("2026/..", "2026 or after"),
        ("2026/2027", "2026 to 2027"),
        ("2026~/2027-03", "about 2026 to March 2027"),
        ("2026/2026", "2026 to 2026"),
        ("/2026-11", "until November 2026, start not known"),
        ("2026-11-24/", "from 24 November 2026, end not known"),
        ("201X", "between 2010 and 2019"),
        ("19XX~", "about between 1900 and 1999"),
        ("2026-XX", "2026, month not known"),
        ("2026-XX-XX", "2026, month and day not known"),
        ("2026-11-XX", "November 2026, day not known"),
        ("2026-21", "spring 2026"),
        ("2026-24", "winter 2026"),
    ],
)
def test_dates_are_said_in_english(when: str, said: str) -> None:
    assert say_when(when) == said


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("2026-11-23", "2026-11-24"),
        ("2025", "2026"),
        ("2026-03", "2026-04-01"),
        ("../2025", "2026"),
        ("/2025", "2026"),
        ("2025", "2026/.."),
        ("2020/2025", "2026/2027"),
        ("2020~/2025", "2026/2027?"),
        ("199X", "2000"),
        ("2025-21", "2026-01"),
    ],
)
def test_what_lies_wholly_before_is_certainly_before(a: str, b: str) -> None:
    assert certainly_before(a, b)
    assert not certainly_before(b, a)


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("2026-11-24", "2026-11-24"),
        ("2026", "2026-11-24"),
        ("2026-11-24", "2026"),
        ("2025~", "2026"),
        ("2025?", "2026"),
        ("2025", "2026%"),
        ("2020/2025~", "2026"),
        ("2025/..", "2026"),
        ("2025/", "2026"),
        ("2025", "../2026"),
        ("2025-24", "2026-01"),
        ("2025/2026", "2026/2027"),
        ("202X", "2029"),
    ],
)
def test_what_may_overlap_is_not_certainly_before(a: str, b: str) -> None:
    assert not certainly_before(a, b)


def _points() -> st.SearchStrategy[str]:
    day = st.dates().map(lambda d: d.isoformat())
    plain = st.one_of(day, day.map(lambda d: d[:7]), day.map(lambda d: d[:4]))
    season = st.builds(lambda d, s: f"{d[:4]}-{s}", day, st.integers(21, 24))
    blurred = day.flatmap(
        lambda d: st.sampled_from([f"{d[:3]}X", f"{d[:2]}XX", f"{d[:4]}-XX", f"{d[:7]}-XX"])
    )
    return st.builds(
        str.__add__, st.one_of(plain, season, blurred), st.sampled_from(["", "?", "~", "%"])
    )


def whens() -> st.SearchStrategy[str]:
    ends = st.sampled_from(["", ".."])
    return st.one_of(
        _points(),
        st.builds(lambda p, e: f"{p}/{e}", _points(), ends),
        st.builds(lambda p, e: f"{e}/{p}", _points(), ends),
        st.builds(lambda a, b: f"{a}/{b}", _points(), _points()).filter(_runs_forward),
    )


def _runs_forward(interval: str) -> bool:
    start, _, end = interval.partition("/")
    first, last = earliest(start), latest(end)
    return first is not None and last is not None and first <= last


@given(whens())
def test_every_date_reads_as_itself_and_its_bounds_are_in_order(when: str) -> None:
    assert read_when(when) == when
    first, last = earliest(when), latest(when)
    assert first is None or last is None or first <= last
    assert say_when(when).isprintable()


@given(whens(), whens())
def test_of_two_dates_at_most_one_is_certainly_before_the_other(a: str, b: str) -> None:
    assert not (certainly_before(a, b) and certainly_before(b, a))
    assert not certainly_before(a, a)


@given(st.dates(), st.dates())
def test_days_are_ordered_as_the_calendar_orders_them(a: datetime.date, b: datetime.date) -> None:
    assert certainly_before(a.isoformat(), b.isoformat()) == (a < b)


@given(st.text("0123456789X-/.~?% T", max_size=24))
def test_any_text_is_a_date_or_an_error_of_ours(text: str) -> None:
    try:
        when = read_when(text)
    except Unreadable:
        return
    assert read_when(when) == when


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("1931", "1931"), ("2009-05", "2009"), ("2009-05-12", "2009"), ("2025-11~", "about 2025"),
        ("1931?", "1931 (uncertain)"), ("193X", "between 1930 and 1939"), ("2004-XX", "2004"),
        ("../2009", "2009 or before"), ("1930/1932", "1930 to 1932"),
    ],
)  # fmt: skip
def test_a_date_is_said_by_its_year(when: str, said: str) -> None:
    assert say_year(when) == said
