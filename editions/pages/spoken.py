"""What Python says on a page, put into the page's language.

>>> from editions.pages.tongues import english
>>> from editions.trade.saying import Day, said as say
>>> said(english(), say("Signed, {day}.", day=Day("2026-03-12")))
'Signed, 12 March 2026.'
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from markupsafe import Markup, escape

from editions.pages import amounts, dating
from editions.pages.retelling import Amount, Life
from editions.pages.tongues import Tongue
from editions.trade.saying import Day, Figure, Row, Said


def own(text: str) -> Markup:
    """Someone's own words, set apart so that no script of theirs disturbs the line around them."""
    return Markup(f"<bdi>{escape(text)}</bdi>")  # noqa: S704 - escaped


def said(tongue: Tongue, what: str) -> str:
    """What was said, in a language; a bare text is its own key, or somebody's own words."""
    if not isinstance(what, Said):
        return tongue.gettext(what) if what else ""
    message = tongue.gettext(what.message)
    values = {name: told(tongue, one) for name, one in what.values.items()}
    return message.format(**values) if values else message


def told(tongue: Tongue, value: object) -> str:
    """A value of a message: a day, something said, several in a row; all else stands as it is."""
    say = _TOLD.get(type(value))
    return say(tongue, value) if say else str(value)


def _amount(tongue: Tongue, value: str) -> str:
    return amounts.measured(tongue, amounts.read(value))


def _figure(tongue: Tongue, value: str) -> str:
    return tongue.figures(value)


def _row(tongue: Tongue, values: Iterable[str]) -> str:
    return ", ".join(told(tongue, one) for one in values)


_TOLD: dict[type, Callable[[Tongue, Any], str]] = {
    Amount: _amount,
    Day: dating.when,
    Figure: _figure,
    Life: dating.life,
    Row: _row,
    Said: said,
}
