"""Moments: the second each text names, and the one text each second has."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.ledger.moments import LATEST, from_moment, to_moment


@given(seconds=st.integers(0, LATEST))
def test_a_moment_returns_through_text(seconds: int) -> None:
    text = to_moment(seconds)
    assert from_moment(text) == seconds
    assert datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC).timestamp() == seconds


def test_moments_count_from_1970_to_the_end_of_9999() -> None:
    # POSIX.1-2024, 4.19: seconds since the Epoch, 1970-01-01T00:00:00Z.
    assert to_moment(0) == "1970-01-01T00:00:00Z"
    assert to_moment(LATEST) == "9999-12-31T23:59:59Z"
    for seconds in (-1, LATEST + 1, 10**30):
        with pytest.raises(Unreadable):
            to_moment(seconds)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-11-24",
        "2026-11-24T10:00:00",
        "2026-11-24T10:00:00z",
        "2026-11-24 10:00:00Z",
        "2026-11-24T10:00Z",
        "2026-11-24T10:00:00.0Z",
        "2026-11-24T10:00:00+00:00",
        "2026-02-30T10:00:00Z",
        "2026-13-01T10:00:00Z",
        "2026-11-24T24:00:00Z",
        "2026-11-24T10:00:60Z",
        "1969-12-31T23:59:59Z",
        "0000-01-01T00:00:00Z",
        "2026-11-24T10:00:00Z\n",
        "٢٠٢٦-11-24T10:00:00Z",
    ],
)
def test_what_is_not_a_moment_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="moment of UTC"):
        from_moment(text)
