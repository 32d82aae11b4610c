r"""Style, script and templates as pages carry them: in a page's language, and without what is idle.

A message of a script stands in it as a template marked with ``say``, with plain names in its holes;
its key in the catalogue is the English text with the names in braces.  The mark is gone when the
script is made: what travels is the message in one language, and no table.

>>> source = 'refuse(say`The key is that of ${name}.`);\n'
>>> messages(source)
[(1, 'The key is that of {name}.')]
>>> french = {"The key is that of {name}.": "La clé est celle de {name}."}
>>> script(source, french.__getitem__)
'refuse(`La clé est celle de ${name}.`);'
>>> style("/* Why. */\na > b {\n  c: d, \"e, f\";\n}\n")
'a>b{c:d,"e, f"}'
"""

from __future__ import annotations

import re
from collections.abc import Callable

import rcssmin
import rjsmin

# One template: none in its holes, which rjsmin would not see either.
_MESSAGE = re.compile(r"\bsay`([^`\\]*)`")
_HOLE = re.compile(r"\$\{(\w+)\}")
_NAMED = re.compile(r"\{(\w+)\}")
# HTML, 13.1.2.4 "Optional tags": each is followed by its like, or ends its parent; a paragraph is
# ended by what cannot stand in one.
_IMPLIED = re.compile(
    r"</(?:li|dt|dd|tr|th|td)>"
    r"|</p>(?=(?:\s|{% endfor %})*"
    r"(?:</(?:div|section|li|article|footer|form)>|<(?:p|ul|ol|dl|div|section|h[23])\b))"
)


def style(text: str) -> str:
    """A style sheet as it is sent."""
    return str(rcssmin.cssmin(text)).strip()


def script(text: str, gettext: Callable[[str], str] = str) -> str:
    """A script as it is sent, its messages in the language that ``gettext`` gives them in."""
    return str(rjsmin.jsmin(_MESSAGE.sub(lambda found: _said(found[1], gettext), text)))


def template(text: str) -> str:
    """A template without the end tags that HTML lets be left out."""
    return _IMPLIED.sub("", text)


def messages(text: str) -> list[tuple[int, str]]:
    """The messages of a script, each with the line it begins in, as catalogues name them."""
    return [
        (text.count("\n", 0, found.start()) + 1, _key(found[1]))
        for found in _MESSAGE.finditer(text)
    ]


def _key(message: str) -> str:
    return _HOLE.sub(r"{\1}", message)


def _said(message: str, gettext: Callable[[str], str]) -> str:
    """A message as a template; one whose translation names other values stays English."""
    key = _key(message)
    words = gettext(key)
    if set(_NAMED.findall(words)) != set(_NAMED.findall(key)):
        words = key
    holes = _NAMED.sub(r"${\1}", _harmless(words))
    return f"`{holes}`"


def _harmless(words: str) -> str:
    """A translation that can end neither its template nor the script it stands in."""
    bare = words.replace("\\", "\\\\").replace("`", "\\`").replace("${", "\\${")
    return bare.replace("</", "<\\/").replace("<!--", "<\\!--")
