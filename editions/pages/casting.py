"""What a record page shows of the casting, as values; see :mod:`editions.pages.values`."""

from __future__ import annotations

import msgspec

from editions.charts.bars import Pulled
from editions.trade.casting import ApprovalHow, ApprovalOf, How


class Value(msgspec.Struct, frozen=True, kw_only=True):
    """Root of everything a view is made of."""


class Stage(Value, frozen=True, kw_only=True):
    """One step, or the same step some times in a row; ``whose`` declared one done elsewhere."""

    word: str
    first: str
    last: str
    how: How
    coats: int = 0
    times: int = 1
    sections: tuple[str, ...] = ()
    whose: str = ""


class Scrapped(Value, frozen=True, kw_only=True):
    """An earlier casting of a section that was scrapped, with its evidence in words."""

    on: str
    heat: str | None
    evidence: str


class Part(Value, frozen=True, kw_only=True):
    """A section of the piece: the mold and pull of its wax, the heat of its metal."""

    name: str
    mold: str | None
    pull: int | None
    pulls: str
    heat: str | None
    poured: str | None
    scrapped: tuple[Scrapped, ...]


class MoldView(Value, frozen=True, kw_only=True):
    """A mold that served the piece."""

    code: str
    material: str
    taken_from: str
    generation: int
    destroyed: str | None


class PullsView(Value, frozen=True, kw_only=True):
    """The pulls of a mold's section by condition, with the one that this piece was cast from."""

    mold: str
    section: str
    pulls: tuple[Pulled, ...]
    at_least: bool
    own: int | None

    @property
    def several(self) -> bool:
        """Whether there is anything to draw: of a single pull words say all."""
        return bool(self.pulls) and self.pulls[-1].last > 1


class Figure(Value, frozen=True, kw_only=True):
    """What one element may be, and what was found of it, heat by heat; as written, per cent."""

    element: str
    limit: str
    low: float | None
    high: float | None
    found: tuple[str, ...]


class Analysis(Value, frozen=True, kw_only=True):
    """The analyses of heats of one alloy against its limits, one edition of them."""

    alloy: str
    edition: str
    heats: tuple[str, ...]
    figures: tuple[Figure, ...]


class ColourView(Value, frozen=True, kw_only=True):
    """Colour as it was laid on, in open words; ``recipe`` tells that it followed a held recipe."""

    words: str
    on: str
    recipe: bool


class HeatView(Value, frozen=True, kw_only=True):
    """A heat that the piece was poured from, and how its analysis was judged.

    ``percentages`` and ``findings`` are there only where the artist publishes heats.
    """

    number: str
    alloy: str
    poured: str | None
    verdict: str
    specification: str
    edition: str
    method: str
    percentages: tuple[tuple[str, str], ...]
    findings: tuple[str, ...]


class ApprovalView(Value, frozen=True, kw_only=True):
    """An approval in the words in which it was given; never called signed."""

    of: ApprovalOf
    by: str
    how: ApprovalHow
    on: str
    approved: bool
    lapsed: bool


class Making(Value, frozen=True, kw_only=True):
    """How the piece was made, as the book holds it now."""

    route: str
    stages: tuple[Stage, ...]
    parts: tuple[Part, ...]
    molds: tuple[MoldView, ...]
    heats: tuple[HeatView, ...]
    approvals: tuple[ApprovalView, ...]
    released: str | None
    released_as: str
    scrapped: str | None
    colours: tuple[ColourView, ...] = ()
    analyses: tuple[Analysis, ...] = ()
    pulls: tuple[PullsView, ...] = ()
