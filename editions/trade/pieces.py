"""The state of a piece: its sections and heats, steps, marks, approvals, colour, measurements.

A piece's identity is its registry code.  A number given and a mark borne are two things: the first
is unique in its run, the second is what someone found on the metal.
"""

from __future__ import annotations

from typing import Any

import msgspec
from msgspec.structs import replace

from editions.trade.casting import (
    ApprovalGiven,
    ApprovalOf,
    ColourApplied,
    DefectFound,
    EarlierCastRegistered,
    Ending,
    MarkFound,
    PieceMeasured,
    PieceReleased,
    PieceScrapped,
    PieceStarted,
    Purpose,
    SectionScrapped,
    SectionTaken,
    StepDone,
)
from editions.trade.heats import HeatPoured
from editions.trade.kinds import Happened, Index, State, folds, subject
from editions.trade.parts import (
    Approval,
    Attempt,
    Colour,
    Defect,
    Mark,
    PieceSection,
    Step,
)
from editions.trade.quantities import Quantity
from editions.trade.runs import NumberFreed, NumberGiven
from editions.trade.statement import MarkLine, Station
from editions.trade.waxes import Wax, wax_numbers

__all__ = [
    "Approval",
    "Attempt",
    "Colour",
    "Defect",
    "Mark",
    "Piece",
    "PieceSection",
    "Step",
    "with_section",
]


@subject("P")
class Piece(State, frozen=True, kw_only=True):
    """What the book holds of a piece."""

    run: str | None = None
    work: str | None = None
    tag: str | None = None
    purpose: Purpose = "run"
    number: str | None = None
    sections: tuple[PieceSection, ...] = ()
    steps: tuple[Step, ...] = ()
    defects: tuple[Defect, ...] = ()
    approvals: tuple[Approval, ...] = ()
    colours: tuple[Colour, ...] = ()
    stations: tuple[Station, ...] = ()
    mass: Quantity | None = None
    marks: tuple[Mark, ...] = ()
    released: str | None = None
    released_as: str = ""
    scrapped: str | None = None
    ending: Ending | None = None
    from_object: bool = False
    cast: str | None = None
    alloy: str | None = None
    foundry: str = ""
    certificates: tuple[str, ...] = ()

    def index(self) -> Index:
        """Found by its tag and marks, linked to what it came from; its number is held once."""
        links = [("run", self.run), ("work", self.work)]
        links += [("heat", s.heat) for s in self.sections]
        links += [("mold", s.mold) for s in self.sections]
        links += [("scrapped from heat", a.heat) for s in self.sections for a in s.scrapped]
        if self.run:
            links += [("marked", f"{self.run} {mark.number}") for mark in self.marks if mark.number]
        known = tuple(dict.fromkeys((role, code) for role, code in links if code))
        return Index(
            title=self.number or self.tag or "piece",
            names=(self.tag,) if self.tag and not self._given_up else (),
            words=tuple(mark.line.text for mark in self.marks),
            links=known,
            numbers=self._numbers(),
            open=not (self.released or self.scrapped or self.from_object),
        )

    def _numbers(self) -> tuple[tuple[str, str], ...]:
        if self.run is None:
            return ()
        held = ((self.run, self.number), (wax_numbers(self.run), self.reserved))
        return tuple((run, number) for run, number in held if number)

    @property
    def _given_up(self) -> bool:
        """Whether it was scrapped before anything was made of it: its tag hung on nothing."""
        made = any(section.wax or section.scrapped for section in self.sections)
        return self.scrapped is not None and not (made or self.steps)

    @property
    def reserved(self) -> str | None:
        """The number cut into a wax that the piece was made from, while it is not scrapped."""
        cut = (section.number for section in self.sections if section.number)
        return None if self.scrapped else next(cut, None)

    def section(self, name: str) -> PieceSection | None:
        """The section of that name, if the piece has it."""
        return next((section for section in self.sections if section.name == name), None)

    def steps_of(self, section: str) -> tuple[Step, ...]:
        """The steps that count for a section as it stands now, in the order recorded."""
        return tuple(step for step in self.steps if step.covers(section))

    def has_poured(self, section: PieceSection) -> bool:
        """Whether a section has been poured, here or declared so."""
        steps = self.steps_of(section.name)
        return section.heat is not None or any(step.step == "poured" for step in steps)

    @property
    def poured(self) -> bool:
        """Whether every section has been poured, here or declared so."""
        return bool(self.sections) and all(map(self.has_poured, self.sections))

    @property
    def cast_on(self) -> str | None:
        """The date of the last pour that the piece as it stands contains, or as registered."""
        dates = [section.poured for section in self.sections if section.poured]
        names = [section.name for section in self.sections]
        dates += [s.on for s in self.steps if s.step == "poured" and any(map(s.covers, names))]
        return max(dates) if dates else self.cast

    def approved(self, what: ApprovalOf) -> bool:
        """Whether the latest word on this was an approval."""
        words = [a.approved for a in self.approvals if a.of == what and not a.lapsed]
        return bool(words) and words[-1]


def with_section(piece: Piece, changed: PieceSection) -> Piece:
    """The piece with one section replaced by its changed self."""
    sections = tuple(changed if s.name == changed.name else s for s in piece.sections)
    return replace(piece, sections=sections)


