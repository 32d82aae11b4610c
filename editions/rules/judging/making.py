"""What a piece still allows: work on it, and a step that physics makes wait for another."""

from __future__ import annotations

from editions.errors import NotKnown, Refused
from editions.rules.judging.common import known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.next_steps import doing
from editions.rules.routes import Route, route
from editions.trade.dates import certainly_before, say_when
from editions.trade.pieces import Piece, PieceSection
from editions.trade.runs import Run


def at_work(draft: Draft, desk: Desk, code: str) -> Piece:
    """The piece, which must be in the foundry's hands.

    Raises:
        NotKnown: If the code is not a piece's.
        Refused: If it was scrapped, released, or registered from the object.
    """
    piece = known(desk, code, Piece)
    if piece.from_object:
        raise Refused(
            f"{called(piece)} was registered from the object; how it was made is not in this book.",
            "Enter its marks and measurements.",
        )
    not_scrapped(piece)
    if piece.released:
        raise Refused(
            f"{called(piece)} was released {say_when(piece.released)}.",
            "What is done later is not casting.",
        )
    not_before(draft, piece.since, f"{called(piece)} was begun")
    return piece


def not_scrapped(piece: Piece) -> None:
    """Refuse a piece that was scrapped.

    Raises:
        Refused: Naming the day.
    """
    if piece.scrapped:
        raise Refused(
            f"{called(piece)} was scrapped {say_when(piece.scrapped)}.", "Check the code."
        )


def section_named(piece: Piece, name: str) -> PieceSection:
    """The section of a piece by name.

    Raises:
        NotKnown: If the piece has no such section.
    """
    section = piece.section(name)
    if section is None:
        names = ", ".join(one.name for one in piece.sections)
        raise NotKnown(
            f"{called(piece)} has no section {name}.",
            f"Its sections: {names}." if names else "It was registered whole.",
        )
    return section


def run_of(desk: Desk, piece: Piece) -> Run:
    """The run that a piece was begun for.

    Raises:
        NotKnown: If it has none.
    """
    if piece.run is None:
        raise NotKnown(
            f"{called(piece)} belongs to no run.", "Only what is cast for a run is worked on here."
        )
    return known(desk, piece.run, Run)


def route_of(desk: Desk, piece: Piece) -> Route:
    """The route that the run of a piece declares."""
    return route(run_of(desk, piece).declared.route)


def poured_or_refused(piece: Piece, doing: str) -> None:
    """Refuse what waits for metal in every section.

    Raises:
        Refused: Naming the sections not poured.
    """
    waiting = [s.name for s in piece.sections if not piece.has_poured(s)]
    if waiting:
        raise Refused(
            f"{called(piece)} cannot be {doing}; not poured yet: {', '.join(waiting)}.",
            "Enter the pour with its heat, or a pour elsewhere as a declared step.",
        )


def approved_before(piece: Piece, laid: str | None = None) -> tuple[str, ...]:
    """Remark on an approval of colour that did not see the last colour: it holds for what it saw.

    Args:
        piece: The piece.
        laid: The day of a colour about to be entered; without it, that of the last one entered,
            which counts only where it is certainly later, since a day has no hours.
    """
    days = [one.on for one in piece.approvals if one.of == "colour" and not one.lapsed]
    last = laid or (piece.colours[-1].on if piece.colours else None)
    if not days or last is None or not piece.approved("colour"):
        return ()
    before = certainly_before(days[-1], last)
    if not before and (laid is None or certainly_before(last, days[-1])):
        return ()
    says = f"The colour of {called(piece)} was approved {say_when(days[-1])}, before its last one"
    return (f"{says}; have it approved again: bronzebook approve {called(piece)} colour.",)


def called(piece: Piece) -> str:
    """A piece as the shop names it: by the tag that hangs on it, else by its code."""
    return piece.tag or piece.code


def label(piece: Piece, section: PieceSection) -> str:
    """A section as the shop names it: the piece by its tag or code, and which of several."""
    return called(piece) if len(piece.sections) == 1 else f"{called(piece)} {section.name}"


def done_for(piece: Piece, section: PieceSection) -> dict[str, str]:
    """Every step that counts for a section as it stands, with the day it was first recorded."""
    done: dict[str, str] = {}
    for step in piece.steps_of(section.name):
        done.setdefault(step.step, step.on)
    return done


def prerequisites(
    draft: Draft, piece: Piece, section: PieceSection, step: str, by: Route
) -> tuple[str, ...]:
    """Refuse a step whose physics lacks another; of older records only remark on it.

    Raises:
        Refused: If a needed step is not recorded, or is dated after this one.
    """
    done = done_for(piece, section)
    for need in by.needs[step]:
        not_before(draft, done.get(need), f"{label(piece, section)} was {by.says(need)}")
    missing = by.missing(step, done)
    if not missing:
        return ()
    need = by.says(missing[0])
    says = f"{label(piece, section)} is not recorded as {need}, which {doing(step, by)} needs"
    if draft.late:
        return (f"{says}.",)
    raise Refused(
        f"{says} on the route {by.name}.",
        f'Record it as {need}; add --how "not recorded" if it happened and nobody wrote it down.',
    )
