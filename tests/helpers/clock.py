"""A clock that a test winds itself: each reading is one second after the one before."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

START = datetime(2026, 3, 2, 7, 0, 0, tzinfo=UTC)
"""A Monday morning, before the day's first pour."""


class Clock:
    """Callable like ``datetime.now``: aware, UTC, whole seconds, never twice the same.

    >>> clock = Clock()
    >>> (clock() - clock()).total_seconds()
    -1.0
    """

    def __init__(self, start: datetime = START, step: timedelta = timedelta(seconds=1)) -> None:
        self.now = start
        self.step = step

    def __call__(self) -> datetime:
        read = self.now
        self.now += self.step
        return read

    def wind(self, **amount: float) -> None:
        """Move the clock by ``timedelta(**amount)``; a negative amount sets it back."""
        self.now += timedelta(**amount)
