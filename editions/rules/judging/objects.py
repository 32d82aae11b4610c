"""Judges of what is found on a bronze: marks, measurements, casts registered from the object."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.belonging import canonical
from editions.rules.judging.bench import judges
from editions.rules.judging.common import known, measures, not_to_come, sound_stations
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.making import not_scrapped
from editions.rules.judging.pieces import free_tag
from editions.rules.plausible import bronze_mass
from editions.trade.casting import EarlierCastRegistered, MarkFound, PieceMeasured
from editions.trade.pieces import Piece
from editions.trade.quantities import Quantity
from editions.trade.runs import Run
from editions.trade.waxes import Wax
from editions.trade.works import Work


@judges(PieceMeasured)
def _measured(draft: Draft, facts: PieceMeasured, desk: Desk) -> tuple[str, ...]:
    piece = known(desk, draft.subject, Piece)
    not_scrapped(piece)
    if not facts.stations and facts.mass is None:
        raise Refused("Nothing was measured.", "Give a length at a station, or the mass.")
    sound_stations(facts.stations)
    measures("mass", facts.mass, "mass")
    longest = max((one.length for one in facts.stations), key=lambda one: one.exact(), default=None)
    return bronze_mass(facts.mass, _waxes(desk, piece), longest)


def _waxes(desk: Desk, piece: Piece) -> tuple[Quantity, ...]:
    """The masses of a piece's waxes; none where one of its sections' was not weighed."""
    waxes = [desk.state(section.wax) for section in piece.sections if section.wax]
    weighed = tuple(one.mass for one in waxes if isinstance(one, Wax) and one.mass)
    return weighed if len(weighed) == len(piece.sections) else ()


@judges(MarkFound)
def _mark(draft: Draft, facts: MarkFound, desk: Desk) -> tuple[str, ...]:
    piece = known(desk, draft.subject, Piece)
    if facts.number is None:
        return ()
    number = str(canonical(facts.number))
    remarks: tuple[str, ...] = ()
    if piece.number and piece.number != number:
        remarks += (f"The metal bears {number}, the run gave {piece.number}.",)
    if piece.run:
        others = [
            one.code
            for one in desk.linked("marked", f"{piece.run} {number}")
            if isinstance(one, Piece) and one.code != piece.code
        ]
        if others:
            remarks += (f"{number} is contested: {', '.join(others)} bears it too.",)
    return remarks


@judges(EarlierCastRegistered)
def _registered(draft: Draft, facts: EarlierCastRegistered, desk: Desk) -> tuple[str, ...]:
    work = known(desk, facts.work, Work)
    if facts.run:
        run = known(desk, facts.run, Run)
        if run.declared.work != work.code:
            raise Refused(
                f"{run.code} is a run of {run.declared.work}, not of {work.code}.",
                "Name a run of the same work, or none.",
            )
    free_tag(desk, facts.tag)
    if facts.cast:
        not_to_come(draft, facts.cast, "the cast was made")
    return ()
