"""Judges of molds: what they were taken from, where they lie, and that a destroyed one is gone."""

from __future__ import annotations

from editions.errors import NotKnown, Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, measures, not_before, shown
from editions.rules.judging.desk import Desk, Draft
from editions.trade.dates import certainly_before, say_when
from editions.trade.molds import (
    EarlierPulls,
    Mold,
    MoldDestroyed,
    MoldInspected,
    MoldMade,
    MoldRepaired,
    MoldRetired,
    MoldReturned,
    MoldSection,
    MoldSentOut,
)
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.works import Model


def standing_mold(draft: Draft, desk: Desk, code: str) -> Mold:
    """The mold, which must not have been destroyed by the day of the entry.

    Raises:
        NotKnown: If the code is not a mold's.
        Refused: If the mold is gone, or was not made yet.
    """
    mold = known(desk, code, Mold)
    if mold.destroyed and not (draft.late and certainly_before(draft.on, mold.destroyed)):
        raise Refused(
            f"{code} was destroyed {say_when(mold.destroyed)} before"
            f" {shown(desk, mold.witness or 'a witness')}.",
            "Check the code of the mold.",
        )
    not_before(draft, mold.since, f"{code} was made")
    return mold


def section_of(mold: Mold, name: str) -> MoldSection:
    """The section of a mold by name.

    Raises:
        NotKnown: If the mold has no such section.
    """
    section = mold.section(name)
    if section is None:
        names = ", ".join(one.name for one in mold.sections)
        raise NotKnown(f"{mold.code} has no section {name}.", f"Its sections: {names}.")
    return section


def work_of_mold(desk: Desk, mold: Mold) -> str | None:
    """The work of what a mold was taken from."""
    source = desk.state(mold.taken_from)
    if isinstance(source, Model):
        return source.work
    return work_of_piece(desk, source) if isinstance(source, Piece) else None


def work_of_piece(desk: Desk, piece: Piece) -> str | None:
    """The work of a piece: its own, or its run's."""
    if piece.work:
        return piece.work
    run = desk.state(piece.run) if piece.run else None
    return run.declared.work if isinstance(run, Run) else None


@judges(MoldMade)
def _made(draft: Draft, facts: MoldMade, desk: Desk) -> tuple[str, ...]:
    distinct(facts.sections, "section")
    _counts(facts.sections, facts.earlier)
    source = desk.state(facts.taken_from)
    if isinstance(source, Model):
        _from_model(facts, source, desk)
    elif isinstance(source, Piece):
        _from_bronze(draft, facts, source, desk)
    elif source is None:
        raise NotKnown(
            f"{facts.taken_from} is not in the book; a model or a piece is wanted here.",
            "Check the code, or enter the model first.",
        )
    else:
        raise Refused(
            f"{facts.taken_from} is neither a model nor a piece to take a mold from.",
            "Name a model (D-0001) or a bronze (P-0001).",
        )
    return _again(draft, facts, desk)


def _again(draft: Draft, facts: MoldMade, desk: Desk) -> tuple[str, ...]:
    """Remark on a mold of the same sections, taken from the same thing on the same day."""
    molds = [one for one in desk.linked("taken from", facts.taken_from) if isinstance(one, Mold)]
    return tuple(
        f"{one.code} is a mold of {', '.join(facts.sections)} from {facts.taken_from} of that day"
        f" already; if this is the same one: bronzebook strike {draft.subject}#1."
        for one in molds
        if (one.since, tuple(s.name for s in one.sections)) == (draft.on, facts.sections)
        and not one.destroyed
    )


def _from_model(facts: MoldMade, model: Model, desk: Desk) -> None:
    wanted = _bronzes_in_chain(desk, model)
    if facts.generation != wanted:
        why = "holds a master bronze" if wanted else "holds no bronze"
        raise Refused(
            f"The chain of {model.code} {why}: a cast from this mold is of generation {wanted},"
            f" not {facts.generation}.",
            f"Enter it with --generation {wanted}, or leave that out.",
        )


