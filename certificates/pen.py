"""Drawing primitives: a pen that takes millimetres from the top left and never chooses a place.

>>> pen = Pen(SHEETS["A4"], title="An example")
>>> pen.line("Title", 24.0, 50.0, face="italic", size=30.0)
>>> pen.finished()[:5]
b'%PDF-'
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator
from typing import Literal

from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from certificates.layout import POINTS, SHEETS, Box, Sheet
from certificates.qr import QUIET, Matrix
from certificates.typeface import Face, Run, ready, runs, width

Ink = Literal["ink", "bronze", "faint", "white"]
Align = Literal["left", "right", "centre"]

__all__ = ["SHEETS", "Pen"]

_INKS: dict[Ink, tuple[float, float, float]] = {
    "ink": (0.105, 0.098, 0.086),
    "bronze": (0.451, 0.325, 0.165),
    "faint": (0.757, 0.694, 0.588),
    "white": (1.0, 1.0, 1.0),
}


class Pen:
    """Draws on one sheet after another and gives the document's bytes at the end."""

    def __init__(self, sheet: Sheet, title: str) -> None:
        self._sheet = sheet
        self._out = io.BytesIO()
        size = (sheet.width * POINTS, sheet.height * POINTS)
        # invariant: no clock and no random id in the file; the same paper is the same bytes.
        self._canvas = Canvas(self._out, pagesize=size, invariant=1, initialFontName=ready())
        self._canvas.setTitle(title)

    def line(
        self,
        text: str,
        x: float,
        y: float,
        *,
        face: Face = "roman",
        size: float,
        ink: Ink = "ink",
        spacing: float = 0.0,
        align: Align = "left",
    ) -> None:
        """One line of text on the baseline ``y``; ``size`` and ``spacing`` in points."""
        long = width(text, face, size, spacing) / POINTS
        start = x - {"left": 0.0, "right": long, "centre": long / 2}[align]
        text_object = self._canvas.beginText(start * POINTS, self._up(y))
        text_object.setFillColorRGB(*_INKS[ink])
        for run in runs(text, face):
            points = size * run.scale
            text_object.setFont(run.font, points)
            for letters, kern in _kerned(run):
                text_object.setCharSpace(spacing + kern * points)
                text_object.textOut(letters)
        self._canvas.drawText(text_object)

    def rule(self, x: float, y: float, to_x: float, *, ink: Ink, weight: float) -> None:
        """A horizontal rule, ``weight`` in points."""
        self._stroke(ink, weight)
        self._canvas.line(x * POINTS, self._up(y), to_x * POINTS, self._up(y))

    def outline(self, box: Box, *, ink: Ink, weight: float, dash: bool = False) -> None:
        """The outline of a place, whole or dashed."""
        self._stroke(ink, weight)
        self._canvas.setDash(*((1.2, 2.2) if dash else ()))
        self._canvas.rect(
            box.left * POINTS, self._up(box.bottom), box.width * POINTS, box.height * POINTS
        )
        self._canvas.setDash()

    def circle(self, x: float, y: float, radius: float, *, ink: Ink, weight: float = 0.0) -> None:
        """A circle; filled where ``weight`` is nought."""
        self._stroke(ink, weight)
        self._canvas.circle(
            x * POINTS, self._up(y), radius * POINTS, stroke=int(weight > 0), fill=int(weight == 0)
        )

    def rays(
        self, x: float, y: float, inner: float, outer: float, count: int, *, ink: Ink, weight: float
    ) -> None:
        """Short strokes around a centre, as on the edge of a struck piece."""
        self._stroke(ink, weight)
        path = self._canvas.beginPath()
        for turn in range(count):
            angle = 2 * math.pi * turn / count
            across, along = math.sin(angle), math.cos(angle)
            path.moveTo((x + inner * across) * POINTS, self._up(y - inner * along))
            path.lineTo((x + outer * across) * POINTS, self._up(y - outer * along))
        self._canvas.drawPath(path)

    def shape(self, corners: tuple[tuple[float, ...], ...], *, ink: Ink, weight: float) -> None:
        """A path: a start, then lines (2 numbers) and curves (6); filled where ``weight`` is 0."""
        self._stroke(ink, weight)
        path = self._canvas.beginPath()
        for at, corner in enumerate(corners):
            points = [
                value * POINTS if odd % 2 == 0 else self._up(value)
                for odd, value in enumerate(corner)
            ]
            draw = path.moveTo if at == 0 else path.lineTo if len(points) == 2 else path.curveTo
            draw(*points)
        self._canvas.drawPath(path, stroke=int(weight > 0), fill=int(weight == 0))

    def code(self, matrix: Matrix, box: Box) -> None:
        """A code with its quiet zone inside a square place, on white."""
        module = box.width / (matrix.size + 2 * QUIET)
        path = self._canvas.beginPath()
        for row, first, length in matrix.dark_runs():
            x = box.left + (first + QUIET) * module
            y = box.top + (row + QUIET + 1) * module
            path.rect(x * POINTS, self._up(y), length * module * POINTS, module * POINTS)
        self._canvas.setFillColorRGB(0, 0, 0)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def picture(self, data: bytes, box: Box) -> None:
        """A picture at the upper right of a place, whole and undistorted, in a fine frame."""
        image = ImageReader(io.BytesIO(data))
        wide, high = image.getSize()
        scale = min(box.width / wide, box.height / high)
        placed = Box(box.right - wide * scale, box.top, wide * scale, high * scale)
        self._canvas.drawImage(
            image,
            placed.left * POINTS,
            self._up(placed.bottom),
            placed.width * POINTS,
            placed.height * POINTS,
        )
        self.outline(placed, ink="faint", weight=0.4)

    def turn_page(self) -> None:
        """End this page and begin another."""
        self._canvas.showPage()

    def finished(self) -> bytes:
        """The document's bytes; the pen is spent."""
        self._canvas.showPage()
        self._canvas.save()
        return self._out.getvalue()

    def _up(self, y: float) -> float:
        return (self._sheet.height - y) * POINTS

    def _stroke(self, ink: Ink, weight: float) -> None:
        self._canvas.setStrokeColorRGB(*_INKS[ink])
        self._canvas.setFillColorRGB(*_INKS[ink])
        self._canvas.setLineWidth(weight)
        self._canvas.setLineCap(1)
        self._canvas.setLineJoin(1)


def _kerned(run: Run) -> Iterator[tuple[str, float]]:
    """Letters that share the kern after them, together."""
    pairs = zip(run.text, run.kerns, strict=True)
    for kern, group in itertools.groupby(pairs, key=lambda pair: pair[1]):
        yield "".join(letter for letter, _ in group), kern
