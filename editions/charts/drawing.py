"""SVG elements as text, in one look.

Colours are custom properties that a dark system replaces and a printer puts back; every mark takes
its colour by a class.  Names of classes begin with the sheet's own, so that a chart standing in a
page changes nothing around it.

>>> element("line", x1=0, y1=Fraction(1, 3), class_="rule")
'<line x1="0" y1="0.33" class="rule"/>'
>>> element("text", "a < b", x=1.5)
'<text x="1.5">a &lt; b</text>'
"""

from __future__ import annotations

import html
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from zlib import crc32

Number = int | float | Decimal | Fraction

_LIGHT = (
    "--paper:#fdfaf3;--ink:#2a2119;--soft:#67594a;--rule:#d8ccb8;--bronze:#7a5327;--alert:#8a2f1d"
)
_DARK = (
    "--paper:#17120d;--ink:#eee4d3;--soft:#b3a48e;--rule:#43372a;--bronze:#d2a468;--alert:#f0937f"
)
_SANS = (
    '"Avenir Next",Avenir,"Segoe UI",Candara,"Gill Sans","Noto Sans","DejaVu Sans",'
    "system-ui,sans-serif"
)
_STYLE = (
    f".chart{{{_LIGHT};color:var(--ink);font-family:{_SANS};font-size:13px;max-width:100%;"
    "height:auto}"
    f"@media (prefers-color-scheme:dark){{.chart{{{_DARK}}}}}"
    # Paper is white: a dark system prints dark ink all the same.
    f"@media print{{.chart{{{_LIGHT};--paper:#fff}}}}"
    ".chart .ground{fill:var(--paper)}"
    ".chart text{fill:currentColor}"
    ".chart .soft{fill:var(--soft);font-size:12px}"
    ".chart .heading{font-size:16px;font-weight:600}"
    ".chart .strong{font-weight:600}"
    ".chart .figure{font-variant-numeric:tabular-nums}"
    ".chart .alert{fill:var(--alert)}"
    ".chart .grid{stroke:var(--rule);stroke-width:1}"
    ".chart .axis{stroke:var(--soft);stroke-width:1}"
    ".chart .mark{stroke:var(--bronze);fill:none;stroke-width:2;stroke-linecap:round}"
    ".chart .dot{fill:var(--bronze);stroke:var(--paper);stroke-width:1.5}"
    ".chart .hollow{fill:var(--paper);stroke:var(--alert);stroke-width:2}"
    ".chart .warn{stroke:var(--alert);fill:none;stroke-width:1.5;stroke-dasharray:6 4}"
    ".chart .band{fill:var(--bronze);fill-opacity:.16;stroke:none}"
    ".chart .edge{stroke:var(--bronze);stroke-width:1;fill:none}"
    ".chart .faint{fill:none;stroke:var(--soft);stroke-width:1;stroke-dasharray:2 4}"
    ".chart .whole{fill:var(--bronze);stroke:none}"
)
# Characters that XML 1.0 forbids even when escaped.
_UNPRINTABLE = dict.fromkeys((*range(9), 11, 12, *range(14, 32), 0xFFFE, 0xFFFF), "\ufffd")


def number(value: Number) -> str:
    """Return a coordinate with two decimals at most, never in exponent form."""
    text = f"{float(value):.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, *inside: str, **attributes: Number | str) -> str:
    """Return an element that holds text; ``class_`` and ``stroke_width`` lose their underscore."""
    words = html.escape("".join(inside), quote=False).translate(_UNPRINTABLE)
    return _written(name, words, attributes)


def group(name: str, parts: Iterable[str], **attributes: Number | str) -> str:
    """Return an element that holds other elements."""
    return _written(name, "".join(parts), attributes)


def path(points: Iterable[tuple[Number, Number]], *, closed: bool = False) -> str:
    """Return the ``d`` of straight lines through points."""
    steps = " L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{steps}{' Z' if closed else ''}"


def window(x: Number, y: Number, width: Number, height: Number, parts: Iterable[str]) -> str:
    """Return elements of which only what lies in a rectangle is seen; places are kept."""
    view = f"{number(x)} {number(y)} {number(width)} {number(height)}"
    return group("svg", parts, x=x, y=y, width=width, height=height, viewBox=view)


def sheet(width: int, height: int, title: str, description: str, parts: Iterable[str]) -> str:
    """Return a whole drawing, ending in a line break.

    Args:
        width: In pixels; it shrinks to the room there is.
        height: In pixels.
        title: Its name, for a screen reader.
        description: What it shows, in sentences that stand for the picture.
        parts: The elements, from the bottom up.
    """
    # Two charts may stand in one page, where an id is good once.
    name = f"chart-{crc32((title + description).encode()):08x}"
    ground = element("rect", width=width, height=height, class_="ground")
    head = (
        element("title", title, id=f"{name}-title"),
        element("desc", description, id=f"{name}-desc"),
        f"<style>{_STYLE}</style>",
        ground,
    )
    drawing = group(
        "svg",
        (*head, *parts),
        xmlns="http://www.w3.org/2000/svg",
        class_="chart",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
        width=width,
        height=height,
        viewBox=f"0 0 {width} {height}",
    )
    return f"{drawing}\n"


def inset(width: int, height: int, title: str, parts: Iterable[str]) -> str:
    """Return a drawing for the inside of a page, whose own sheet gives its colours and size.

    Args:
        width: Of its field.
        height: Of its field.
        title: Its name for a screen reader; empty where the words beside it say all of it.
        parts: The elements, from the bottom up.
    """
    said = {"role": "img", "aria_label": title} if title else {"aria_hidden": "true"}
    view = f"0 0 {width} {height}"
    size = {"width": width, "height": height} if title else {}
    return group("svg", parts, class_="drawn", viewBox=view, **size, **said)


def _written(name: str, inside: str, attributes: dict[str, Number | str]) -> str:
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
    )
    return f"<{name}{said}>{inside}</{name}>" if inside else f"<{name}{said}/>"


def _value(value: Number | str) -> str:
    if isinstance(value, str):
        return html.escape(value.translate(_UNPRINTABLE))
    return number(value)
