"""Judges of steps: known on the route, after what physics needs, coats counted upwards.

A step that was "not recorded" or done "elsewhere" asks for none before it: what this shop did not
see cannot be held against the record.  Pour, approvals, colour and release have entries of their
own, which say more; here they are only declared.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from editions.errors import Refused, Unreadable
from editions.rules.judging.bench import judges
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.making import (
    at_work,
    called,
    label,
    prerequisites,
    route_of,
    section_named,
)
from editions.rules.next_steps import doing
from editions.rules.plausible import coats
from editions.rules.routes import STEP_TITLES, WAXLESS, Route, read_step
from editions.trade.casting import StepDone
from editions.trade.dates import certainly_before, say_when
from editions.trade.pieces import Piece, PieceSection, Step

_OWN_ENTRIES = {
    "poured": "Enter the pour of its heat, or add --how elsewhere with who declared it.",
    "approved_in_metal": "Enter the approval in metal, with who gave it and how.",
    "coloured": "Enter the colour applied.",
    "approved_in_colour": "Enter the approval in colour, with who gave it and how.",
    "released": "Enter the release.",
}


_ONCE = ("dewaxed", "fired")


@judges(StepDone)
def _step(draft: Draft, facts: StepDone, desk: Desk) -> tuple[str, ...]:
    _well_said(facts)
    piece = at_work(draft, desk, draft.subject)
    route = route_of(desk, piece)
    if facts.step not in route.steps:
        raise Refused(
            f"The route {route.name} of {called(piece)} has no step {STEP_TITLES[facts.step]}.",
            f"Its steps: {', '.join(route.says(step) for step in route.steps)}.",
        )
    sections = piece.sections
    if facts.section is not None:
        sections = (section_named(piece, facts.section),)
    remarks: tuple[str, ...] = ()
    for section in sections:
        _before_the_pour(draft, piece, section, facts.step, route)
        if facts.how == "done":
            remarks += _of_wax(piece, section, facts.step, route)
            remarks += prerequisites(draft, piece, section, facts.step, route)
    remarks += _again(draft, piece, facts, route)
    for name, section in _alike(piece, sections):
        remarks += _coats(draft, piece, section, name, facts, route)
    return tuple(dict.fromkeys(remarks))


def _of_wax(piece: Piece, section: PieceSection, step: str, route: Route) -> tuple[str, ...]:
    """Remark on work on the wax or the shell of a section that has no wax in the book.

    A shop may write down its waxes after its shells, so only the pour refuses.  A section of which
    something was done elsewhere, or was not recorded, came here as it was.
    """
    early = route.steps.index(step) < route.steps.index("poured")
    if section.wax or not early or route.name in WAXLESS or piece.has_poured(section):
        return ()
    if any(done.how != "done" for done in piece.steps_of(section.name)):
        return ()
    says = f"{label(piece, section)} has no wax in this book, which {doing(step, route)} needs"
    return (f"{says}; is it this piece? Its wax: bronzebook piece take.",)


def _again(draft: Draft, piece: Piece, facts: StepDone, route: Route) -> tuple[str, ...]:
    """Remark on a shell emptied or fired twice in a day; other steps do repeat."""
    same = (facts.step, facts.section, draft.on)
    if facts.step not in _ONCE or same not in {(s.step, s.section, s.on) for s in piece.steps}:
        return ()
    where = f"{called(piece)} {facts.section}" if facts.section else called(piece)
    return (f"{where}: {route.says(facts.step)} is recorded of that day already.",)


def _alike(piece: Piece, sections: tuple[PieceSection, ...]) -> Iterator[tuple[str, PieceSection]]:
    """One section for all that have the same steps behind them, and what to call them together."""
    groups: dict[tuple[Step, ...], list[PieceSection]] = {}
    for section in sections:
        steps = tuple(replace(step, section=None, lost=()) for step in piece.steps_of(section.name))
        groups.setdefault(steps, []).append(section)
    for group in groups.values():
        names = ", ".join(section.name for section in group)
        alone = len(group) == len(piece.sections)
        yield called(piece) if alone else f"{called(piece)} {names}", group[0]


def _well_said(facts: StepDone) -> None:
    if read_step(facts.step) != facts.step:
        raise Unreadable(
            f"The step {facts.step} is entered as {read_step(facts.step)}.", "Enter it so."
        )
    if facts.how == "elsewhere" and facts.declared_by is None:
        raise Refused(
            "Who declared that the step was done elsewhere is not named.", "Add --declared-by."
        )
    if facts.how != "elsewhere" and facts.declared_by is not None:
        raise Refused(
            "A step is declared by someone only where it was done elsewhere.",
            "Leave out --declared-by, or add --how elsewhere.",
        )
    if facts.how == "done" and facts.step in _OWN_ENTRIES:
        raise Refused(
            f"“{STEP_TITLES[facts.step]}” has an entry of its own.", _OWN_ENTRIES[facts.step]
        )
    if facts.coat is not None and facts.step != "shelled":
        raise Refused(
            f"Coats are counted of shells; {STEP_TITLES[facts.step]} has none.", "Leave out --coat."
        )
    if facts.coat == 0:
        raise Refused("The first coat is coat 1.", "Count from 1.")


def _before_the_pour(
    draft: Draft, piece: Piece, section: PieceSection, step: str, route: Route
) -> None:
    """Refuse a step on wax or shell dated certainly after the metal; a second pour too."""
    if not piece.has_poured(section):
        return
    if step == "poured":
        raise Refused(
            f"{label(piece, section)} is poured already.",
            "A section is poured again only after it was scrapped.",
        )
    when = next(s.on for s in piece.steps_of(section.name) if s.step == "poured")
    early = route.steps.index(step) < route.steps.index("poured")
    if early and certainly_before(when, draft.on):
        raise Refused(
            f"{label(piece, section)} was poured {say_when(when)}; it cannot be"
            f" {route.says(step)} on {say_when(draft.on)}.",
            "Check the date and the code.",
        )


def _coats(
    draft: Draft, piece: Piece, section: PieceSection, name: str, facts: StepDone, route: Route
) -> tuple[str, ...]:
    dipped = [s for s in piece.steps_of(section.name) if s.step == "shelled" and s.coat]
    days = {step.coat or 0: step.on for step in dipped}
    last = max(days, default=0)
    if facts.step == "shelled" and facts.coat is not None:
        return _coat(draft, name, days, facts.coat)
    if facts.step == "dewaxed" and route.name != "block-investment":
        return coats(name, last, list(days.values()))
    return ()


def _coat(draft: Draft, name: str, days: dict[int, str], coat: int) -> tuple[str, ...]:
    """The remark on a coat that leaves a gap, or fills one; a coat is recorded once."""
    last = max(days, default=0)
    if coat in days:
        raise Refused(
            f"Coat {coat} of {name} is recorded already, on {say_when(days[coat])}.",
            f"The next is coat {last + 1}.",
        )
    if coat < last:
        return (f"{name}: coat {coat} entered after coat {last}.", *_late(draft, name, days, coat))
    if coat > last + 1:
        missed, it = f"coats {last + 1} to {coat - 1}", "each"
        if coat == last + 2:
            missed, it = f"coat {last + 1}", "it"
        return (f"{name}: {missed} not recorded; enter {it} late, with its own --coat and --on.",)
    return ()


def _late(draft: Draft, name: str, days: dict[int, str], coat: int) -> tuple[str, ...]:
    following = min(one for one in days if one > coat)
    if certainly_before(days[following], draft.on):
        day = say_when(days[following])
        return (f"{name}: coat {coat} is dated after coat {following}, {day}; is that its day?",)
    return ()
