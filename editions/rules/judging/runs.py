"""Judges of runs: the declaration, what locks it, its amendment, and its closing."""

from __future__ import annotations

from editions.errors import Refused, Unreadable
from editions.rules.alloys.own import find_alloy
from editions.rules.designations import LETTERS, SERIES
from editions.rules.judging.belonging import belongs, every_number
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.entitlement import entitled
from editions.rules.judging.making import called
from editions.rules.routes import route
from editions.trade.dates import certainly_before, say_when
from editions.trade.kinds import State
from editions.trade.parties import Party
from editions.trade.pieces import Piece
from editions.trade.runs import (
    Declaration,
    Leftover,
    Run,
    RunAmended,
    RunClosed,
    RunDeclared,
    RunOffered,
)
from editions.trade.waxes import Wax
from editions.trade.works import Model, Work

# Twelve in all, numbered casts and artist's proofs together (France, CPI art. R.122-3); of them at
# most eight numbered (Code of ethics of art foundries, France, 1993; CGI annexe III art. 98 A).
MOST_ORIGINALS = 12
MOST_NUMBERED = 8


def open_run(draft: Draft, desk: Desk, code: str, doing: str) -> Run:
    """The run, which must not be closed, unless what is told of it happened before.

    Raises:
        NotKnown: If the code is not a run's.
        Refused: If the run is closed.
    """
    run = known(desk, code, Run)
    still_open(draft, run, doing)
    return run


def still_open(draft: Draft, run: Run, doing: str) -> None:
    """Refuse what a closed run does no more; older records may tell what came before.

    Raises:
        Refused: Naming the day of closing.
    """
    if run.closed and not (draft.late and certainly_before(draft.on, run.closed)):
        raise Refused(
            f"{run.code} was closed {say_when(run.closed)} ({run.closed_how}): {doing}.",
            "Declare another run if the artist or estate authorises it.",
        )


@judges(RunDeclared)
def _declared(draft: Draft, facts: RunDeclared, desk: Desk) -> tuple[str, ...]:
    return sound_declaration(draft, facts.declared, desk) + _again(draft, facts.declared, desk)


def runs_alike(declared: Declaration, desk: Desk) -> tuple[Run, ...]:
    """The open runs of a work that declare what this one does, its words aside."""

    def details(one: Declaration) -> tuple[object, ...]:
        sizes = one.model, one.scale, one.edition_class, one.size, one.numerals, one.proofs
        return *sizes, one.alloy, one.authorised_by, one.needs

    runs = [one for one in desk.linked("work", declared.work) if isinstance(one, Run)]
    same = [one for one in runs if details(one.declared) == details(declared)]
    return tuple(one for one in same if not one.closed)


def _again(draft: Draft, declared: Declaration, desk: Desk) -> tuple[str, ...]:
    return tuple(
        f"{one.code} is a {one.index().title} of this work already; if this is the same one:"
        f" bronzebook strike {draft.subject}#1."
        for one in runs_alike(declared, desk)
    )


@judges(RunAmended)
def _amended(draft: Draft, facts: RunAmended, desk: Desk) -> tuple[str, ...]:
    run = open_run(draft, desk, draft.subject, "its declaration stands")
    not_before(draft, run.since, f"{run.code} was declared")
    event = lock_of(run, desk)
    if event:
        raise Refused(
            f"{run.code} was locked by its {event[0]} on {say_when(event[1])}; its declaration"
            " stands.",
            "Declare another run for what is meant now.",
        )
    if facts.declared.work != run.declared.work:
        raise Refused(
            f"{run.code} is a run of {run.declared.work}; an amendment cannot change the work.",
            "Declare another run.",
        )
    remarks = sound_declaration(draft, facts.declared, desk)
    _keeps_its_numbers(run, facts.declared, desk)
    return remarks


def lock_of(run: Run, desk: Desk) -> tuple[str, str] | None:
    """The event that locked a run's declaration, and its date.

    A first cast may have been made elsewhere, or before this book began: then only the pieces know.
    """
    if run.locked_by and run.locked_on:
        return run.locked_by, run.locked_on
    if run.declared.locks_on != "first cast":
        return None
    pieces = [one for one in desk.linked("run", run.code) if isinstance(one, Piece)]
    cast = [p.cast_on or p.since for p in pieces if _counts_as_cast(p)]
    return ("first cast", min(cast)) if cast else None


def _counts_as_cast(piece: Piece) -> bool:
    return piece.purpose == "run" and (piece.poured or piece.from_object)


