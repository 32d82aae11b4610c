"""What pages draw, as filters of the templates: runs, analyses, pulls; and the words beside them.

Nothing stands in a drawing alone: each has a table, or a line of words, that says all of it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from editions.charts.bars import Pulled, limit_bar, pull_bar
from editions.charts.punches import Row, Shape, Stretch, punches
from editions.pages import spoken
from editions.pages.casting import Figure, PullsView
from editions.pages.tongues import Tongue
from editions.pages.values import RunView, Series
from editions.rules.designations import HIGHEST, LETTERS, Designation, roman

_ORDER: tuple[Shape, ...] = ("this", "awaited", "known", "outside", "declared")


def struck(tongue: Tongue, run: RunView) -> Markup:
    """The run as struck figures; empty where it publishes no number of marks that can be seen."""
    rows = [Row(one.name, one.stretches, _figures(one)) for one in run.series]
    said = tongue.gettext("%(run)s: the marks of the run; the table tells them.", run=run.code)
    return Markup(punches(rows, said))  # noqa: S704 - escaped


def _figures(series: Series) -> list[str] | str:
    if series.numerals == "roman" and series.of <= HIGHEST:
        return [roman(n) for n in range(1, series.of + 1)]
    if series.numerals == "letter" and series.of <= len(LETTERS):
        return list(LETTERS[: series.of])
    return "arabic"


def legend(tongue: Tongue, run: RunView) -> list[tuple[Shape, str]]:
    """By shape, the designations that it stands for: ``1/8, 4/8 to 8/8, AP I/IV to AP IV/IV``."""
    told: dict[Shape, list[str]] = {}
    for series in run.series:
        for stretch in series.stretches:
            told.setdefault(stretch.shape, []).append(_range(tongue, series, stretch))
    if run.designation and run.own not in told:
        told[run.own] = [run.designation]
    return [(shape, ", ".join(told[shape])) for shape in _ORDER if shape in told]


def _range(tongue: Tongue, series: Series, stretch: Stretch) -> str:
    first, last = (_named(series, at) for at in (stretch.first, stretch.last))
    if stretch.first == stretch.last:
        return first
    return tongue.gettext("%(first)s to %(last)s", first=first, last=last)


def _named(series: Series, position: int) -> str:
    figures = _figures(series)
    if isinstance(figures, str):
        return str(Designation(series.name, position, series.of, "arabic"))
    if series.numerals == "letter":
        return figures[position - 1]
    return str(Designation(series.name, position, series.of, "roman"))


def against(figure: Figure) -> Markup:
    """What was found of an element against what it may be; empty where it has no limit."""
    if figure.low is None and figure.high is None:
        return Markup("")
    found = [_value(one) for one in figure.found if one]
    return Markup(limit_bar(figure.low, figure.high, found))  # noqa: S704 - figures alone


def spread(tongue: Tongue, figure: Figure) -> str:
    """What was found of an element in several heats, from the least to the most, as written."""
    found = sorted(filter(None, figure.found), key=_value)
    if not found:
        return "–"
    low, high = (tongue.figures(one) for one in (found[0], found[-1]))
    return low if low == high else tongue.gettext("%(low)s to %(high)s", low=low, high=high)


def _value(found: str) -> float:
    return float(found.removeprefix("<"))


def pulled(view: PullsView) -> Markup:
    """The pulls of a mold's section by condition."""
    return Markup(pull_bar(view.pulls, view.own))  # noqa: S704 - figures alone


def stretches(tongue: Tongue, view: PullsView) -> str:
    """Pulls by condition in words: ``1 to 4 not inspected, 5 to 12 sound``."""
    return ", ".join(_pulls(tongue, one) for one in view.pulls)


def _pulls(tongue: Tongue, one: Pulled) -> str:
    pulls = str(one.first)
    if one.first != one.last:
        pulls = tongue.gettext("%(first)s to %(last)s", first=one.first, last=one.last)
    return f"{pulls} {spoken.said(tongue, one.condition)}"


DRAWN: dict[str, Callable[..., Any]] = {"against": against, "pulled": pulled}
SAID: dict[str, Callable[..., Any]] = {
    each.__name__: each for each in (struck, legend, stretches, spread)
}
