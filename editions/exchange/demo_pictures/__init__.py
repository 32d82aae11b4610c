r"""Pictures for the demonstration: sculptures that nobody made, drawn by the program.

Three invented subjects in four patinas, lit as in a photographer's studio.  The same subject,
patina and size give the same picture; nothing is read from the machine.

>>> draw("seed", "green", 60)[:4]
b'\x89PNG'
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from typing import Literal, NamedTuple

from editions.exchange.demo_pictures import forms
from editions.exchange.demo_pictures.vectors import Vector

Subject = Literal["heron", "seed", "gate"]
Colouring = Literal["brown", "green", "black", "honey"]


class _View(NamedTuple):
    form: Callable[[], Iterator[forms.Cut]]
    floor: float
    eye: Vector
    target: Vector
    zoom: float
    shape: tuple[int, int]


_VIEWS: dict[Subject, _View] = {
    "heron": _View(forms.heron, -0.62, (-2.9, 2.5, 9.2), (0.12, 1.50, 0.0), 1.98, (4, 5)),
    "seed": _View(forms.seed, -0.6, (1.6, 2.6, 9.6), (0.05, 1.34, 0.0), 2.15, (4, 5)),
    "gate": _View(forms.gate, 0.0, (-2.6, 2.0, 9.0), (-0.02, 0.72, 0.0), 1.36, (3, 2)),
}


def draw(subject: Subject, patina: Colouring = "brown", longest: int = 1000) -> bytes:
    """Draw a subject in a patina; return a PNG.

    Args:
        subject: A heron of folded planes, a standing seed, or a long low gate.
        patina: The colour of the bronze.
        longest: The longer side of the picture, in pixels.
    """
    from editions.exchange.demo_pictures.light import PATINAS
    from editions.exchange.demo_pictures.paint import FINER, Camera, picture

    view = _VIEWS[subject]
    width, height = (FINER * longest * part // max(view.shape) for part in view.shape)
    camera = Camera(view.eye, view.target, view.zoom, width, height)
    # A small picture needs fewer knots, and is drawn the sooner.
    sheets = [cut.knotted(min(1.0, longest / 700)) for cut in view.form()]
    drawn = BytesIO()
    picture(sheets, camera, PATINAS[patina], view.floor).save(drawn, "PNG")
    return drawn.getvalue()
