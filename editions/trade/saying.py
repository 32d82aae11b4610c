"""What is said to people in words that another language may put otherwise: a message and values.

Whatever is said is a text: the English, as it always stood.  It also keeps the message that it was
made from, with its placeholders, and the values apart from it; a page looks the message up in its
language and puts the values in there.  A value is never taken for a part of the message.  It may be
said itself, be a day, or be a row of texts.

>>> one = said("Entry {entry} of {size}.", entry=3, size=8)
>>> one, one.message, one.values["entry"]
('Entry 3 of 8.', 'Entry {entry} of {size}.', 3)
>>> concerned = Row((said("a heat"), "{x}"))
>>> said("Signed, {day}; it concerns {what}.", day=Day("2026-03-12"), what=concerned)
'Signed, 12 March 2026; it concerns a heat, {x}.'
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

from editions.trade.dates import say_when


class Said(str):
    """A text in English, with the message and the values that it was made from."""

    __slots__ = ("message", "values")

    message: str
    values: Mapping[str, object]


class Day(str):
    """A date as it is kept, which a message says in words."""

    __slots__ = ()

    def __format__(self, _: str) -> str:
        return say_when(self)


class Figure(str):
    """A number as typed, to which a language gives its own decimal mark."""

    __slots__ = ()


class Row(tuple[str, ...]):
    """Texts that a message says one after the other."""

    __slots__ = ()

    def __format__(self, _: str) -> str:
        return ", ".join(self)


def said(message: str, /, **values: object) -> Said:
    """A message with its values; the message stands in the source as one literal.

    Args:
        message: A whole sentence or clause, a value's place as ``{name}``.
        values: By name; each a text, a number, something said, or a value of the classes above.
    """
    made = Said(message.format(**values) if values else message)
    made.message, made.values = message, values
    return made


def marked(message: str) -> str:
    """A message of a table, said later with its values: marked, so that catalogues have it."""
    return message


def recognised(text: str, messages: Iterable[str]) -> str:
    """A text that was kept in English, said by the first message that it was made from, if any.

    >>> recognised("outside, 0.06 above", ["within", "outside, {by} above"]).values
    {'by': '0.06'}
    """
    for message in messages:
        if found := _pattern(message).fullmatch(text):
            return said(message, **found.groupdict())
    return text


@lru_cache(maxsize=256)
def _pattern(message: str) -> re.Pattern[str]:
    parts = re.split(r"\{(\w+)\}", message)
    named = (f"(?P<{part}>.+?)" if at % 2 else re.escape(part) for at, part in enumerate(parts))
    return re.compile("".join(named), re.DOTALL)


def plain(value: object) -> str:
    """What is said as a bare text, for an encoder that knows no other.

    Raises:
        TypeError: For anything else.
    """
    if isinstance(value, Said):
        return str(value)
    raise TypeError(f"{type(value).__name__} is nothing that is said.")
