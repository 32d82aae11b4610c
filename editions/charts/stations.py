"""Measured stations against a reference: a line each, the whole below, zones of expectation behind.

Across lies the size against the reference in per cent, smaller to the left.  Each station shows its
figure and how sure it is; one set apart is hollow and says so.  A zone is where bronzes of one
generation measure; a consistent one is shaded and says so, the others are outlines.  What the
comparison cannot see stands under the picture, so that it travels with it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from editions.charts.drawing import element, path, sheet, window
from editions.charts.plot import heading, ticked, words
from editions.charts.scales import Scale, around, ticks
from editions.charts.zones import ROW, Zone, drawn, in_reach, placed

WIDTH = 720
_ACROSS = (168, WIDTH - 132)
_TOP = 110
_AXIS, _FOOT, _LINE = 60, 17, 100
_LONGEST = 24


__all__ = ["Bar", "Words", "Zone", "signed", "stations_chart"]


class Bar(NamedTuple):
    """A figure and its interval, in per cent against the reference."""

    label: str
    figure: float
    low: float
    high: float
    apart: bool = False


class Words(NamedTuple):
    """What the chart says: its title, what it shows in sentences, and notes below it."""

    title: str
    subtitle: str
    description: str
    notes: Sequence[str] = ()


def stations_chart(
    said: Words, bars: Sequence[Bar], wholes: Sequence[Bar], zones: Sequence[Zone]
) -> str:
    """Return the chart as SVG text.

    Args:
        said: Its words.
        bars: One a station, from the top.
        wholes: The estimate of all of them, and others to set beside it.
        zones: Those to show where they lie within reach of what was measured.
    """
    figures = [bar.figure for bar in (*bars, *wholes)]
    seen = in_reach(zones, min(figures), max(figures))
    # An estimate's interval may reach far beyond the rest; it is cut off rather than all shrunk.
    spans = [(bar.low, bar.high) for bar in bars] + [(zone.low, zone.high) for zone in seen]
    ends = figures + [end for span in spans for end in span]
    x = Scale(*around(ends, 0.03), *_ACROSS)
    shown = placed(seen, x)
    top = _TOP + ROW * max(one.row for one in shown)
    step = 26 if len(bars) <= 12 else 20
    bottom = top + step * (len(bars) + len(wholes)) + 22
    foot = [line for note in said.notes for line in textwrap.wrap(note, _LINE)]
    parts = [
        *heading(said.title, said.subtitle),
        *(part for one in shown for part in drawn(one, x, top - 4, bottom)),
        *_axis(x, bottom),
        *_rows(bars, wholes, x, top, step),
        *(words(t, 16, bottom + _AXIS + _FOOT * n, class_="soft") for n, t in enumerate(foot)),
    ]
    height = bottom + _AXIS + _FOOT * len(foot) + 8
    return sheet(WIDTH, height, said.title, said.description, parts)


def _rows(bars: Sequence[Bar], wholes: Sequence[Bar], x: Scale, top: int, step: int) -> list[str]:
    """Return a line a station, a rule, and a line an estimate."""
    rule = top + step * len(bars) + 12
    lines = [
        part for n, bar in enumerate(bars) for part in _bar(bar, x, top + step * (n + 0.5) + 6)
    ]
    lines.append(element("line", x1=16, y1=rule, x2=WIDTH - 16, y2=rule, class_="grid"))
    return lines + [
        part for n, bar in enumerate(wholes) for part in _whole(bar, x, rule + 4 + step * (n + 0.5))
    ]


def signed(percent: float) -> str:
    """Return a percentage with its sign, set as print has it: ``−2.51``."""
    return f"{percent:+.2f}".replace("-", "−")


def _axis(x: Scale, bottom: float) -> list[str]:
    marks = ticks(x.low, x.high)
    return [
        element("line", x1=x.start, y1=bottom, x2=x.end, y2=bottom, class_="axis"),
        *(ticked(x(mark), bottom, str(mark).replace("-", "−")) for mark in marks),
        words("size against the reference, %", x.end, bottom + 38, anchor="end", class_="soft"),
    ]


def _bar(bar: Bar, x: Scale, y: float) -> list[str]:
    at = x(bar.figure)
    name = bar.label if len(bar.label) <= _LONGEST else f"{bar.label[: _LONGEST - 1]}…"
    told = f"{signed(bar.figure)} %" + (" apart" if bar.apart else "")
    return [
        words(name, 16, y + 4),
        element("line", x1=x(bar.low), y1=y, x2=x(bar.high), y2=y, class_="mark"),
        element("circle", cx=at, cy=y, r=5, class_="hollow" if bar.apart else "dot"),
        words(told, x.end + 14, y + 4, class_="figure alert" if bar.apart else "figure"),
    ]


def _whole(bar: Bar, x: Scale, y: float) -> list[str]:
    """Return the diamond of an estimate: as wide as its interval, cut off where the scale ends."""
    at = x(bar.figure)
    corners = [(x(bar.low), y), (at, y - 7), (x(bar.high), y), (at, y + 7)]
    diamond = path(corners, closed=True)
    name = "hollow" if bar.apart else "whole"
    return [
        words(bar.label, 16, y + 4, class_="strong"),
        window(x.start, y - 9, x.end - x.start, 18, [element("path", d=diamond, class_=name)]),
        words(f"{signed(bar.figure)} %", x.end + 14, y + 4, class_="figure strong"),
    ]
