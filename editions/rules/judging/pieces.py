"""Judges of pieces: begun, made from waxes, approved, coloured, released, scrapped."""

from __future__ import annotations

from editions.errors import Refused, Unreadable
from editions.rules.defects import CLASSES, agreeing
from editions.rules.judging.belonging import OUTSIDE, canonical, not_given
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.entitlement import entitled
from editions.rules.judging.making import (
    approved_before,
    at_work,
    called,
    label,
    not_scrapped,
    poured_or_refused,
    run_of,
    section_named,
)
from editions.rules.judging.molds import work_of_mold
from editions.rules.judging.runs import open_run
from editions.rules.judging.standing import none_stands
from editions.rules.judging.waxes import in_stock
from editions.trade.casting import (
    ApprovalGiven,
    ColourApplied,
    DefectFound,
    Ending,
    PieceReleased,
    PieceScrapped,
    PieceStarted,
    SectionScrapped,
    SectionTaken,
)
from editions.trade.codes import read_code, read_tag
from editions.trade.colour import Recipe
from editions.trade.dates import say_when
from editions.trade.molds import Mold
from editions.trade.parties import Party
from editions.trade.pieces import Piece, PieceSection
from editions.trade.runs import Run
from editions.trade.waxes import Wax
from editions.trade.works import Work


def free_tag(desk: Desk, tag: str | None) -> None:
    """Refuse a shop tag that hangs on another piece, or that reads as a registry code.

    Raises:
        Refused: If it is taken or looks like a code.
        Unreadable: If it is not a tag.
    """
    if tag is None:
        return
    if read_tag(tag) != tag:
        raise Unreadable(f"The tag {tag} is entered as {read_tag(tag)}.", "Enter it so.")
    if _reads_as_code(tag):
        raise Refused(f"The tag {tag} reads as a code of the registry.", "Choose another tag.")
    other = desk.named(tag)
    if other:
        raise Refused(f"The tag {tag} hangs on {other}.", _same_bronze(desk, other))


def _same_bronze(desk: Desk, code: str) -> str:
    """The remedy for a tag that hangs: of a piece begun by mistake, how to mend or to end it."""
    piece = desk.state(code)
    if not isinstance(piece, Piece) or piece.scrapped or piece.from_object or piece.steps:
        return "Choose another tag."
    if any(section.wax for section in piece.sections):
        return "Choose another tag."
    return (
        f'Choose another; or, if that is this bronze: bronzebook correct {code}#1 sections="head;'
        f' torso" says its sections anew, and bronzebook strike {code}#1 frees its tag.'
    )


def _reads_as_code(tag: str) -> bool:
    try:
        read_code(tag)
    except Unreadable:
        return False
    return True


@judges(PieceStarted)
def _started(draft: Draft, facts: PieceStarted, desk: Desk) -> tuple[str, ...]:
    run = open_run(draft, desk, facts.run, "no piece is begun")
    not_before(draft, run.since, f"{run.code} was declared")
    distinct(facts.sections, "section")
    free_tag(desk, facts.tag)
    return ()


