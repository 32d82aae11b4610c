"""Dates in a language of the pages: EDTF as it is kept, said as that language says it.

The day's own form is the CLDR's long one; what is not certain of it is a message.  In English it is
what the paper prints.

>>> from editions.pages.tongues import english
>>> when(english(), "2026-11~"), when(english(), "../1984")
('about November 2026', '1984 or before')
"""

from __future__ import annotations

import datetime
import re

from babel.dates import format_date, format_skeleton

from editions.errors import BronzebookError
from editions.pages.tongues import Tongue
from editions.trade.dates import read_when

_MARKS = "~?%"
# Some languages count the first of a month otherwise than the other days; the CLDR does not say.
FIRST, FIRST_DAY = "the first of a month", "1 %(month)s"
_SAID = re.compile(
    r"(?P<about>about )?(?P<year>[0-9]{1,4})(?P<uncertain> \(uncertain\))?", re.ASCII
)
_BETWEEN = re.compile(r"between ([0-9]{1,4}) and ([0-9]{1,4})", re.ASCII)
_SEASONS = ("21", "22", "23", "24")


def when(tongue: Tongue, date: str) -> str:
    """A date in words; one that is no EDTF stands as it is."""
    try:
        kept = read_when(date)
    except BronzebookError:
        return date
    if "/" not in kept:
        return _marked(tongue, kept)
    first, _, last = kept.partition("/")
    return _span(tongue, first, last)


def _span(tongue: Tongue, first: str, last: str) -> str:
    known = [_marked(tongue, one) if one not in ("", "..") else "" for one in (first, last)]
    if all(known):
        return tongue.gettext("%(first)s to %(last)s", first=known[0], last=known[1])
    if last == "..":
        return tongue.gettext("%(date)s or after", date=known[0])
    if first == "..":
        return tongue.gettext("%(date)s or before", date=known[1])
    if known[0]:
        return tongue.gettext("from %(date)s, end not known", date=known[0])
    return tongue.gettext("until %(date)s, start not known", date=known[1])


def _marked(tongue: Tongue, point: str) -> str:
    """One date with what is said of its certainty."""
    date = _plain(tongue, point.rstrip(_MARKS))
    if point.endswith("~"):
        return tongue.gettext("about %(date)s", date=date)
    if point.endswith("?"):
        return tongue.gettext("%(date)s (uncertain)", date=date)
    if point.endswith("%"):
        return tongue.gettext("about %(date)s (uncertain)", date=date)
    return date


def _plain(tongue: Tongue, point: str) -> str:
    year, *rest = point.split("-")
    if "X" in year:
        low, high = max(int(year.replace("X", "0")), 1), int(year.replace("X", "9"))
        return tongue.gettext("between %(first)s and %(last)s", first=low, last=high)
    if not rest:
        return str(int(year))
    if rest[0] == "XX":
        return _of_year(tongue, int(year), day_too=len(rest) > 1)
    if rest[0] in _SEASONS:
        return _season(tongue, int(year), rest[0])
    return _of_month(tongue, int(year), int(rest[0]), rest[1] if len(rest) > 1 else None)


def _of_year(tongue: Tongue, year: int, *, day_too: bool) -> str:
    if day_too:
        return tongue.gettext("%(year)s, month and day not known", year=year)
    return tongue.gettext("%(year)s, month not known", year=year)


def _of_month(tongue: Tongue, year: int, month: int, day: str | None) -> str:
    first = datetime.date(year, month, 1)
    said = format_skeleton("yMMMM", first, locale=tongue.locale)
    if day is None:
        return said
    if day == "XX":
        return tongue.gettext("%(month)s, day not known", month=said)
    if int(day) == 1 and (FIRST, FIRST_DAY) in tongue.words:
        return tongue.pgettext(FIRST, FIRST_DAY, month=said)
    return format_date(first.replace(day=int(day)), "long", tongue.locale)


def life(tongue: Tongue, printed: str) -> str:
    """Life dates as a paper prints them in English; what is none of its forms stands as it is."""
    first, dash, last = printed.partition("–")
    if dash:
        return f"{_year(tongue, first)}–{_year(tongue, last)}"
    if printed.startswith("born "):
        return tongue.gettext("born %(year)s", year=_year(tongue, printed.removeprefix("born ")))
    if printed.startswith("died "):
        return tongue.gettext("died %(year)s", year=_year(tongue, printed.removeprefix("died ")))
    return printed


def _year(tongue: Tongue, printed: str) -> str:
    """A year as it is said in English, in a language."""
    if found := _SAID.fullmatch(printed):
        marks = {(True, True): "%", (True, False): "~", (False, True): "?", (False, False): ""}
        mark = marks[bool(found["about"]), bool(found["uncertain"])]
        return when(tongue, f"{int(found['year']):04d}{mark}")
    if found := _BETWEEN.fullmatch(printed):
        return tongue.gettext("between %(first)s and %(last)s", first=found[1], last=found[2])
    return printed


def _season(tongue: Tongue, year: int, season: str) -> str:
    if season == "21":
        return tongue.gettext("spring %(year)s", year=year)
    if season == "22":
        return tongue.gettext("summer %(year)s", year=year)
    if season == "23":
        return tongue.gettext("autumn %(year)s", year=year)
    return tongue.gettext("winter %(year)s", year=year)
