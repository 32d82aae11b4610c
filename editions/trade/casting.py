"""Kinds of entry in the life of a piece, from its sections to its release.

A step may be done, "not recorded" (it happened, nobody wrote it down), or "elsewhere" (done by
another shop, declared by someone named).  Steps repeat, and no order is demanded beyond physics.
"""

from __future__ import annotations

from typing import Literal

from editions.trade.kinds import (
    Code,
    Count,
    Digest,
    Facts,
    HeldText,
    Line,
    Text,
    When,
    Word,
    kind,
)
from editions.trade.quantities import Quantity
from editions.trade.statement import Station

Purpose = Literal["run", "trial"]
How = Literal["done", "not recorded", "elsewhere"]
ApprovalOf = Literal["metal", "colour", "release"]
ApprovalHow = Literal["in person", "in writing", "by telephone", "by photograph"]


@kind("piece_started", starts=True, correctable=("sections", "note"))
class PieceStarted(Facts, frozen=True, kw_only=True):
    """A piece begins: its run, its shop tag, the sections it will be cast in."""

    run: Code
    tag: Word | None = None
    sections: tuple[Word, ...] = ("whole",)
    purpose: Purpose = "run"
    note: HeldText = None


@kind("section_taken")
class SectionTaken(Facts, frozen=True, kw_only=True):
    """A wax becomes a section of the piece; mold, pull and number are the wax's own.

    With the wax the piece takes over the number cut into it, so that it stays reserved.
    """

    section: Word
    wax: Code
    mold: Code | None = None
    pull: Count | None = None
    number: Word | None = None

    def touched(self) -> tuple[str | None, ...]:
        """The wax, which is in the piece from now on."""
        return (self.wax,)


@kind("step_done", correctable=("coat", "hand", "note"))
class StepDone(Facts, frozen=True, kw_only=True):
    """A step of the route, for the whole piece or one section, with coat where coats count."""

    step: Word
    section: Word | None = None
    coat: Count | None = None
    hand: Code | None = None
    how: How = "done"
    declared_by: Code | None = None
    note: HeldText = None


@kind("defect_found", correctable=("defect_class", "name", "section", "hand", "note"))
class DefectFound(Facts, frozen=True, kw_only=True):
    """A casting defect, by class of the International Atlas of Casting Defects."""

    defect_class: Word
    name: Text = ""
    section: Word | None = None
    hand: Code | None = None
    note: HeldText = None


class Ending(Line, frozen=True, kw_only=True):
    """How a destruction is proven: a witness, evidence in words, its file by digest."""

    evidence: Word
    witness: Code | None = None
    digest: Digest | None = None


@kind("section_scrapped")
class SectionScrapped(Facts, frozen=True, kw_only=True):
    """A section is scrapped, to be cast again from another wax."""

    section: Word
    ending: Ending
    reason: HeldText = None


@kind("piece_scrapped")
class PieceScrapped(Facts, frozen=True, kw_only=True):
    """The whole piece is scrapped and destroyed."""

    ending: Ending
    reason: HeldText = None


@kind("approval_given")
class ApprovalGiven(Facts, frozen=True, kw_only=True):
    """Someone entitled approved, or refused, and in which way they said so."""

    of: ApprovalOf
    party: Code
    how: ApprovalHow
    approved: bool = True
    note: HeldText = None


@kind("colour_applied", correctable=("words", "hand", "differs"))
class ColourApplied(Facts, frozen=True, kw_only=True):
    """Colour as applied: the recipe version, open words, and how it differed (held)."""

    recipe: Code | None = None
    version: Count | None = None
    words: Text = ""
    hand: Code | None = None
    differs: HeldText = None


@kind("piece_measured", correctable=("stations", "mass", "hand"))
class PieceMeasured(Facts, frozen=True, kw_only=True):
    """Lengths at named stations, with or without the base, and the mass."""

    stations: tuple[Station, ...] = ()
    mass: Quantity | None = None
    hand: Code | None = None


@kind("mark_found", correctable=("place", "method", "note"))
class MarkFound(Facts, frozen=True, kw_only=True):
    """A mark as found on the metal: verbatim, with its canonical reading where it has one."""

    text: Word
    number: Word | None = None
    place: Text = ""
    method: Text = ""
    photograph: Digest | None = None
    note: HeldText = None


@kind("piece_released")
class PieceReleased(Facts, frozen=True, kw_only=True):
    """The piece left the foundry, finished or in raw metal; to whom is held."""

    state: Literal["finished", "raw metal"] = "finished"
    to: HeldText = None
    note: HeldText = None


@kind(
    "earlier_cast_registered",
    starts=True,
    correctable=("cast", "alloy", "foundry", "colour", "owner", "note"),
)
class EarlierCastRegistered(Facts, frozen=True, kw_only=True):
    """A cast made before this book, registered from the object itself."""

    work: Code
    run: Code | None = None
    tag: Word | None = None
    cast: When | None = None
    alloy: Word | None = None
    foundry: Text = ""
    seen_by: Code | None = None
    colour: Text = ""
    owner: HeldText = None
    note: HeldText = None
