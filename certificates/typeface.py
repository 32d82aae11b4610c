"""Type on the paper: which font draws which letter, how wide it is, and where lines break.

Text is set in EB Garamond (SIL Open Font License), kerned; a word with a letter that it lacks is
set whole in DejaVu Serif, a little smaller so that both sit together.  Together they carry Latin,
Greek (polytonic too), Cyrillic, Armenian and Georgian.  Digests are set in DejaVu Sans Mono.

Nothing here shapes or reorders letters, so scripts that need it (Arabic, Hebrew, the scripts of
India, Thai and others) and scripts without a glyph (Chinese, Japanese, Korean) are never drawn
wrongly in silence: each such letter becomes a square, :func:`cannot_draw` tells which, and the
paper says what a square means.  Marks are composed (NFC) before they are drawn.

>>> cannot_draw("Ἀφροδίτη 静 και")
'静'
"""

from __future__ import annotations

import functools
import json
import re
import unicodedata
from collections.abc import Iterator
from importlib.resources import files
from typing import Literal, NamedTuple

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

Face = Literal["roman", "italic", "mono"]

BOX = "□"

_FILES = {
    "bb-roman": "EBGaramond12-Regular",
    "bb-italic": "EBGaramond12-Italic",
    "bb-serif": "DejaVuSerif",
    "bb-mono": "DejaVuSansMono",
}
_CHAINS: dict[Face, tuple[str, ...]] = {
    "roman": ("bb-roman", "bb-serif"),
    "italic": ("bb-italic", "bb-roman", "bb-serif"),
    "mono": ("bb-mono", "bb-serif", "bb-roman"),
}
# DejaVu Serif has a larger eye than Garamond: x-heights 0.519 and 0.400 em.
_SCALE = {"bb-serif": 0.82}
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_FIXED_SPACE = "\u00a0"
_WORDS = re.compile(" +|[^ ]+")


class Run(NamedTuple):
    """Letters drawn with one font; ``scale`` applies to the size, ``kerns`` (em) follow letters."""

    font: str
    scale: float
    text: str
    kerns: tuple[float, ...]


def cannot_draw(text: str) -> str:
    """The letters of a text that the paper would replace by a square, each once, sorted."""
    return "".join(sorted({c for c in composed(text) if not _drawable(c)}))


def runs(text: str, face: Face) -> tuple[Run, ...]:
    """The text as runs of one font each, with squares for what cannot be drawn."""
    return tuple(run for word in _WORDS.findall(composed(text)) for run in _word(word, face))


def width(text: str, face: Face, size: float, spacing: float = 0.0) -> float:
    """The width of a line in points, with ``spacing`` points after each letter."""
    line = composed(text)
    return size * sum(_ems(word, face) for word in _WORDS.findall(line)) + spacing * len(line)


def wrap(text: str, face: Face, size: float, room: float) -> list[str]:
    """The text in lines at most ``room`` points wide; a word that is too long is broken."""
    space = width(" ", face, size)
    lines: list[list[str]] = [[]]
    used = 0.0
    for word in _words(composed(text), face, size, room):
        wide = width(word, face, size)
        if lines[-1] and used + space + wide > room:
            lines.append([])
        used = used + space + wide if lines[-1] else wide
        lines[-1].append(word)
    return [" ".join(line) for line in lines if line]


def shortened(text: str, face: Face, size: float, room: float) -> str:
    """The text, or as much of its beginning as fits one line with an ellipsis."""
    text = " ".join(composed(text).split(" ")).strip()
    if width(text, face, size) <= room:
        return text
    return f"{text[: _fitting(text, face, size, room, '…')].rstrip()}…"


def composed(text: str) -> str:
    """NFC, every space a plain or a fixed one, without joiners, selectors and controls."""
    spaced = (" " if c.isspace() and c != _FIXED_SPACE else c for c in _normal(text))
    return "".join(c for c in spaced if not _shapeless(c))


def ready() -> str:
    """Register the fonts with the drawing library; the name of the first one."""
    return next(iter(_fonts()))


def _normal(text: str) -> str:
    return unicodedata.normalize("NFC", text)


def _shapeless(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cf", "Cc") or "\ufe00" <= letter <= "\ufe0f"


def _words(line: str, face: Face, size: float, room: float) -> Iterator[str]:
    for word in filter(None, line.split(" ")):
        rest = word
        while width(rest, face, size) > room:
            at = max(1, _fitting(rest, face, size, room))
            yield rest[:at]
            rest = rest[at:]
        yield rest


def _fitting(text: str, face: Face, size: float, room: float, tail: str = "") -> int:
    """How many letters from the start fit, with a tail, into ``room`` points; by halving."""
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width(text[:middle] + tail, face, size) <= room:
            low = middle
        else:
            high = middle - 1
    return low


@functools.lru_cache(maxsize=8192)
def _ems(word: str, face: Face) -> float:
    """The width of a word in em of the size asked for."""
    fonts = _fonts()
    return sum(
        run.scale * (float(fonts[run.font].stringWidth(run.text, 1.0)) + sum(run.kerns))
        for run in _word(word, face)
    )


@functools.lru_cache(maxsize=8192)
def _word(word: str, face: Face) -> tuple[Run, ...]:
    """A word in the first font that carries all of it, else letter by letter."""
    shown = "".join(c if _drawable(c) else BOX for c in word)
    chain = _CHAINS[face]
    whole = next((font for font in chain if _carries(font, shown)), None)
    if whole:
        return (_run(whole, shown),)
    return tuple(_run(next(f for f in chain if _carries(f, c)), c) for c in shown)


def _run(font: str, text: str) -> Run:
    kerns = tuple(map(_kern, [font] * len(text), text, text[1:] + " "))
    return Run(font, _SCALE.get(font, 1.0), text, kerns)


@functools.lru_cache(maxsize=4096)
def _drawable(letter: str) -> bool:
    left_to_right = unicodedata.bidirectional(letter) not in _RIGHT_TO_LEFT
    return left_to_right and any(_carries(font, letter) for font in _CHAINS["roman"])


def _carries(font: str, text: str) -> bool:
    glyphs = _fonts()[font].face.charToGlyph
    return all(ord(c) in glyphs for c in text)


def _kern(font: str, before: str, after: str) -> float:
    """The kern between two letters in em; nought where the font has none."""
    table = _kerning().get(_FILES[font])
    if table is None:
        return 0.0
    left, right, pairs = table
    return pairs.get((left.get(before, -1), right.get(after, -1)), 0) / 1000


@functools.cache
def _kerning() -> dict[str, tuple[dict[str, int], dict[str, int], dict[tuple[int, int], int]]]:
    """Per font: the class of each letter as the left and as the right of a pair, and the kerns."""
    text = (files("certificates") / "fonts" / "kerning.json").read_text(encoding="utf-8")
    return {
        font: (
            _classes(table["left"]),
            _classes(table["right"]),
            {(int(a), int(b)): k for a, row in table["pairs"].items() for b, k in row.items()},
        )
        for font, table in json.loads(text).items()
    }


def _classes(groups: list[str]) -> dict[str, int]:
    return {letter: at for at, group in enumerate(groups) for letter in group}


@functools.cache
def _fonts() -> dict[str, TTFont]:
    folder = files("certificates") / "fonts"
    fonts = {name: TTFont(name, str(folder / f"{file}.ttf")) for name, file in _FILES.items()}
    for font in fonts.values():
        pdfmetrics.registerFont(font)
    return fonts
