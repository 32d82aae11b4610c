"""Findings of an analysis: lines that the book keeps in English, and a page says in its language.

The lines are those of :func:`editions.registry.acts.heats.finding_text`.  A line of another form
stands as it is.

>>> finding("Si 5.06 (3.5 to 5.0): outside, 0.06 above").message
'{element} {value} ({limit}): {finding}'
"""

from __future__ import annotations

from collections.abc import Callable

from editions.trade.saying import Figure, Said, marked, recognised, said

_LINES = (
    marked("{element} {value} ({limit}): {finding}"),
    marked("{element} ({limit}): {finding}"),
    marked("{element} {value}: {finding}"),
    marked("{element}: {finding}"),
)
_LIMITS = (marked("{low} to {high}"), marked("at least {low}"), marked("at most {high}"))
_VERDICTS = (
    marked("outside, {by} above"),
    marked("outside, {by} below"),
    marked("within"),
    marked("outside"),
    marked("indeterminate"),
)
_FINDINGS = (
    marked("{verdict}; {figure} with nickel, which the note counts towards the minimum"),
    marked("{verdict}; {figure} with {elements}"),
    marked("{verdict}; counts as {figure}"),
    marked("not reported"),
    marked("{elements} not reported"),
    marked("not named by the specification"),
    marked("no limits are held here for this alloy"),
    marked("cannot be told from the figures reported"),
    marked("cannot be told until copper and nickel are both reported exactly"),
    *_VERDICTS,
)
_SUM = marked("sum")
_BOTH = marked("{first} and {last}")


def finding(line: str) -> str:
    """A line of the book, said where it has the form of one."""
    return _again(line, _LINES)


def _again(text: str, messages: tuple[str, ...]) -> str:
    found = recognised(text, messages)
    if not isinstance(found, Said):
        return found
    values = {name: _READ[name](str(one)) for name, one in found.values.items()}
    return said(found.message, **values)


_READ: dict[str, Callable[[str], str]] = {
    "element": lambda text: said(_SUM) if text == _SUM else text,
    "elements": lambda text: recognised(text, (_BOTH,)),
    "first": str,
    "last": str,
    "finding": lambda text: _again(text, _FINDINGS),
    "verdict": lambda text: _again(text, _VERDICTS),
    "limit": lambda text: _again(text, _LIMITS),
    "value": Figure,
    "figure": Figure,
    "low": Figure,
    "high": Figure,
    "by": Figure,
}
