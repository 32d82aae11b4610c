"""Moments: seconds since 1970 as signatures count them, and the one way each is written.

A moment is a whole second of UTC, from 1970 to the end of 9999, and leap seconds have no name of
their own (POSIX.1-2024, 4.19).

>>> to_moment(1679315147), from_moment("2023-03-20T12:25:47Z")
('2023-03-20T12:25:47Z', 1679315147)
"""

from __future__ import annotations

import re
from datetime import UTC, datetime

from editions.errors import Unreadable

# 9999-12-31T23:59:59Z, after which a year has five digits.
LATEST = 253_402_300_799

_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z", re.ASCII)


def to_moment(seconds: int) -> str:
    """Return seconds since 1970 as text, such as ``2026-11-24T10:00:00Z``.

    Raises:
        Unreadable: Before 1970 or after 9999.
    """
    if not 0 <= seconds <= LATEST:
        raise Unreadable(f"{seconds} is not a second between the years 1970 and 9999.")
    return f"{datetime.fromtimestamp(seconds, UTC):%Y-%m-%dT%H:%M:%SZ}"


def from_moment(text: str) -> int:
    """Return the seconds since 1970 of a moment as it is written.

    Raises:
        Unreadable: Not in the one form, or no moment of the calendar.
    """
    try:
        seconds = int(datetime.fromisoformat(text).timestamp()) if _MOMENT.fullmatch(text) else -1
    except ValueError:
        seconds = -1
    if seconds < 0 or to_moment(seconds) != text:
        raise Unreadable(
            "A time is not written as a moment of UTC.", "Such as 2026-11-24T10:00:00Z"
        )
    return seconds