def _bronzes_in_chain(desk: Desk, model: Model) -> int:
    count = 0
    link: Model | None = model
    while link is not None:
        count += link.stage == "master bronze"
        link = known(desk, link.made_from, Model) if link.made_from else None
    return count


def _from_bronze(draft: Draft, facts: MoldMade, piece: Piece, desk: Desk) -> None:
    if piece.scrapped:
        raise Refused(f"{piece.code} was scrapped {say_when(piece.scrapped)}.", "Check the code.")
    if not (piece.poured or piece.from_object):
        raise Refused(
            f"{piece.code} is not poured yet; no mold can be taken from it.",
            "Pour it first, or take the mold from a model.",
        )
    if not piece.from_object:
        not_before(draft, piece.cast_on, f"{piece.code} was poured")
    molds = (desk.state(section.mold) for section in piece.sections if section.mold)
    least = 1 + max((m.generation for m in molds if isinstance(m, Mold)), default=0)
    if facts.generation < least:
        raise Refused(
            f"A cast from a mold of {piece.code} is of generation {least} at least, not"
            f" {facts.generation}.",
            "A bronze molded from a bronze is a generation further from the model.",
        )


def _counts(sections: tuple[str, ...], told: tuple[EarlierPulls, ...]) -> None:
    if told:
        distinct((pulls.section for pulls in told), "section whose pulls are told")
    for pulls in told:
        if pulls.section not in sections:
            raise NotKnown(
                f"The mold has no section {pulls.section}.", f"Its sections: {', '.join(sections)}."
            )


@judges(MoldSentOut)
def _sent_out(draft: Draft, _: MoldSentOut, desk: Desk) -> tuple[str, ...]:
    mold = standing_mold(draft, desk, draft.subject)
    if mold.out:
        raise Refused(f"{mold.code} is out since {say_when(mold.out)}.", "Enter its return first.")
    return ()


@judges(MoldReturned)
def _returned(draft: Draft, facts: MoldReturned, desk: Desk) -> tuple[str, ...]:
    mold = standing_mold(draft, desk, draft.subject)
    if not mold.out:
        raise Refused(
            f"{mold.code} is not out; it cannot return.", "Enter first when it went out, with --on."
        )
    not_before(draft, mold.out, f"{mold.code} was sent out")
    _counts(tuple(section.name for section in mold.sections), facts.away)
    return ()


@judges(MoldInspected)
def _inspected(draft: Draft, facts: MoldInspected, desk: Desk) -> tuple[str, ...]:
    section_of(standing_mold(draft, desk, draft.subject), facts.section)
    distinct((criterion.name for criterion in facts.criteria), "criterion")
    for criterion in facts.criteria:
        if criterion.measured and criterion.measured.dimension != "length":
            measures(f"measure of {criterion.name}", criterion.measured, "length")
    return ()


@judges(MoldRepaired)
def _repaired(draft: Draft, facts: MoldRepaired, desk: Desk) -> tuple[str, ...]:
    mold = standing_mold(draft, desk, draft.subject)
    _not_retired(mold, section_of(mold, facts.section))
    return ()


@judges(MoldRetired)
def _retired(draft: Draft, facts: MoldRetired, desk: Desk) -> tuple[str, ...]:
    mold = standing_mold(draft, desk, draft.subject)
    if facts.section:
        _not_retired(mold, section_of(mold, facts.section))
    elif all(section.retired for section in mold.sections):
        raise Refused(
            f"Every section of {mold.code} is retired already.", "Nothing is left to retire."
        )
    return ()


def _not_retired(mold: Mold, section: MoldSection) -> None:
    if section.retired:
        raise Refused(
            f"Section {section.name} of {mold.code} was retired {say_when(section.retired)}.",
            "Use another section or another mold.",
        )


@judges(MoldDestroyed)
def _destroyed(draft: Draft, facts: MoldDestroyed, desk: Desk) -> tuple[str, ...]:
    mold = standing_mold(draft, desk, draft.subject)
    if not facts.evidence.strip():
        raise Refused("How the destruction is proven is not said.", "Name the evidence.")
    if mold.out:
        return (f"{mold.code} is out since {say_when(mold.out)}; was it destroyed there?",)
    return ()
