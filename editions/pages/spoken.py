"""What Python says on a page, put into the page's language.

>>> from editions.pages.tongues import english
>>> from editions.trade.saying import Day, said as say
>>> said(english(), say("Signed, {day}.", day=Day("2026-03-12")))
'Signed, 12 March 2026.'
"""

from __future__ import annotations

from markupsafe import Markup, escape

from editions.pages import dating
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
    if isinstance(value, Day):
        return dating.when(tongue, value)
    if isinstance(value, Said):
        return said(tongue, value)
    if isinstance(value, Figure):
        return tongue.figures(value)
    if isinstance(value, Row):
        return ", ".join(told(tongue, one) for one in value)
    return str(value)
