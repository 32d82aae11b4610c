"""How a piece was made, from what the book holds openly of it, its run, molds and heats.

Nothing is told of other pieces, of hands, or of defects; a section that was scrapped and cast again
is told, because the piece contains what came after.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator

from editions.errors import BronzebookError
from editions.pages.analyses import analyses
from editions.pages.casting import (
    ApprovalView,
    ColourView,
    HeatView,
    Making,
    MoldView,
    Part,
    Scrapped,
    Stage,
)
from editions.pages.desk import Desk
from editions.pages.findings import finding
from editions.pages.pulling import pulls
from editions.rules.routes import STEP_TITLES, Route, route
from editions.trade.dates import earliest, latest
from editions.trade.heats import Heat
from editions.trade.molds import Mold
from editions.trade.parts import Approval, PieceSection, Step
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.saying import said
from editions.trade.works import Model

_ORDER = {step: place for place, step in enumerate(STEP_TITLES)}
_ALWAYS = datetime.date.max


def making(desk: Desk, piece: Piece, run: Run | None) -> Making:
    """How the piece was made, as it stands now."""
    published = frozenset(run.declared.publishes) if run else frozenset()
    by = _route(run)
    heats = tuple(_heats(desk, piece, figures="heats" in published))
    return Making(
        route=by.title if by else "",
        stages=tuple(_stages(desk, piece, by)),
        parts=tuple(_part(desk, s, counted="molds" in published) for s in piece.sections),
        molds=tuple(_molds(desk, piece)),
        heats=heats,
        approvals=tuple(_approvals(desk, piece)),
        released=piece.released,
        released_as=piece.released_as,
        scrapped=piece.scrapped,
        colours=tuple(
            ColourView(words=one.words, on=one.on, recipe=one.recipe is not None)
            for one in piece.colours
        ),
        analyses=analyses(heats),
        pulls=tuple(pulls(desk, piece)) if "molds" in published else (),
    )


def _route(run: Run | None) -> Route | None:
    try:
        return route(run.declared.route) if run else None
    except BronzebookError:
        return None


def _stages(desk: Desk, piece: Piece, by: Route | None) -> Iterator[Stage]:
    """The steps that count, by date; the same step in a row is one stage."""
    names = tuple(section.name for section in piece.sections)
    counting = [step for step in piece.steps if any(map(step.covers, names))]
    known = {(step.step, step.on) for step in counting}
    counting += [step for step in _entered_apart(piece) if (step.step, step.on) not in known]
    row: list[Step] = []
    for step in sorted(counting, key=_when):
        if row and not _alike(row[-1], step):
            yield _stage(desk, row, by, len(names))
            row = []
        row.append(step)
    if row:
        yield _stage(desk, row, by, len(names))


def _entered_apart(piece: Piece) -> Iterator[Step]:
    """Colour, approvals and release are entries of their own kinds, and stages all the same."""
    for colour in piece.colours:
        yield Step(step="coloured", on=colour.on)
    for approval in piece.approvals:
        if approval.approved and not approval.lapsed and approval.of != "release":
            yield Step(step=f"approved_in_{approval.of}", on=approval.on)
    if piece.released:
        yield Step(step="released", on=piece.released)


def _when(step: Step) -> tuple[datetime.date, int]:
    day = earliest(step.on) or latest(step.on) or _ALWAYS
    return day, _ORDER.get(step.step, len(_ORDER))


def _alike(one: Step, other: Step) -> bool:
    return (one.step, one.how, one.declared_by) == (other.step, other.how, other.declared_by)


def _stage(desk: Desk, row: list[Step], by: Route | None, all_sections: int) -> Stage:
    first, last = row[0], row[-1]
    sections = tuple(dict.fromkeys(step.section for step in row if step.section))
    coats = {step.coat for step in row if step.coat}
    return Stage(
        word=_word(first.step, by),
        first=first.on,
        last=last.on,
        how=first.how,
        coats=len(coats),
        sections=() if len(sections) in (0, all_sections) else sections,
        whose=desk.shown(first.declared_by),
    )


def _word(step: str, by: Route | None) -> str:
    if by is not None and step in STEP_TITLES:
        return by.says(step)
    return STEP_TITLES.get(step, step.replace("_", " "))


def _part(desk: Desk, section: PieceSection, *, counted: bool) -> Part:
    return Part(
        name=section.name,
        mold=section.mold,
        pull=section.pull,
        pulls=_pulls(desk, section) if counted else "",
        heat=_number(desk, section.heat),
        poured=section.poured,
        scrapped=tuple(
            Scrapped(on=old.on, heat=_number(desk, old.heat), evidence=old.ending.evidence)
            for old in section.scrapped
        ),
    )


def _pulls(desk: Desk, section: PieceSection) -> str:
    mold = desk.get(section.mold, Mold)
    pulled = mold.section(section.name) if mold else None
    return pulled.count if pulled else ""


def _number(desk: Desk, code: str | None) -> str | None:
    heat = desk.get(code, Heat)
    return heat.number if heat else code


def _molds(desk: Desk, piece: Piece) -> Iterator[MoldView]:
    for mold in (desk.get(code, Mold) for code in molds_of(piece)):
        if mold:
            yield MoldView(
                code=mold.code,
                material=mold.material,
                taken_from=_taken_from(desk, mold.taken_from),
                generation=mold.generation,
                destroyed=mold.destroyed,
            )


def _taken_from(desk: Desk, code: str) -> str:
    if code.startswith("D-"):
        model = desk.get(code, Model)
        return f"the {model.stage} model" if model else code
    return said("bronze {code}", code=code)


def _heats(desk: Desk, piece: Piece, *, figures: bool) -> Iterator[HeatView]:
    for heat in (desk.get(code, Heat) for code in heats_of(piece)):
        if heat:
            yield HeatView(
                number=heat.number,
                alloy=heat.alloy,
                poured=heat.poured,
                verdict=heat.verdict,
                specification=heat.specification,
                edition=heat.edition,
                method=heat.method,
                percentages=tuple(heat.percentages.items()) if figures else (),
                findings=tuple(map(finding, heat.findings)) if figures else (),
            )


def molds_of(piece: Piece) -> tuple[str, ...]:
    """The codes of the molds that the piece as it stands came from."""
    return _each(section.mold for section in piece.sections)


def heats_of(piece: Piece) -> tuple[str, ...]:
    """The codes of the heats that the piece as it stands was poured from."""
    return _each(section.heat for section in piece.sections)


def _each(codes: Iterable[str | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(code for code in codes if code))


def _approvals(desk: Desk, piece: Piece) -> Iterator[ApprovalView]:
    """Every approval given; a refusal only where it is still the last word."""
    last = {approval.of: approval for approval in piece.approvals}
    for approval in piece.approvals:
        if approval.approved or approval is last[approval.of]:
            yield _approval(desk, approval)


def _approval(desk: Desk, approval: Approval) -> ApprovalView:
    return ApprovalView(
        of=approval.of,
        by=desk.shown(approval.party),
        how=approval.how,
        on=approval.on,
        approved=approval.approved,
        lapsed=approval.lapsed,
    )