def _keeps_its_numbers(run: Run, declared: Declaration, desk: Desk) -> None:
    told = {given.designation: f"given to {given.piece}" for given in run.given if not given.freed}
    told |= {promise.designation: "promised" for promise in run.promised}
    for wax in desk.linked("run", run.code):
        if isinstance(wax, Wax) and wax.number and wax.fate != "rejected":
            told.setdefault(wax.number, f"cut into {wax.code}")
    for designation, how in told.items():
        try:
            belongs(run.code, declared, designation)
        except Refused as why:
            raise Refused(
                f"{designation} is {how}; under the amendment it would not stand. {why.message}",
                "Free the number or end the promise first.",
            ) from None


def sound_declaration(draft: Draft, declared: Declaration, desk: Desk) -> tuple[str, ...]:
    """The remarks on a declaration that may be made.

    Raises:
        NotKnown: If the work, the model or the authority is not in the book.
        Refused: If the declaration contradicts itself, its class or its authority.
        Unreadable: If the route is none, or an alloy that must be judged has no limits here.
    """
    work = known(desk, declared.work, Work)
    if declared.model and known(desk, declared.model, Model).work != work.code:
        raise Refused(
            f"{declared.model} is not a model of {work.code}.", "Check the code of the model."
        )
    entitled(draft, desk, declared.authorised_by, work.artist, "authorise a run")
    route(declared.route)
    _sound_size(declared)
    _sound_proofs(declared)
    for words, what in ((declared.needs, "need"), (declared.publishes, "part to publish")):
        if words:
            distinct(words, what)
    _sound_signers(draft, declared, work.artist, desk)
    remarks = _sound_class(declared) + _alloy(declared, desk)
    _sound_elsewhere(draft.subject, declared)
    return remarks


def _sound_signers(draft: Draft, declared: Declaration, artist: str, desk: Desk) -> None:
    if (declared.signers_wanted == "none") != (declared.signers == ()):
        raise Refused(
            f"The run wants {declared.signers_wanted} of {len(declared.signers)} to sign.",
            "Name who is to sign its certificates, and whether any or all of them.",
        )
    if declared.signers:
        distinct(declared.signers, "signer")
    for signer in declared.signers:
        entitled(draft, desk, signer, artist, "sign for a run")


def _sound_size(declared: Declaration) -> None:
    if declared.size == 0:
        raise Refused("A run of no casts cannot be declared.", "Leave out a size not decided.")
    if declared.numerals == "letter" and (declared.size or 0) > len(LETTERS):
        raise Refused(
            f"Letters go from A to {LETTERS[-1]}: {len(LETTERS)} casts, not {declared.size}.",
            "Number the run in Arabic or Roman numerals.",
        )


def _sound_proofs(declared: Declaration) -> None:
    if declared.proofs:
        distinct((proofs.series for proofs in declared.proofs), "series")
    named = ", ".join(series for series in SERIES if series not in ("", "PU"))
    for proofs in declared.proofs:
        if proofs.series not in SERIES or proofs.series in ("", "PU"):
            raise Refused(f"{proofs.series} is not a series of proofs.", f"Series: {named}.")
        if not 1 <= proofs.count <= 999:
            raise Refused(
                f"{proofs.count} {proofs.series} cannot be declared.",
                "Declare 1 to 999 of a series.",
            )


def _sound_class(declared: Declaration) -> tuple[str, ...]:
    if declared.edition_class == "unique":
        if declared.size not in (None, 1) or declared.proofs:
            raise Refused("A unique cast is one, without proofs.", "Declare size 1 or a multiple.")
    elif declared.edition_class == "original":
        return _sound_original(declared)
    return ()


def _sound_original(declared: Declaration) -> tuple[str, ...]:
    source = "Code of ethics of art foundries, France, 1993; CPI art. R.122-3"
    if declared.size is None:
        raise Refused(
            f"An edition of class original declares its size before the first cast ({source}).",
            "Name the size, or the class multiple.",
        )
    proofs = sum(series.count for series in declared.proofs)
    if declared.size > MOST_NUMBERED or declared.size + proofs > MOST_ORIGINALS:
        raise Refused(
            f"{declared.size} and {proofs} proofs are too many for the class original: at most"
            f" {MOST_NUMBERED} numbered and {MOST_ORIGINALS} in all ({source}).",
            "Declare fewer, or the class multiple.",
        )
    if any(series.series == "HC" for series in declared.proofs):
        return (f"HC is not used for the class original ({source}).",)
    return ()


