"""Casts made after their artist's death, by the recorded dates alone."""

from __future__ import annotations

import pytest

from editions.rules.posthumous import posthumous


@pytest.mark.parametrize(
    ("died", "cast"),
    [("1986", "1987"), ("1986-08-31", "1986-09-01"), ("1986", "1990/1995"), ("../1986", "1987")],
)
def test_a_cast_wholly_after_the_death_is_posthumous(died: str, cast: str) -> None:

    assert posthumous(died, cast) is True


@pytest.mark.parametrize(
    ("died", "cast"),
    [
        (None, "1987"), ("1986", None), (None, None), ("", ""), ("1986", "1986-12"),
        ("1986-12", "1986"), ("1986~", "1990"), ("1986", "1990?"), ("1987", "1986"),
        ("1986", "1980/1990"), ("1986", "../1990"), ("1986-08-31", "1986-08-31"),
    ],
)  # fmt: skip
def test_where_the_dates_leave_a_doubt_nothing_is_said(died: str | None, cast: str | None) -> None:
    assert posthumous(died, cast) is False
