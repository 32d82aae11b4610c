"""Dates as they are known: a practical part of EDTF (Library of Congress, 2019), levels 0 and 1.

A date is kept as its EDTF text.

==============================  ==========================================================
``2026-11-24 2026-11 2026``     a day, a month, a year
``2026-21`` to ``2026-24``      spring, summer, autumn, winter, of either hemisphere
``2026?  2026~  2026%``         uncertain, about, both
``201X 20XX 2026-XX``           digits not known; also ``2026-11-XX`` and ``2026-XX-XX``
``2026/2027``                   from one to the other; each end may be qualified
``../2026  2026/..``            or before, or after
``/2026  2026/``                begun, or ended, at a time not known
==============================  ==========================================================

Left out on purpose: times of day, years before 1 or after 9999, and level 2; the calendar is
Gregorian.  A qualified date bounds nothing for certain, whatever it says.

>>> say_when("2026-11~")
'about November 2026'
>>> certainly_before("2026-03", "2026-04-01")
True
"""

from __future__ import annotations

import calendar
import datetime
import re
from functools import lru_cache
from typing import NamedTuple, NoReturn

from editions.errors import Unreadable
from editions.trade.text import shown

_MONTHS = calendar.month_name
_SEASONS = {21: "spring", 22: "summer", 23: "autumn", 24: "winter"}
_QUALIFIED = {"": "{}", "~": "about {}", "?": "{} (uncertain)", "%": "about {} (uncertain)"}

_POINT = re.compile(
    r"(?P<year>[0-9]{2}(?:[0-9]{2}|[0-9]X|XX))"
    r"(?:-(?P<month>[0-9]{2}|XX)(?:-(?P<day>[0-9]{2}|XX))?)?"
    r"(?P<mark>[?~%]?)",
    re.ASCII,
)
_OTHER_ORDERS = re.compile(r"[0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{2,4}", re.ASCII)
_REMEDY = (
    "Write 2026, 2026-11 or 2026-11-24; 2026-11~ for about; ../2026 for or before;"
    " 2026/2027 for from and to."
)


class _Point(NamedTuple):
    """One date: its widest bounds, how it is qualified, and how it is said."""

    first: datetime.date
    last: datetime.date
    mark: str
    said: str


class _Span(NamedTuple):
    """Both ends of what was written; None where an end is open or unknown."""

    start: _Point | None
    end: _Point | None


def read_when(text: str) -> str:
    """Read a date as EDTF and return it as it is kept.

    Raises:
        Unreadable: Not one of the forms above, no day of the calendar, or an end before its start.
    """
    when = text.strip().upper()
    _parse(when, text)
    return when


def earliest(when: str) -> datetime.date | None:
    """Return the first day that the date may mean, or None where it has no beginning."""
    start = _parse(when, when).start
    return start.first if start else None


def latest(when: str) -> datetime.date | None:
    """Return the last day that the date may mean, or None where it has no end."""
    end = _parse(when, when).end
    return end.last if end else None


def certainly_before(a: str, b: str) -> bool:
    """Tell whether all of ``a`` lies before all of ``b``; False wherever that is not certain."""
    end, start = _parse(a, a).end, _parse(b, b).start
    if not end or not start or end.mark or start.mark:
        return False
    return end.last < start.first


def say_when(when: str) -> str:
    """Return the date in English."""
    start, end = _parse(when, when)
    if start and end:
        return start.said if start is end else f"{start.said} to {end.said}"
    open_end = ".." in when
    if start:
        return f"{start.said} or after" if open_end else f"from {start.said}, end not known"
    said = end.said if end else ""
    return f"{said} or before" if open_end else f"until {said}, start not known"


def say_year(when: str) -> str:
    """Return the year of a date in English, its month and day left out: "about 1931"."""
    found = _POINT.fullmatch(when)
    return say_when(found["year"] + found["mark"] if found else when)


