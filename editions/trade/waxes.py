"""Waxes: each pull of a mold's section, what it weighed, and what became of it."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
    Count,
    Facts,
    Happened,
    HeldText,
    Index,
    State,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.molds import REMEMBERED, Mold, with_section
from editions.trade.quantities import Quantity
from editions.trade.runs import RunClosed

Fate = Literal["in stock", "rejected", "in a piece", "destroyed", "kept"]


def wax_numbers(run: str | None) -> str:
    """The name under which the numbers cut into waxes of a run are each held once."""
    return f"{run} wax"


@kind("wax_pulled", starts=True, correctable=("mass", "wall", "hand", "note"))
class WaxPulled(Facts, frozen=True, kw_only=True):
    """A wax was pulled; ``pull`` is its place in the count of the mold's section.

    On a route without a mold (a direct wax) ``mold`` and ``pull`` are absent.
    """

    section: Word
    mold: Code | None = None
    pull: Count | None = None
    run: Code | None = None
    mass: Quantity | None = None
    wall: Quantity | None = None
    hand: Code | None = None
    note: HeldText = None

    def touched(self) -> tuple[str | None, ...]:
        """The mold, whose count grows."""
        return (self.mold,)


@kind("wax_judged")
class WaxJudged(Facts, frozen=True, kw_only=True):
    """A wax was accepted, or rejected with a reason."""

    accepted: bool
    hand: Code | None = None
    reason: HeldText = None


@kind("wax_allotted")
class WaxAllotted(Facts, frozen=True, kw_only=True):
    """A wax was allotted to a run after it was pulled."""

    run: Code


@kind("wax_numbered")
class WaxNumbered(Facts, frozen=True, kw_only=True):
    """A number was cut into the wax, and so reserved."""

    run: Code
    designation: Word


@subject("W")
class Wax(State, frozen=True, kw_only=True):
    """What the book holds of a wax."""

    section: str = ""
    mold: str | None = None
    pull: int | None = None
    run: str | None = None
    mass: Quantity | None = None
    wall: Quantity | None = None
    hand: str | None = None
    fate: Fate = "in stock"
    accepted: bool | None = None
    number: str | None = None
    piece: str | None = None

    def index(self) -> Index:
        """Linked to its mold and run."""
        links = tuple(
            (role, code)
            for role, code in (("mold", self.mold), ("run", self.run), ("piece", self.piece))
            if code
        )
        numbers: tuple[tuple[str, str], ...] = ()
        if self.fate in ("in stock", "kept") and self.run and self.number:
            numbers = ((wax_numbers(self.run), self.number),)
        return Index(
            title=f"wax of {self.section}",
            links=links,
            numbers=numbers,
            open=self.fate == "in stock",
        )


@folds(WaxPulled, Wax)
def _pulled(_: Wax | None, entry: Happened) -> Wax:
    facts: WaxPulled = entry.facts
    return Wax(
        code=entry.subject,
        since=entry.on,
        section=facts.section,
        mold=facts.mold,
        pull=facts.pull,
        run=facts.run,
        mass=facts.mass,
        wall=facts.wall,
        hand=facts.hand,
    )


@folds(WaxPulled, Mold)
def _counted(mold: Mold, entry: Happened) -> Mold:
    section = mold.section(entry.facts.section)
    if section is None:
        return mold
    weighed = section.weighed
    if entry.facts.mass:
        weighed = (*weighed, entry.facts.mass)[-REMEMBERED:]
    return with_section(mold, replace(section, pulls=section.pulls + 1, weighed=weighed))


@folds(WaxJudged, Wax)
def _judged(wax: Wax, entry: Happened) -> Wax:
    accepted = entry.facts.accepted
    fate: Fate = wax.fate if accepted else "rejected"
    return replace(wax, accepted=accepted, fate=fate)


@folds(WaxAllotted, Wax)
def _allotted(wax: Wax, entry: Happened) -> Wax:
    return replace(wax, run=entry.facts.run)


@folds(WaxNumbered, Wax)
def _numbered(wax: Wax, entry: Happened) -> Wax:
    return replace(wax, run=entry.facts.run, number=entry.facts.designation)


@folds(RunClosed, Wax)
def _left(wax: Wax, entry: Happened) -> Wax:
    fate = next(item.fate for item in entry.facts.left if item.wax == wax.code)
    return replace(wax, fate=fate)
