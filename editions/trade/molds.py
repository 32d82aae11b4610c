"""Molds: sections, pulls, condition, where a mold lies, and how it ended.

A mold's count is exact while it stays in the shop.  Once it has been away, or came with pulls that
nobody counted, its count is "at least".
"""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
    Count,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    Line,
    State,
    Text,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.quantities import Quantity

# By so many a slip in the next mass is seen; the mold's state stays small.
REMEMBERED = 5

CriterionName = Literal["tears", "registration", "detail", "tackiness"]
Grade = Literal["sound", "worn", "failing"]


class Criterion(Line, frozen=True, kw_only=True):
    """One thing looked at in an inspection, its grade, and a measured length where taken."""

    name: CriterionName
    grade: Grade
    measured: Quantity | None = None


class EarlierPulls(Line, frozen=True, kw_only=True):
    """Pulls made before this book knew the mold; ``counted`` tells whether the figure is exact."""

    section: Word
    pulls: Count
    counted: bool = True


@kind("mold_made", starts=True, correctable=("material", "place", "note"))
class MoldMade(Facts, frozen=True, kw_only=True):
    """A mold, its sections, what it was taken from, and the generation that follows from it.

    ``generation`` is that of a bronze cast from it: 0 from a model of the chain, 1 from a bronze.
    """

    taken_from: Code
    generation: Count
    sections: tuple[Word, ...]
    material: Word
    maker: Code | None = None
    owner: Code | None = None
    place: Text = ""
    earlier: tuple[EarlierPulls, ...] = ()
    note: HeldText = None


@kind("mold_sent_out")
class MoldSentOut(Facts, frozen=True, kw_only=True):
    """The mold left the shop; until it is back, its count is "at least"."""

    place: Text = ""
    to: HeldText = None


@kind("mold_returned")
class MoldReturned(Facts, frozen=True, kw_only=True):
    """The mold came back; pulls made away, where told."""

    place: Text = ""
    away: tuple[EarlierPulls, ...] = ()


@kind("mold_inspected", correctable=("criteria", "hand", "note"))
class MoldInspected(Facts, frozen=True, kw_only=True):
    """A section was inspected, a grade for each criterion."""

    section: Word
    criteria: tuple[Criterion, ...]
    hand: Code | None = None
    note: HeldText = None


@kind("mold_repaired")
class MoldRepaired(Facts, frozen=True, kw_only=True):
    """A section was repaired."""

    section: Word
    what: Text
    hand: Code | None = None


@kind("mold_retired")
class MoldRetired(Facts, frozen=True, kw_only=True):
    """A section, or the whole mold, gives no more waxes."""

    section: Word | None = None
    reason: HeldText = None


@kind("mold_destroyed")
class MoldDestroyed(Facts, frozen=True, kw_only=True):
    """The mold was destroyed before a witness, with evidence."""

    witness: Code
    evidence: Word
    evidence_digest: Digest | None = None


class MoldSection(Line, frozen=True, kw_only=True):
    """One section of a mold: its pulls, its condition at the last inspection, its end.

    ``weighed`` are the masses of its latest waxes that were weighed, :data:`REMEMBERED` at most.
    """

    name: str
    pulls: int = 0
    at_least: bool = False
    criteria: tuple[Criterion, ...] = ()
    inspected: str | None = None
    inspected_at_pull: int = 0
    repaired: int = 0
    retired: str | None = None
    weighed: tuple[Quantity, ...] = ()

    @property
    def condition(self) -> str:
        """The worst grade found at the last inspection, or "not inspected"."""
        grades = {criterion.grade for criterion in self.criteria}
        return next((g for g in ("failing", "worn", "sound") if g in grades), "not inspected")

    @property
    def count(self) -> str:
        """The number of pulls in words: ``14`` or ``at least 14``."""
        return f"at least {self.pulls}" if self.at_least else str(self.pulls)


@subject("M")
class Mold(State, frozen=True, kw_only=True):
    """What the book holds of a mold."""

    taken_from: str = ""
    generation: int = 0
    material: str = ""
    maker: str | None = None
    owner: str | None = None
    place: str = ""
    sections: tuple[MoldSection, ...] = ()
    out: str | None = None
    destroyed: str | None = None
    witness: str | None = None

    def index(self) -> Index:
        """Linked to what it was taken from."""
        names = ", ".join(section.name for section in self.sections)
        links = (("taken from", self.taken_from),)
        return Index(title=f"{self.material}: {names}", links=links, open=not self.destroyed)

    def section(self, name: str) -> MoldSection | None:
        """The section of that name, if the mold has it."""
        return next((section for section in self.sections if section.name == name), None)


def with_section(mold: Mold, changed: MoldSection) -> Mold:
    """The mold with one section replaced by its changed self."""
    sections = tuple(changed if s.name == changed.name else s for s in mold.sections)
    return replace(mold, sections=sections)


def add_pulls(mold: Mold, pulls: EarlierPulls) -> Mold:
    """The mold with pulls made outside this book added to a section."""
    section = mold.section(pulls.section)
    if section is None:
        return mold
    at_least = section.at_least or not pulls.counted
    return with_section(
        mold, replace(section, pulls=section.pulls + pulls.pulls, at_least=at_least)
    )


@folds(MoldMade, Mold)
def _made(_: Mold | None, entry: Happened) -> Mold:
    facts: MoldMade = entry.facts
    mold = Mold(
        code=entry.subject,
        since=entry.on,
        taken_from=facts.taken_from,
        generation=facts.generation,
        material=facts.material,
        maker=facts.maker,
        owner=facts.owner,
        place=facts.place,
        sections=tuple(MoldSection(name=name) for name in facts.sections),
    )
    for earlier in facts.earlier:
        mold = add_pulls(mold, earlier)
    return mold


@folds(MoldSentOut, Mold)
def _sent_out(mold: Mold, entry: Happened) -> Mold:
    sections = tuple(replace(section, at_least=True) for section in mold.sections)
    return replace(mold, out=entry.on, place=entry.facts.place, sections=sections)


@folds(MoldReturned, Mold)
def _returned(mold: Mold, entry: Happened) -> Mold:
    mold = replace(mold, out=None, place=entry.facts.place)
    for pulls in entry.facts.away:
        mold = add_pulls(mold, pulls)
    return mold


@folds(MoldInspected, Mold)
def _inspected(mold: Mold, entry: Happened) -> Mold:
    section = mold.section(entry.facts.section)
    if section is None:
        return mold
    return with_section(
        mold,
        replace(
            section,
            criteria=entry.facts.criteria,
            inspected=entry.on,
            inspected_at_pull=section.pulls,
        ),
    )


@folds(MoldRepaired, Mold)
def _repaired(mold: Mold, entry: Happened) -> Mold:
    section = mold.section(entry.facts.section)
    return with_section(mold, replace(section, repaired=section.repaired + 1)) if section else mold


@folds(MoldRetired, Mold)
def _retired(mold: Mold, entry: Happened) -> Mold:
    named = entry.facts.section
    sections = tuple(
        replace(s, retired=entry.on) if named in (None, s.name) else s for s in mold.sections
    )
    return replace(mold, sections=sections)


@folds(MoldDestroyed, Mold)
def _destroyed(mold: Mold, entry: Happened) -> Mold:
    return replace(mold, destroyed=entry.on, witness=entry.facts.witness)
