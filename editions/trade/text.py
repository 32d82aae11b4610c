r"""Text as people type and paste it, made safe to keep and to print.

Kept text is Unicode normalization form C, without space at its ends, and holds nothing that a
reader cannot see or that rearranges what is read: no control characters, no lone surrogates, no
noncharacters, no bidirectional overrides.  Marks that a script needs inside a word (joiners) stay.
Over-long text is refused, never cut.  What is accepted once is accepted again unchanged.

>>> clean("  Cafe\u0301 at night ")
'Café at night'
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from editions.errors import Unreadable

LIMIT = 2000

# Space separators (Unicode category Zs) and what a paste leaves at its ends; never other controls.
_EDGES = (
    " \t\r\n\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u202f\u205f\u3000"
)

_FORBIDDEN = re.compile(
    "(?P<control>[\x00-\x09\x0b-\x1f\x7f-\x9f])"
    "|(?P<line>[\n\u2028\u2029])"
    "|(?P<surrogate>[\ud800-\udfff])"
    "|(?P<bidi>[\u202a-\u202e\u2066-\u2069])"
    "|(?P<nonchar>[\ufdd0-\ufdef\ufeff"
    + "".join(chr(plane << 16 | low) for plane in range(17) for low in (0xFFFE, 0xFFFF))
    + "])"
)

_WORDS = {
    "control": "a control character",
    "line": "a line break",
    "surrogate": "half of a character",
    "bidi": "a character that reverses the reading direction",
    "nonchar": "a code that is no character",
}


def clean(text: str, limit: int = LIMIT, lines: bool = False) -> str:
    r"""Return the text as it is kept.

    Args:
        text: As typed or pasted.
        limit: The greatest number of characters kept.
        lines: Whether line breaks may stand in the text; they are kept as ``\n``.

    Raises:
        Unreadable: The text holds what may not be kept (said with its place), or is too long.
    """
    if lines:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = unicodedata.normalize("NFC", text).strip(_EDGES)
    if len(text) > limit:
        raise Unreadable(
            f"The text is {len(text)} characters long; at most {limit} are kept.", "Shorten it."
        )
    _refuse_hidden(text, lines)
    return text


def _refuse_hidden(text: str, lines: bool) -> None:
    """Raise for the first character that may not be kept."""
    for found in _FORBIDDEN.finditer(text):
        if lines and found.group() == "\n":
            continue
        what = _WORDS[found.lastgroup or "control"]
        raise Unreadable(
            f"The text holds {what} (U+{ord(found.group()):04X}) at character {found.start() + 1}.",
            "Type the text again without it.",
        )


def a(noun: str) -> str:
    """Return a noun with its article: ``a step``, ``an approval``."""
    return f"{'an' if noun[:1].casefold() in 'aeiou' else 'a'} {noun}"


def meant(text: str, words: Iterable[str]) -> str:
    """Return ``Did you mean shelled?`` where a word is much like the text, else nothing."""
    import difflib

    spelled = {word.casefold(): word for word in words}
    near = difflib.get_close_matches(text.casefold()[:40], spelled, n=1)
    return f"Did you mean {spelled[near[0]]}?" if near else ""


def shown(text: str, limit: int = 40) -> str:
    """Return what someone typed, safe and short enough to repeat in a message."""
    plain = "".join(c if c.isprintable() else "\ufffd" for c in text[: limit + 1])
    return f"“{plain[:limit]}…”" if len(plain) > limit else f"“{plain}”"
