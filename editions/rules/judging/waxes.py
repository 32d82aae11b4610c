"""Judges of waxes: pulled in the mold's count, allotted to one run, numbered once.

Remarks: a wall or a mass unlike others (:mod:`editions.rules.plausible`), and a section that has
had twenty pulls since it was last looked at (from memory, low confidence).
"""

from __future__ import annotations

from editions.errors import Refused
from editions.rules import plausible
from editions.rules.judging.belonging import (
    belongs,
    not_cut_elsewhere,
    not_elsewhere,
    not_given,
)
from editions.rules.judging.bench import judges
from editions.rules.judging.common import by_mistake, known, measures, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.molds import section_of, standing_mold, work_of_mold
from editions.rules.judging.runs import open_run
from editions.rules.waiting import inspection_due
from editions.trade.dates import say_when
from editions.trade.molds import Mold, MoldSection
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.waxes import Wax, WaxAllotted, WaxJudged, WaxNumbered, WaxPulled


@judges(WaxPulled)
def _pulled(draft: Draft, facts: WaxPulled, desk: Desk) -> tuple[str, ...]:
    measures("mass", facts.mass, "mass")
    measures("wall", facts.wall, "length")
    run = _run(draft, desk, facts.run)
    remarks = plausible.wall(facts.wall)
    if facts.mold is None:
        if facts.pull is not None:
            raise Refused("A pull is counted, but no mold is named.", "Name the mold.")
        return remarks
    mold = standing_mold(draft, desk, facts.mold)
    section = section_of(mold, facts.section)
    _can_pull(draft, mold, section)
    _next_pull(mold, section, facts.pull)
    remarks += plausible.wax_mass(facts.mass, section.weighed)
    return remarks + _fits_run(desk, mold, run) + _condition(mold, section)


def _run(draft: Draft, desk: Desk, code: str | None) -> Run | None:
    if code is None:
        return None
    run = open_run(draft, desk, code, "no more pulls")
    not_before(draft, run.since, f"{code} was declared")
    return run


def _can_pull(draft: Draft, mold: Mold, section: MoldSection) -> None:
    if section.retired and not draft.late:
        raise Refused(
            f"Section {section.name} of {mold.code} was retired {say_when(section.retired)}.",
            "Pull from another mold.",
        )
    if mold.out and not draft.late:
        raise Refused(
            f"{mold.code} is out since {say_when(mold.out)}.",
            "Enter its return first, with the pulls made away.",
        )


def _next_pull(mold: Mold, section: MoldSection, pull: int | None) -> None:
    following = section.pulls + 1
    if pull != following:
        counted = "no pull is counted" if pull is None else f"pull {pull} is named"
        raise Refused(
            f"The next pull of section {section.name} of {mold.code} is {following}; {counted}.",
            f"Enter pull {following}.",
        )


def _fits_run(desk: Desk, mold: Mold, run: Run | None) -> tuple[str, ...]:
    if run is None:
        return ()
    work = work_of_mold(desk, mold)
    if work != run.declared.work:
        raise Refused(
            f"{mold.code} is of {work or 'no work'}, {run.code} is of {run.declared.work}.",
            "Check the codes of the mold and the run.",
        )
    if run.declared.model in (None, mold.taken_from):
        return ()
    model = f"{run.code} declares the model {run.declared.model}"
    return (f"{model}; {mold.code} was taken from {mold.taken_from}.",)


def _condition(mold: Mold, section: MoldSection) -> tuple[str, ...]:
    name = f"Section {section.name} of {mold.code}"
    remarks = []
    if section.condition == "failing":
        remarks.append(f"{name} was found failing.")
    if inspection_due(section):
        since = section.pulls - section.inspected_at_pull
        remarks.append(
            f"{name} has had {since} pulls since it was last inspected; a look after 20 to 30 is"
            " prudent (from memory, low confidence)."
        )
    return tuple(remarks)


@judges(WaxJudged)
def _judged(draft: Draft, _: WaxJudged, desk: Desk) -> tuple[str, ...]:
    in_stock(draft, desk, draft.subject)
    return ()


def in_stock(draft: Draft, desk: Desk, code: str) -> Wax:
    """The wax, which must be in stock.

    Raises:
        NotKnown: If the code is not a wax's.
        Refused: If the wax is in a piece, rejected, destroyed or kept aside.
    """
    wax = known(desk, code, Wax)
    if wax.fate != "in stock":
        fate = f"in {wax.piece}" if wax.piece else wax.fate
        kind = "section_taken" if wax.piece else "wax_judged"
        raise Refused(f"{code} is {fate}.", f"Choose a wax in stock.{by_mistake(desk, code, kind)}")
    not_before(draft, wax.since, f"{code} was pulled")
    return wax


@judges(WaxAllotted)
def _allotted(draft: Draft, facts: WaxAllotted, desk: Desk) -> tuple[str, ...]:
    wax = in_stock(draft, desk, draft.subject)
    if wax.run:
        raise Refused(f"{wax.code} is allotted to {wax.run} already.", "Choose another wax.")
    run = open_run(draft, desk, facts.run, "no more waxes are allotted")
    return _same_work(desk, wax, run)


def _same_work(desk: Desk, wax: Wax, run: Run) -> tuple[str, ...]:
    if wax.mold is None:
        return ()
    return _fits_run(desk, known(desk, wax.mold, Mold), run)


@judges(WaxNumbered)
def _numbered(draft: Draft, facts: WaxNumbered, desk: Desk) -> tuple[str, ...]:
    wax = in_stock(draft, desk, draft.subject)
    if wax.run not in (None, facts.run):
        raise Refused(
            f"{wax.code} is allotted to {wax.run}, not to {facts.run}.",
            "Choose another wax, or number it in its own run.",
        )
    if wax.number not in (None, facts.designation):
        raise Refused(
            f"{wax.number} is cut into {wax.code} already.",
            "Choose another wax; a number once cut stays.",
        )
    run = open_run(draft, desk, facts.run, "no more waxes are numbered")
    belongs(run.code, run.declared, facts.designation)
    not_elsewhere(run, facts.designation)
    not_cut_elsewhere(desk, run.code, facts.designation, wax.code)
    if not _recasts_bearer(desk, run, wax, facts.designation):
        not_given(desk, run, facts.designation)
    return _same_work(desk, wax, run)


def _recasts_bearer(desk: Desk, run: Run, wax: Wax, designation: str) -> bool:
    """Whether the piece that bears the number has an empty section that this wax may become."""
    bearer = desk.bearer(run.code, designation)
    piece = desk.state(bearer) if bearer else None
    if not isinstance(piece, Piece) or piece.scrapped:
        return False
    section = piece.section(wax.section)
    return section is not None and section.wax is None and not piece.has_poured(section)
