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

from editions.charts.drawing import element, path, sheet
from editions.charts.plot import heading, ticked, words
from editions.charts.scales import Scale, around, ticks

WIDTH = 720
_LEFT, _RIGHT, _TOP = 168, 132, 110
_AXIS, _FOOT, _LINE = 60, 17, 100
_LONGEST = 24


class Bar(NamedTuple):
    """A figure and its interval, in per cent against the reference."""

    label: str
    figure: float
    low: float
    high: float
    apart: bool = False


class Zone(NamedTuple):
    """Where bronzes of a generation measure, in per cent against the reference."""

    label: str
    low: float
    high: float
    fits: bool


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
    step = 26 if len(bars) <= 12 else 20
    bottom = _TOP + step * (len(bars) + len(wholes)) + 22
    seen = _in_reach(bars, wholes, zones)
    x = _scale(bars, wholes, seen)
    foot = [line for note in said.notes for line in textwrap.wrap(note, _LINE)]
    places = [_TOP + step * (n + 0.5) + 6 for n in range(len(bars))]
    below = [_TOP + step * (len(bars) + n + 0.5) + 16 for n in range(len(wholes))]
    parts = [
        *heading(said.title, said.subtitle),
        *(part for zone in seen for part in _zone(zone, x, bottom)),
        *_axis(x, bottom),
        *(part for bar, y in zip(bars, places, strict=True) for part in _bar(bar, x, y)),
        element("line", x1=16, y1=below[0] - 17, x2=WIDTH - 16, y2=below[0] - 17, class_="grid"),
        *(part for bar, y in zip(wholes, below, strict=True) for part in _whole(bar, x, y)),
        *(words(t, 16, bottom + _AXIS + _FOOT * n, class_="soft") for n, t in enumerate(foot)),
    ]
    height = bottom + _AXIS + _FOOT * len(foot) + 8
    return sheet(WIDTH, height, said.title, said.description, parts)


def signed(percent: float) -> str:
    """Return a percentage with its sign, set as print has it: ``−2.51``."""
    return f"{percent:+.2f}".replace("-", "−")


def _in_reach(bars: Sequence[Bar], wholes: Sequence[Bar], zones: Sequence[Zone]) -> list[Zone]:
    """Return the zones that fit or lie within reach; the first two always."""
    low = min(bar.low for bar in (*bars, *wholes))
    high = max(bar.high for bar in (*bars, *wholes))
    return [
        zone
        for n, zone in enumerate(zones)
        if n < 2 or zone.fits or (zone.high > low and zone.low < high)
    ]


def _scale(bars: Sequence[Bar], wholes: Sequence[Bar], zones: Sequence[Zone]) -> Scale:
    spans = [(one.low, one.high) for one in (*bars, *wholes)]
    spans += [(zone.low, zone.high) for zone in zones]
    low, high = around([end for span in spans for end in span], 0.03)
    return Scale(low, high, _LEFT, WIDTH - _RIGHT)


def _zone(zone: Zone, x: Scale, bottom: float) -> list[str]:
    left, right, top = x(zone.low), x(zone.high), _TOP - 4
    frame = {"x": left, "y": top, "width": right - left, "height": bottom - top}
    middle = (left + right) / 2
    name = "figure strong" if zone.fits else "soft"
    return [
        *([element("rect", **frame, class_="band")] if zone.fits else []),
        element("rect", **frame, class_="edge" if zone.fits else "faint"),
        words(zone.label, middle, top - 24, anchor="middle", class_=name),
        words(
            "consistent" if zone.fits else "inconsistent",
            middle,
            top - 8,
            anchor="middle",
            class_=name,
        ),
    ]


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
    """Return the diamond of an estimate: as wide as its interval."""
    at = x(bar.figure)
    corners = [(x(bar.low), y), (at, y - 7), (x(bar.high), y), (at, y + 7)]
    return [
        words(bar.label, 16, y + 4, class_="strong"),
        element("path", d=path(corners, closed=True), class_="hollow" if bar.apart else "whole"),
        words(f"{signed(bar.figure)} %", x.end + 14, y + 4, class_="figure strong"),
    ]
