"""The plotting core: two axes, and what is laid between them, one call a layer.

Layers are drawn in the order of the calls; labels stand at the things they name, so that no legend
is needed and none is told by its colour alone::

    plot = Plot("Tear of the mold by pulls", described, x=Axis(0, 60, "pulls"), y=Axis(0, 6, "mm"))
    plot.band(low, high)                    # points of two lines, the space between them shaded
    plot.line(fitted, "fit")
    plot.across(5, "threshold, 5 mm")       # a warning line at a height
    plot.upright(40, "retire at 40")
    plot.dots(measured)
    svg = plot.svg()
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from editions.charts.drawing import Number, element, path, sheet, window
from editions.charts.scales import Scale, ticks

Points = Sequence[tuple[Number, Number]]

WIDTH, HEIGHT = 720, 440
LEFT, RIGHT, TOP, BOTTOM = 64, 24, 84, 54
_LINE = 18  # pixels from one line of text to the next


class Axis(NamedTuple):
    """The figures of an axis from ``low`` to ``high``, and what they are in a word or two."""

    low: float
    high: float
    label: str


class Plot:
    """A chart under way; :meth:`svg` gives it as it stands."""

    def __init__(
        self,
        title: str,
        description: str,
        *,
        x: Axis,
        y: Axis,
        subtitle: str = "",
        width: int = WIDTH,
        height: int = HEIGHT,
    ) -> None:
        self.title, self.description, self.subtitle = title, description, subtitle
        self.width, self.height = width, height
        self._labels = (x.label, y.label)
        self.x = Scale(x.low, x.high, LEFT, width - RIGHT)
        self.y = Scale(y.low, y.high, height - BOTTOM, TOP)
        self._layers: list[str] = []

    def band(self, low: Points, high: Points) -> None:
        """Shade the space between two lines, given from left to right."""
        outline = path(self._places([*low, *reversed(high)]), closed=True)
        self._layers.append(self._within(element("path", d=outline, class_="band")))

    def line(self, points: Points, label: str = "") -> None:
        """Draw a line through points, its label over its last point."""
        drawn = element("path", d=path(self._places(points)), class_="mark")
        self._layers.append(self._within(drawn))
        if label:
            x, y = self._places(points[-1:])[0]
            self._layers.append(words(label, x, y - 8, anchor="end", class_="strong"))

    def dots(self, points: Points, *, hollow: bool = False) -> None:
        """Draw a dot at each point; a hollow one is set apart from the rest."""
        kind = "hollow" if hollow else "dot"
        self._layers += [
            element("circle", cx=x, cy=y, r=5, class_=kind) for x, y in self._places(points)
        ]

    def across(self, height: Number, label: str) -> None:
        """Draw a dashed line across at a height, its label over its left end."""
        y = self.y(height)
        self._layers += [
            element("line", x1=self.x.start, y1=y, x2=self.x.end, y2=y, class_="warn"),
            words(label, self.x.start + 6, y - 7, class_="alert"),
        ]

    def upright(self, figure: Number, label: str, *, row: int = 0) -> None:
        """Draw an upright line at a figure, its label beside its top; ``row`` lowers the label."""
        x = self.x(figure)
        late = x > (self.x.start + self.x.end) / 2
        self._layers += [
            element("line", x1=x, y1=self.y.start, x2=x, y2=self.y.end, class_="edge"),
            words(
                label,
                x + (-6 if late else 6),
                self.y.end + 14 + row * _LINE,
                anchor="end" if late else "start",
            ),
        ]

    def svg(self) -> str:
        """Return the chart as SVG text."""
        parts = [*heading(self.title, self.subtitle), *self._axes(), *self._layers]
        return sheet(self.width, self.height, self.title, self.description, parts)

    def _places(self, points: Points) -> list[tuple[float, float]]:
        return [(self.x(x), self.y(y)) for x, y in points]

    def _within(self, part: str) -> str:
        """Return a part cut off at the axes."""
        width, height = self.x.end - self.x.start, self.y.start - self.y.end
        return window(self.x.start, self.y.end, width, height, (part,))

    def _axes(self) -> list[str]:
        across, upward = self._labels
        bottom = self.y.start
        parts = [
            *(_height(self.x, self.y(tick), str(tick)) for tick in ticks(self.y.low, self.y.high)),
            *(ticked(self.x(tick), bottom, str(tick)) for tick in ticks(self.x.low, self.x.high)),
            element("line", x1=self.x.start, y1=bottom, x2=self.x.end, y2=bottom, class_="axis"),
            words(across, self.x.end, bottom + 40, anchor="end", class_="soft"),
        ]
        # The unit of the heights stands above them, where it is read without turning the head.
        return [*parts, words(upward, 16, TOP - 12, class_="soft")]


def words(
    text: str, x: float, y: float, *, anchor: str = "start", class_: str = "figure", **more: str
) -> str:
    """Return a line of text at a place."""
    return element("text", text, x=x, y=y, text_anchor=anchor, class_=class_, **more)


def heading(title: str, subtitle: str) -> list[str]:
    """Return the title at the top left, and a softer line below it."""
    parts = [words(title, 16, 26, class_="heading")]
    return [*parts, words(subtitle, 16, 44, class_="soft")] if subtitle else parts


def ticked(x: float, y: float, label: str) -> str:
    """Return a tick below an axis, with its figure."""
    return element("line", x1=x, y1=y, x2=x, y2=y + 5, class_="axis") + words(
        label, x, y + 20, anchor="middle", class_="soft figure"
    )


def _height(x: Scale, y: float, label: str) -> str:
    return element("line", x1=x.start, y1=y, x2=x.end, y2=y, class_="grid") + words(
        label, x.start - 8, y + 4, anchor="end", class_="soft figure"
    )