def _alloy(declared: Declaration, desk: Desk) -> tuple[str, ...]:
    if declared.alloy is None:
        if "analysis" in declared.needs:
            raise Refused("A run that needs an analysis declares its alloy.", "Name the alloy.")
        return ()
    try:
        find_alloy(declared.alloy, desk)
    except Unreadable as unknown:
        if "analysis" in declared.needs:
            raise Refused(f"The run needs an analysis. {unknown.message}", unknown.remedy) from None
        likely = f" {unknown.remedy}" if unknown.remedy.startswith("Did you mean") else ""
        return (f"{unknown.message}{likely} An analysis can be kept but not judged.",)
    return ()


def _sound_elsewhere(code: str, declared: Declaration) -> None:
    if declared.elsewhere:
        distinct((other.designation for other in declared.elsewhere), "number allotted elsewhere")
    for other in declared.elsewhere:
        belongs(code, declared, other.designation)


@judges(RunOffered)
def _offered(draft: Draft, _: RunOffered, desk: Desk) -> tuple[str, ...]:
    run = open_run(draft, desk, draft.subject, "nothing more is offered")
    not_before(draft, run.since, f"{run.code} was declared")
    return ()


@judges(RunClosed)
def _closed(draft: Draft, facts: RunClosed, desk: Desk) -> tuple[str, ...]:
    run = open_run(draft, desk, draft.subject, "it cannot be closed again")
    not_before(draft, run.since, f"{run.code} was declared")
    for item in facts.left:
        if item.by:
            known(desk, item.by, Party)
    linked = desk.linked("run", run.code)
    if facts.how == "declared in error":
        return _nothing_made(run, linked)
    _waxes_told(run, facts.left, [one for one in linked if isinstance(one, Wax)])
    pieces = [one for one in linked if isinstance(one, Piece)]
    _all_poured(draft, run, pieces)
    if facts.how == "complete":
        _complete(run, pieces)
    waiting = sorted(p.designation for p in run.promised if run.bearer(p.designation) is None)
    return tuple(f"{designation} is promised and not given yet." for designation in waiting)


def _nothing_made(run: Run, linked: tuple[State, ...]) -> tuple[str, ...]:
    """Refuse to take back a run for which anything was made, given, promised or certified."""
    made = [state.code for state in linked]
    told = [one.designation for one in run.given] + [one.designation for one in run.promised]
    if made or told or run.locked_by:
        what = ", ".join([*made, *told][:6]) or f"it was locked by its {run.locked_by}"
        raise Refused(
            f"Something was made of {run.code} already: {what}.",
            f"Close it as it is: bronzebook run close {run.code} --by-declaration.",
        )
    return ()


def _waxes_told(run: Run, left: tuple[Leftover, ...], waxes: list[Wax]) -> None:
    if left:
        distinct((item.wax for item in left), "wax")
    in_stock = {wax.code for wax in waxes if wax.fate == "in stock"}
    named = {item.wax for item in left}
    if strangers := sorted(named - in_stock):
        raise Refused(
            f"{', '.join(strangers)}: not in stock for {run.code}.", "Leave them off the list."
        )
    if missing := sorted(in_stock - named):
        raise Refused(
            f"{run.code} has waxes in stock that the closing does not name: {', '.join(missing)}.",
            "Say of each whether it was destroyed or is kept.",
        )


def _all_poured(draft: Draft, run: Run, pieces: list[Piece]) -> None:
    cast = [piece for piece in pieces if not (piece.scrapped or piece.from_object)]
    begun = [called(piece) for piece in cast if not piece.poured]
    if begun:
        raise Refused(
            f"Begun for {run.code} and not poured: {', '.join(begun)}.",
            "Pour each or scrap it first.",
        )
    for piece in cast:
        not_before(draft, piece.cast_on, f"{called(piece)} was poured")


def _complete(run: Run, pieces: list[Piece]) -> None:
    declared = run.declared
    if declared.size is None:
        raise Refused(
            f"{run.code} declares no size, so it cannot be complete.", "Close it by declaration."
        )
    elsewhere = {other.designation for other in declared.elsewhere}
    cast = [p for p in pieces if not p.scrapped and p.purpose == "run"]
    if declared.edition_class == "unique" or declared.numerals == "none":
        missing = declared.size - len(cast) - len(elsewhere)
        if missing > 0:
            raise Refused(f"{run.code} lacks {missing} of {declared.size}.", _BY_DECLARATION)
        return
    numbers = [n for n in every_number(declared) if n not in elsewhere and not run.bearer(n)]
    if numbers:
        raise Refused(f"{run.code} has not given {', '.join(numbers[:12])}.", _BY_DECLARATION)


_BY_DECLARATION = "Give what is missing, or close the run by declaration."
