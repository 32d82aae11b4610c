r"""Style and script as pages carry them: without comments, indentation, or spaces that say nothing.

What is in quotes stays as it is, and so does every line break of the script, whose end of a
statement it may be.

>>> style("/* Why. */\na > b {\n  c: d, \"e, f\";\n}\n")
'a>b{c:d,"e, f"}'
>>> script('const a = (b) => {\n  return "x = y" + `${ c ? `, ${ b }` : "" }`;\n};\n')
'const a=(b)=>{\nreturn "x = y" + `${ c ? `, ${ b }` : "" }`;\n};\n'
"""

from __future__ import annotations

import re
from collections.abc import Iterator

# A comment that ends in mid-line is left: what stands after it is no comment.
_COMMENT = re.compile(r"^\s*/\*(?:(?!\*/).)*\*/$", re.MULTILINE | re.DOTALL)
_INDENTED = re.compile(r"^\s+", re.MULTILINE)
_QUOTED = re.compile(r'"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'')
# After one of these a stroke begins a pattern and no division.
_PATTERN = r"(?<=[(,=:\[!&|?{};])\s*/(?![*/])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/"
_KEPT = re.compile(f"{_QUOTED.pattern}|`|{_PATTERN}")
_IN_STYLE = re.compile(r"\s*([{};,>])\s*|(?<=:)\s+")
# Not plus and minus: two that meet would become another sign.
_IN_SCRIPT = re.compile(r"[ \t]*([=,;:?(){}\[\]<>&|!*])[ \t]*")


def style(text: str) -> str:
    """A style sheet as it is sent."""
    return "".join(_spared(_plain(text), _IN_STYLE)).replace(";}", "}").strip()


def script(text: str) -> str:
    """A script as it is sent; it must hold no comment in mid-line with a quotation mark in it."""
    return "".join(_spared(_plain(text), _IN_SCRIPT))


def _plain(text: str) -> str:
    return _INDENTED.sub("", _COMMENT.sub("", text))


def _spared(text: str, idle: re.Pattern[str]) -> Iterator[str]:
    """The text in pieces: what is quoted as it is, the rest without idle spaces."""
    at = 0
    while found := _KEPT.search(text, at):
        end = _template_end(text, found.end()) if found[0] == "`" else found.end()
        yield idle.sub(r"\1", text[at : found.start()])
        yield text[found.start() : end]
        at = end
    yield idle.sub(r"\1", text[at:])


def _template_end(text: str, at: int) -> int:
    """Where a template ends that begins before ``at``; templates in its holes are its own."""
    while text[at] != "`":
        if text.startswith("${", at):
            at = _hole_end(text, at + 2)
        else:
            at += 2 if text[at] == "\\" else 1
    return at + 1


def _hole_end(text: str, at: int) -> int:
    depth = 1
    while depth:
        if text[at] == "`":
            at = _template_end(text, at + 1)
        elif found := _QUOTED.match(text, at):
            at = found.end()
        else:
            depth += (text[at] == "{") - (text[at] == "}")
            at += 1
    return at