@folds(PieceStarted, Piece)
def _started(_: Piece | None, entry: Happened) -> Piece:
    facts: PieceStarted = entry.facts
    return Piece(
        code=entry.subject,
        since=entry.on,
        run=facts.run,
        tag=facts.tag,
        purpose=facts.purpose,
        sections=tuple(PieceSection(name=name) for name in facts.sections),
    )


@folds(EarlierCastRegistered, Piece)
def _registered(_: Piece | None, entry: Happened) -> Piece:
    facts: EarlierCastRegistered = entry.facts
    colour = Colour(recipe=None, version=None, words=facts.colour, on=entry.on)
    return Piece(
        code=entry.subject,
        since=entry.on,
        work=facts.work,
        run=facts.run,
        tag=facts.tag,
        from_object=True,
        cast=facts.cast,
        alloy=facts.alloy,
        foundry=facts.foundry,
        colours=(colour,) if facts.colour else (),
    )


@folds(SectionTaken, Piece)
def _taken(piece: Piece, entry: Happened) -> Piece:
    facts: SectionTaken = entry.facts
    section = piece.section(facts.section) or PieceSection(name=facts.section)
    taken = replace(
        section,
        wax=facts.wax,
        mold=facts.mold,
        pull=facts.pull,
        number=facts.number,
        heat=None,
    )
    return with_section(piece, taken)


@folds(SectionTaken, Wax)
def _wax_in_piece(wax: Wax, entry: Happened) -> Wax:
    return replace(wax, fate="in a piece", piece=entry.subject)


@folds(HeatPoured, Piece)
def _poured(piece: Piece, entry: Happened) -> Piece:
    facts: HeatPoured = entry.facts
    for shell in facts.shells:
        section = piece.section(shell.section)
        if shell.piece == piece.code and section:
            poured = replace(section, heat=entry.subject, poured=entry.on)
            piece = with_section(piece, poured)
            step = Step(step="poured", on=entry.on, section=section.name, hand=facts.hand)
            piece = replace(piece, steps=(*piece.steps, step))
    return piece


@folds(StepDone, Piece)
def _step(piece: Piece, entry: Happened) -> Piece:
    step = Step(on=entry.on, **{k: v for k, v in _fields(entry).items() if k != "note"})
    return replace(piece, steps=(*piece.steps, step))


@folds(DefectFound, Piece)
def _defect(piece: Piece, entry: Happened) -> Piece:
    facts: DefectFound = entry.facts
    defect = Defect(
        defect_class=facts.defect_class, name=facts.name, section=facts.section, on=entry.on
    )
    return replace(piece, defects=(*piece.defects, defect))


@folds(SectionScrapped, Piece)
def _section_scrapped(piece: Piece, entry: Happened) -> Piece:
    facts: SectionScrapped = entry.facts
    section = piece.section(facts.section)
    if section is None:
        return piece
    attempt = Attempt(wax=section.wax, heat=section.heat, on=entry.on, ending=facts.ending)
    fresh = PieceSection(name=section.name, scrapped=(*section.scrapped, attempt))
    return replace(
        with_section(piece, fresh),
        steps=tuple(
            replace(step, lost=(*step.lost, section.name)) if step.section is None else step
            for step in piece.steps
            if step.section != section.name
        ),
        approvals=tuple(replace(approval, lapsed=True) for approval in piece.approvals),
    )


@folds(PieceScrapped, Piece)
def _scrapped(piece: Piece, entry: Happened) -> Piece:
    return replace(piece, scrapped=entry.on, ending=entry.facts.ending)


@folds(ApprovalGiven, Piece)
def _approved(piece: Piece, entry: Happened) -> Piece:
    fields = {k: v for k, v in _fields(entry).items() if k != "note"}
    return replace(piece, approvals=(*piece.approvals, Approval(on=entry.on, **fields)))


@folds(ColourApplied, Piece)
def _coloured(piece: Piece, entry: Happened) -> Piece:
    fields = {k: v for k, v in _fields(entry).items() if k != "differs"}
    return replace(piece, colours=(*piece.colours, Colour(on=entry.on, **fields)))


@folds(PieceMeasured, Piece)
def _measured(piece: Piece, entry: Happened) -> Piece:
    facts: PieceMeasured = entry.facts
    fresh = {(s.name, s.base) for s in facts.stations}
    kept = tuple(s for s in piece.stations if (s.name, s.base) not in fresh)
    return replace(piece, stations=(*kept, *facts.stations), mass=facts.mass or piece.mass)


@folds(MarkFound, Piece)
def _marked(piece: Piece, entry: Happened) -> Piece:
    facts: MarkFound = entry.facts
    line = MarkLine(text=facts.text, place=facts.place, method=facts.method)
    mark = Mark(line=line, number=facts.number, on=entry.on, photograph=facts.photograph)
    return replace(piece, marks=(*piece.marks, mark))


@folds(NumberGiven, Piece)
def _numbered(piece: Piece, entry: Happened) -> Piece:
    return replace(piece, number=entry.facts.designation, run=entry.subject)


@folds(NumberFreed, Piece)
def _unnumbered(piece: Piece, _: Happened) -> Piece:
    return replace(piece, number=None)


@folds(PieceReleased, Piece)
def _released(piece: Piece, entry: Happened) -> Piece:
    return replace(piece, released=entry.on, released_as=entry.facts.state)


def _fields(entry: Happened) -> dict[str, Any]:
    return msgspec.structs.asdict(entry.facts)