# A page asks for the same few days again and again.
@lru_cache(maxsize=4096)
def _parse(when: str, typed: str) -> _Span:
    """Return the ends of a date in its kept form."""
    if "/" not in when:
        point = _point(when, typed)
        return _Span(point, point)
    first, _, last = when.partition("/")
    start = None if first in ("", "..") else _point(first, typed)
    end = None if last in ("", "..") else _point(last, typed)
    if start is None and end is None:
        _refuse(typed)
    if start and end and start.first > end.last:
        raise Unreadable(f"{shown(typed)} ends before it begins.", "Write the earlier date first.")
    return _Span(start, end)


def _point(text: str, typed: str) -> _Point:
    """Return one date, not an interval."""
    found = _POINT.fullmatch(text)
    if not found:
        _refuse(typed)
    year, month, day = found["year"], found["month"], found["day"]
    if ("X" in year and month) or (month == "XX" and day not in (None, "XX")):
        _refuse(typed)
    low, high = _years(year, typed)
    first, last, said = _bounds(low, high, month, day, typed)
    return _Point(first, last, found["mark"], _QUALIFIED[found["mark"]].format(said))


def _years(year: str, typed: str) -> tuple[int, int]:
    """Return the first and last year that the four characters may mean."""
    low, high = int(year.replace("X", "0")), int(year.replace("X", "9"))
    if high == 0:
        raise Unreadable(f"{shown(typed)} names the year 0.", "Years run from 0001 to 9999.")
    return max(low, 1), high


def _bounds(
    low: int, high: int, month: str | None, day: str | None, typed: str
) -> tuple[datetime.date, datetime.date, str]:
    """Return the first and last day and the words of a date without its mark."""
    if low != high:
        return _day(low, 1, 1, typed), _day(high, 12, 31, typed), f"between {low} and {high}"
    if month is None:
        return _day(low, 1, 1, typed), _day(low, 12, 31, typed), str(low)
    if month == "XX":
        what = "month and day" if day else "month"
        return _day(low, 1, 1, typed), _day(low, 12, 31, typed), f"{low}, {what} not known"
    if int(month) in _SEASONS and day is None:
        return _season(low, int(month), typed)
    return _month(low, int(month), day, typed)


def _month(
    year: int, month: int, day: str | None, typed: str
) -> tuple[datetime.date, datetime.date, str]:
    """Return bounds and words of a month, or of a day in it."""
    first = _day(year, month, 1, typed)
    last = _day(year, month, calendar.monthrange(year, month)[1], typed)
    said = f"{_MONTHS[month]} {year}"
    if day is None:
        return first, last, said
    if day == "XX":
        return first, last, f"{said}, day not known"
    exact = _day(year, month, int(day), typed)
    return exact, exact, f"{int(day)} {said}"


def _season(year: int, season: int, typed: str) -> tuple[datetime.date, datetime.date, str]:
    """Return bounds and words of a season.

    The codes 21 to 24 do not say the hemisphere, so the bounds hold both: spring and autumn lie
    within March to December, summer and winter may begin the year before or end the year after.
    """
    said = f"{_SEASONS[season]} {year}"
    if season in (21, 23):
        return _day(year, 3, 1, typed), _day(year, 12, 31, typed), said
    before, after = max(year - 1, 1), min(year + 1, 9999)
    return _day(before, 12, 1, typed), _day(after, 3, 31, typed), said


def _day(year: int, month: int, day: int, typed: str) -> datetime.date:
    """Return a day of the calendar."""
    try:
        return datetime.date(year, month, day)
    except ValueError:
        raise Unreadable(
            f"{shown(typed)} holds a month or a day that the calendar does not have.", _REMEDY
        ) from None


def _refuse(typed: str) -> NoReturn:
    """Raise for what is none of the forms."""
    if _OTHER_ORDERS.fullmatch(typed.strip()):
        raise Unreadable(
            f"{shown(typed)} may be read in two orders.", "Write year, month, day: 2026-11-24."
        )
    raise Unreadable(f"{shown(typed)} is not a date.", _REMEDY)
