"""What stands on an entry, so that it cannot be struck, by kind; and what a strike leaves as it is.

Something stands on an entry where it would have been refused without it:

==================  ==============================================================================
wax judged          its number, cut into another wax or given since; the closing of its run
section taken       the pour; what was scrapped; the wax's number, given since; the closing
number promised     what was said of the promise since
number given        its release, its freeing; a run closed as complete
step done           what needs it by the route, where no other entry of the step is there for it
run offered         numbers held for payment or sold since
what begins         every entry that names it
==================  ==============================================================================

Certificates stand on much more (:func:`editions.trade.strikes.relies`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from editions.errors import Refused
from editions.rules.judging.belonging import belongs
from editions.rules.judging.common import known
from editions.rules.judging.desk import Desk
from editions.rules.judging.making import called, route_of
from editions.rules.routes import Route
from editions.trade.casting import (
    ApprovalGiven,
    ColourApplied,
    PieceReleased,
    PieceScrapped,
    SectionScrapped,
    SectionTaken,
    StepDone,
)
from editions.trade.dates import say_when
from editions.trade.heats import HeatPoured
from editions.trade.kinds import Happened, said
from editions.trade.molds import MoldMade
from editions.trade.pieces import Piece
from editions.trade.runs import (
    NumberFreed,
    NumberGiven,
    NumberPromised,
    PromiseEnded,
    Run,
    RunClosed,
)
from editions.trade.waxes import Wax, wax_numbers


def stands_on(entry: Happened, desk: Desk) -> tuple[str, ...]:
    """What stands on an entry that may be struck, each in words, once."""
    look = {
        "wax_judged": _on_judgement,
        "section_taken": _on_taking,
        "number_promised": _on_promise,
        "number_given": _on_number,
        "step_done": _on_step,
        "run_offered": _on_offer,
    }.get(entry.facts.kind, _named)
    return tuple(dict.fromkeys(look(entry, desk)))


def left_by(entry: Happened, desk: Desk) -> tuple[str, ...]:
    """What a strike of the entry leaves as it is, which is worth a remark."""
    if isinstance(entry.facts, SectionTaken):
        return tuple(_left_of_section(entry, desk))
    return tuple(_left_of_number(entry, desk)) if isinstance(entry.facts, NumberGiven) else ()


def since(entry: Happened, told: Iterable[Happened]) -> Iterator[Happened]:
    """Those entries that come after one, in order."""
    seen = False
    for one in told:
        if seen:
            yield one
        seen = seen or one.leaf == entry.leaf


def _as_told(one: Happened) -> str:
    return f"{said(one.facts.kind)} ({one.subject}), {say_when(one.on)}"


def _named(entry: Happened, desk: Desk) -> Iterator[str]:
    """What names the subject that the entry begins, whenever it was entered."""
    others = (one for one in desk.naming(entry.subject) if one.leaf != entry.leaf)
    return map(_as_told, others)


def _on_judgement(entry: Happened, desk: Desk) -> Iterator[str]:
    wax = known(desk, entry.subject, Wax)
    if wax.fate != "rejected" or entry.facts.accepted:
        return
    yield from _closing(wax.run, desk)
    if wax.run and wax.number:
        run = known(desk, wax.run, Run)
        holder = desk.bearer(wax_numbers(run.code), wax.number) or run.bearer(wax.number)
        if holder:
            yield f"{wax.number} of {run.code} went to {holder} since"
        try:
            belongs(run.code, run.declared, wax.number)
        except Refused as why:
            yield f"{wax.number} is cut into it, and {why.message.rstrip('.')}"


def _closing(run: str | None, desk: Desk) -> Iterator[str]:
    """The closing of a run, which accounts for every wax and every cast."""
    closed = known(desk, run, Run).closed if run else None
    if closed:
        yield f"{run} was closed {say_when(closed)}, and what was left of it accounted for"


def _on_taking(entry: Happened, desk: Desk) -> Iterator[str]:
    facts: SectionTaken = entry.facts
    piece = known(desk, entry.subject, Piece)
    yield from _closing(piece.run, desk)
    for one in since(entry, desk.told(piece.code)):
        later = one.facts
        given = isinstance(later, NumberGiven) and later.designation == facts.number
        scrapped = isinstance(later, SectionScrapped) and later.section == facts.section
        if (
            given
            or scrapped
            or isinstance(later, PieceScrapped)
            or (isinstance(later, HeatPoured) and _pours(later, piece.code, facts.section))
        ):
            yield _as_told(one)


def _pours(facts: HeatPoured, piece: str, section: str) -> bool:
    return any((shell.piece, shell.section) == (piece, section) for shell in facts.shells)


def _on_promise(entry: Happened, desk: Desk) -> Iterator[str]:
    facts: NumberPromised = entry.facts
    for one in since(entry, desk.told(entry.subject)):
        later = one.facts
        promise = isinstance(later, NumberPromised | PromiseEnded)
        if promise and later.designation == facts.designation:
            yield _as_told(one)


def _on_number(entry: Happened, desk: Desk) -> Iterator[str]:
    facts: NumberGiven = entry.facts
    for one in since(entry, desk.told(facts.piece)):
        if isinstance(one.facts, PieceReleased | NumberFreed):
            yield _as_told(one)
    for one in since(entry, desk.told(entry.subject)):
        if isinstance(one.facts, RunClosed) and one.facts.how == "complete":
            yield _as_told(one)


def _on_offer(entry: Happened, desk: Desk) -> Iterator[str]:
    promised = {one.designation for one in known(desk, entry.subject, Run).promised}
    for one in since(entry, desk.told(entry.subject)):
        later = one.facts
        if not isinstance(later, NumberPromised) or later.designation not in promised:
            continue
        if later.held_for != "promise":
            yield f"{later.designation} is held for {later.held_for} since"


def _on_step(entry: Happened, desk: Desk) -> Iterator[str]:
    facts: StepDone = entry.facts
    piece = known(desk, entry.subject, Piece)
    if facts.step == "poured":
        yield from _closing(piece.run, desk)
        for one in since(entry, desk.naming(piece.code)):
            if isinstance(one.facts, MoldMade) and one.facts.taken_from == piece.code:
                yield _as_told(one)
    route = route_of(desk, piece)
    for section in piece.sections:
        if facts.section in (None, section.name):
            needing = _needing(entry, section.name, desk.told(piece.code), route)
            yield from map(_as_told, needing)


def _needing(
    entry: Happened, section: str, told: Iterable[Happened], route: Route
) -> Iterator[Happened]:
    """What was done of a section since that needs the step, while no other entry of it is there."""
    step = entry.facts.step
    counts = other = False
    for one in told:
        if counts and not other and step in _needs(one, entry.subject, section, route):
            yield one
        if one.leaf == entry.leaf:
            counts = True
        elif isinstance(one.facts, SectionScrapped) and one.facts.section == section:
            counts = other = False
        else:
            other = other or _does(one, step, section)


def _needs(one: Happened, piece: str, section: str, route: Route) -> tuple[str, ...]:
    """The steps without which an entry would have been refused, of a section that it is of."""
    facts = one.facts
    if isinstance(facts, StepDone):
        done = facts.how == "done" and facts.section in (None, section)
        return route.needs[facts.step] if done else ()
    if isinstance(facts, HeatPoured):
        return route.needs["poured"] if _pours(facts, piece, section) else ()
    if isinstance(facts, ApprovalGiven):
        return ("poured", "coloured") if facts.of == "colour" else ("poured",)
    if isinstance(facts, ColourApplied | PieceReleased):
        return ("poured",)
    return ("poured",) if isinstance(facts, SectionScrapped) and facts.section == section else ()


def _does(one: Happened, step: str, section: str) -> bool:
    """Whether an entry records a step of a section."""
    facts = one.facts
    if isinstance(facts, ColourApplied):
        return step == "coloured"
    return isinstance(facts, StepDone) and facts.step == step and facts.section in (None, section)


def _left_of_section(entry: Happened, desk: Desk) -> Iterator[str]:
    """The work recorded of a section since, which a strike of its wax leaves as it is."""
    facts: SectionTaken = entry.facts
    piece = known(desk, entry.subject, Piece)
    steps = [
        one.facts.step.replace("_", " ")
        for one in since(entry, desk.told(piece.code))
        if isinstance(one.facts, StepDone) and one.facts.section in (None, facts.section)
    ]
    if steps:
        yield (
            f"What is recorded since of {called(piece)} {facts.section} stays:"
            f" {', '.join(dict.fromkeys(steps))}."
        )


def _left_of_number(entry: Happened, desk: Desk) -> Iterator[str]:
    """The marks that show the number; they stay as they were found."""
    facts: NumberGiven = entry.facts
    piece = known(desk, facts.piece, Piece)
    if any(mark.number == facts.designation for mark in piece.marks):
        yield f"The mark {facts.designation} on {called(piece)} stays as it was found."