@judges(SectionTaken)
def _taken(draft: Draft, facts: SectionTaken, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    section = section_named(piece, facts.section)
    if section.wax or piece.has_poured(section):
        raise Refused(
            f"{label(piece, section)} is made from {section.wax or 'metal'} already.",
            "Scrap the section before another wax takes its place.",
        )
    wax = in_stock(draft, desk, facts.wax)
    _as_the_wax(facts, wax)
    run = run_of(desk, piece)
    _same_run(desk, run, wax)
    _same_number(desk, piece, run, wax)
    if wax.section != facts.section:
        return (f"{wax.code} is a wax of {wax.section}, taken as {facts.section}.",)
    return ()


def _as_the_wax(facts: SectionTaken, wax: Wax) -> None:
    told = (facts.mold, facts.pull, facts.number)
    if told != (wax.mold, wax.pull, wax.number):
        raise Refused(
            f"{wax.code} is pull {wax.pull} of {wax.mold}, number {wax.number}; the entry says"
            f" pull {facts.pull} of {facts.mold}, number {facts.number}.",
            "A section takes mold, pull and number from its wax.",
        )


def _same_run(desk: Desk, run: Run, wax: Wax) -> None:
    if wax.run not in (None, run.code):
        raise Refused(
            f"{wax.code} is allotted to {wax.run}, not to {run.code}.",
            "Take a wax of the same run, or one that is allotted to none.",
        )
    mold = desk.state(wax.mold) if wax.mold else None
    if isinstance(mold, Mold) and work_of_mold(desk, mold) != run.declared.work:
        raise Refused(
            f"{wax.code} was pulled from {mold.code}, which is of another work.",
            "Check the code of the wax.",
        )


def _same_number(desk: Desk, piece: Piece, run: Run, wax: Wax) -> None:
    if wax.number is None:
        return
    borne = piece.number or piece.reserved
    if borne not in (None, wax.number):
        raise Refused(
            f"{wax.number} is cut into {wax.code}; {called(piece)} has {borne}.",
            "Take a wax without a number, or the one that bears this.",
        )
    if piece.purpose == "trial" and canonical(wax.number).series not in OUTSIDE:
        raise Refused(
            f"{wax.number} is cut into {wax.code}; {called(piece)} is a trial cast.",
            "Take a wax without a number of the run.",
        )
    if piece.number is None:
        not_given(desk, run, wax.number)


@judges(DefectFound)
def _defect(draft: Draft, facts: DefectFound, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    if facts.section:
        section_named(piece, facts.section)
    elif len(piece.sections) > 1 and not draft.late:
        raise Refused(
            f"{called(piece)} has several sections; in which the defect is must be said.",
            f"Its sections: {', '.join(section.name for section in piece.sections)}.",
        )
    agreeing(facts.defect_class, facts.name)
    return _noted_already(draft, facts, piece)


def _noted_already(draft: Draft, facts: DefectFound, piece: Piece) -> tuple[str, ...]:
    # Two pinholes of one day may well be two, so the second is only remarked on.
    same = (facts.defect_class, facts.name, facts.section, draft.on)
    if same in {(one.defect_class, one.name, one.section, one.on) for one in piece.defects}:
        where = f"{called(piece)} {facts.section}" if facts.section else called(piece)
        named = facts.name or CLASSES[facts.defect_class]
        return (f"{where}: {facts.defect_class} {named} is noted that day already.",)
    return ()


@judges(SectionScrapped)
def _section_scrapped(draft: Draft, facts: SectionScrapped, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    section = section_named(piece, facts.section)
    if section.wax is None and not piece.has_poured(section):
        raise Refused(
            f"{label(piece, section)} is not made yet; there is nothing to scrap.",
            "Check the section, or scrap the whole piece.",
        )
    _not_before_pour(draft, piece, section)
    _proven(facts.ending, desk)
    none_stands(desk, piece, "a section cannot be scrapped")
    if piece.approvals:
        return (f"What was approved of {called(piece)} must be approved again once it is recast.",)
    return ()


def _not_before_pour(draft: Draft, piece: Piece, section: PieceSection) -> None:
    not_before(draft, section.poured, f"{label(piece, section)} was poured")


def _proven(ending: Ending, desk: Desk) -> None:
    if not ending.evidence.strip():
        raise Refused("How the destruction is proven is not said.", "Name the evidence.")
    if ending.witness:
        known(desk, ending.witness, Party)


@judges(PieceScrapped)
def _scrapped(draft: Draft, facts: PieceScrapped, desk: Desk) -> tuple[str, ...]:
    piece = known(desk, draft.subject, Piece)
    not_scrapped(piece)
    for section in piece.sections:
        _not_before_pour(draft, piece, section)
    not_before(draft, piece.released, f"{called(piece)} was released")
    _proven(facts.ending, desk)
    none_stands(desk, piece, "a cast that it vouches for cannot be scrapped")
    return (f"{piece.number} stays with {called(piece)} until freed.",) if piece.number else ()


@judges(ApprovalGiven)
def _approval(draft: Draft, facts: ApprovalGiven, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    poured_or_refused(piece, "judged")
    not_before(draft, piece.cast_on, f"{called(piece)} was poured")
    if facts.of == "colour":
        _has_colour(draft, piece)
    _may_approve(draft, facts.party, run_of(desk, piece), desk)
    return _said_already(draft, facts, piece)


def _said_already(draft: Draft, facts: ApprovalGiven, piece: Piece) -> tuple[str, ...]:
    """Refuse the same word of the same day: a paper would print it twice, and nothing is lost."""
    words = [a for a in piece.approvals if (a.of, a.party) == (facts.of, facts.party)]
    last = words[-1] if words and not words[-1].lapsed else None
    if last is None or last.approved != facts.approved:
        return ()
    word = "approved" if facts.approved else "refused"
    says = f"{facts.party} {word} the {facts.of} of {called(piece)} on {say_when(last.on)}"
    if not draft.late and (last.how, last.on) == (facts.how, draft.on):
        raise Refused(
            f"{says}, {last.how}: that is entered already.",
            "Nothing is left to do; if it was said again on another day, give that day with --on.",
        )
    return (f"{says} too, {last.how}.",)


def _has_colour(draft: Draft, piece: Piece) -> None:
    days = [colour.on for colour in piece.colours]
    days += [step.on for step in piece.steps if step.step == "coloured"]
    if not days:
        raise Refused(
            f"{called(piece)} has no colour to approve.",
            f"Enter it first: bronzebook colour {called(piece)}.",
        )
    not_before(draft, days[0], f"{called(piece)} was coloured")


def _may_approve(draft: Draft, party: str, run: Run, desk: Desk) -> None:
    artist = known(desk, run.declared.work, Work).artist
    if party == artist or party != run.declared.authorised_by:
        entitled(draft, desk, party, artist, "approve a cast")


@judges(ColourApplied)
def _colour(draft: Draft, facts: ColourApplied, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    poured_or_refused(piece, "coloured")
    not_before(draft, piece.cast_on, f"{called(piece)} was poured")
    _recipe(facts, desk)
    needs = run_of(desk, piece).declared.needs
    if "approved_in_metal" in needs and not piece.approved("metal"):
        says = f"{called(piece)} is not approved in metal, which its run asks for before colour"
        if not draft.late:
            raise Refused(f"{says}.", f"Enter it first: bronzebook approve {called(piece)} metal.")
        return (f"{says}.",)
    return () if draft.late else approved_before(piece, draft.on)


def _recipe(facts: ColourApplied, desk: Desk) -> None:
    if facts.recipe is None:
        if facts.version is not None:
            raise Refused("A version is named, but no recipe.", "Name the recipe.")
        if not facts.words:
            raise Refused("The colour is not said.", "Say it in words, or name the recipe.")
        return
    recipe = known(desk, facts.recipe, Recipe)
    if facts.version not in {version.version for version in recipe.versions}:
        raise Refused(
            f"{recipe.code} has no version {facts.version}.", f"The latest is {recipe.latest}."
        )


@judges(PieceReleased)
def _released(draft: Draft, facts: PieceReleased, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, draft.subject)
    poured_or_refused(piece, "released")
    not_before(draft, piece.cast_on, f"{called(piece)} was poured")
    needs = run_of(desk, piece).declared.needs
    wanted = [("approved_in_metal", "metal"), ("approved_in_colour", "colour")]
    remarks = approved_before(piece) if facts.state == "finished" else ()
    for need, what in wanted[: 2 if facts.state == "finished" else 1]:
        if need in needs and not (piece.approved("metal" if what == "metal" else "colour")):
            says = f"{called(piece)} is not approved in {what}, which its run asks for"
            if not draft.late:
                raise Refused(
                    f"{says}; it cannot be released {facts.state}.",
                    f"Enter it first: bronzebook approve {called(piece)} {what}.",
                )
            remarks += (f"{says}.",)
    return remarks
