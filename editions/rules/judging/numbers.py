"""Judges of numbers: promised, given once, freed only where the bearer is proven destroyed."""

from __future__ import annotations

from editions.errors import Refused
from editions.rules.judging.belonging import (
    OUTSIDE,
    belongs,
    not_cut_elsewhere,
    not_elsewhere,
    not_given,
)
from editions.rules.judging.bench import judges
from editions.rules.judging.common import by_mistake, known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.entitlement import entitled
from editions.rules.judging.making import called as tagged
from editions.rules.judging.runs import open_run, still_open
from editions.rules.judging.standing import called, in_force, none_stands, reservations
from editions.trade.dates import certainly_before, say_when
from editions.trade.pieces import Piece
from editions.trade.runs import NumberFreed, NumberGiven, NumberPromised, PromiseEnded, Run
from editions.trade.works import Work

_HOLDS = ("promise", "payment", "sale")


@judges(NumberPromised)
def _promised(draft: Draft, facts: NumberPromised, desk: Desk) -> tuple[str, ...]:
    run = open_run(draft, desk, draft.subject, "no number is promised any more")
    not_before(draft, run.since, f"{run.code} was declared")
    belongs(run.code, run.declared, facts.designation)
    not_elsewhere(run, facts.designation)
    before = next((p for p in run.promised if p.designation == facts.designation), None)
    if before and _HOLDS.index(facts.held_for) <= _HOLDS.index(before.held_for):
        raise Refused(
            f"{facts.designation} of {run.code} is spoken for already ({before.held_for}).",
            "End that promise first, or choose a free number.",
        )
    if facts.held_for == "promise":
        not_given(desk, run, facts.designation)
    return () if before else _borne(run, facts.designation, desk)


def _borne(run: Run, designation: str, desk: Desk) -> tuple[str, ...]:
    """The remark on a number that a cast bears; refuse one whose cast has its paper already."""
    bearer = desk.bearer(run.code, designation)
    if bearer is None:
        return ()
    piece = known(desk, bearer, Piece)
    for one in in_force(desk, piece):
        raise Refused(
            f"{designation} of {run.code} is certified: {called(one)} of {tagged(piece)}.",
            "Whoever has that paper has the number; choose a free one.",
        )
    return (f"{tagged(piece)} bears {designation} already.",)


@judges(PromiseEnded)
def _promise_ended(draft: Draft, facts: PromiseEnded, desk: Desk) -> tuple[str, ...]:
    run = known(desk, draft.subject, Run)
    if facts.designation not in {promise.designation for promise in run.promised}:
        raise Refused(
            f"{facts.designation} of {run.code} is not promised to anyone.",
            f"See what is: bronzebook run show {run.code}.",
        )
    lapsing = reservations(desk, run.code, facts.designation)
    if {one.code for one in lapsing} != set(facts.reservations):
        named = " and ".join(map(called, lapsing)) or "none"
        raise Refused(
            f"The papers that reserve {facts.designation} of {run.code}: {named}.",
            "End the promise with: bronzebook number unpromise.",
        )
    return tuple(f"{called(one)} lapses with the promise." for one in lapsing)


@judges(NumberGiven)
def _given(draft: Draft, facts: NumberGiven, desk: Desk) -> tuple[str, ...]:
    run, piece = known(desk, draft.subject, Run), known(desk, facts.piece, Piece)
    read = belongs(run.code, run.declared, facts.designation)
    not_before(draft, run.since, f"{run.code} was declared")
    _may_bear(desk, run, piece, facts.designation)
    if piece.purpose == "trial" and read.series not in OUTSIDE:
        raise Refused(
            f"{tagged(piece)} is a trial cast; it takes no number of the edition.",
            "Give it TP 1 or FP 1.",
        )
    _open_for(draft, run, piece)
    not_elsewhere(run, facts.designation)
    not_given(desk, run, facts.designation)
    not_cut_elsewhere(desk, run.code, facts.designation, piece.code)
    promise = next((p for p in run.promised if p.designation == facts.designation), None)
    return (f"{facts.designation} was spoken for ({promise.held_for}).",) if promise else ()


def _may_bear(desk: Desk, run: Run, piece: Piece, designation: str) -> None:
    if piece.run != run.code:
        raise Refused(
            f"{tagged(piece)} is not of {run.code} but of {piece.run or 'no run'}.",
            "Give it a number of its own run.",
        )
    if piece.number:
        slip = by_mistake(desk, piece.code, "number_given")
        raise Refused(
            f"{tagged(piece)} bears {piece.number} already.", f"A piece has one number.{slip}"
        )
    if piece.scrapped:
        raise Refused(
            f"{tagged(piece)} was scrapped {say_when(piece.scrapped)}; it takes no number.",
            "Check the code.",
        )
    if piece.reserved not in (None, designation):
        raise Refused(
            f"{piece.reserved} is cut into the wax of {tagged(piece)}.",
            f"Give it {piece.reserved}.",
        )


def _open_for(draft: Draft, run: Run, piece: Piece) -> None:
    # A closed run still numbers what was poured before it closed.
    cast = piece.cast_on
    if run.closed and (cast is None or certainly_before(run.closed, cast)):
        still_open(draft, run, "no number is given any more")


@judges(NumberFreed)
def _freed(draft: Draft, facts: NumberFreed, desk: Desk) -> tuple[str, ...]:
    run, piece = known(desk, draft.subject, Run), known(desk, facts.piece, Piece)
    if (piece.run, piece.number) != (run.code, facts.designation):
        raise Refused(
            f"{tagged(piece)} does not bear {facts.designation} of {run.code}, but"
            f" {piece.number or 'no number'}.",
            "Check the code and the number.",
        )
    if not piece.scrapped:
        raise Refused(
            f"{tagged(piece)} is not proven destroyed; {facts.designation} stays with it.",
            "A number returns only when its bearer was scrapped; never for a lost or stolen cast.",
        )
    not_before(draft, piece.scrapped, f"{tagged(piece)} was scrapped")
    none_stands(desk, piece, f"{facts.designation} cannot be freed")
    if facts.because == "scrapped before release":
        _never_released(piece)
    else:
        _surrendered(draft, facts, run, piece, desk)
    return ()


def _never_released(piece: Piece) -> None:
    if piece.released:
        raise Refused(
            f"{tagged(piece)} was released {say_when(piece.released)}.",
            "Its number returns only by surrender and destruction, with authority.",
        )


def _surrendered(draft: Draft, facts: NumberFreed, run: Run, piece: Piece, desk: Desk) -> None:
    if not piece.released:
        raise Refused(
            f"{tagged(piece)} was never released, so it was not surrendered.",
            "Free its number as scrapped before release.",
        )
    if not facts.authorised_by:
        raise Refused(
            f"Who authorised that {facts.designation} returns to {run.code} is not named.",
            "Name the artist, or who holds the authority.",
        )
    artist = known(desk, run.declared.work, Work).artist
    entitled(draft, desk, facts.authorised_by, artist, "free a number")
