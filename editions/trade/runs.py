"""Runs: what was declared of an edition, what locked it, and the numbers it gave.

A number is given once.  A run's declaration may be amended until the event that its rule set names
has happened; from then on it stands.  Closing accounts for every wax and spare that is left.
"""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
    Count,
    Digest,
    Facts,
    Happened,
    HeldText,
    Index,
    Line,
    State,
    Text,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.saying import Said, said
from editions.trade.statement import ProofSeries

LockEvent = Literal["first cast", "first offer", "first sale", "first certificate"]
EditionClass = Literal["original", "multiple", "unique"]
Numerals = Literal["arabic", "roman", "letter", "none"]
Published = Literal["size", "proofs", "sales", "pieces", "molds", "heats", "papers"]
SignersWanted = Literal["none", "any", "all"]
Closing = Literal["complete", "by declaration", "declared in error"]
Need = Literal["analysis", "approved_in_metal", "approved_in_colour"]


class Elsewhere(Line, frozen=True, kw_only=True):
    """A number of this run allotted outside this book: to another foundry, or before it began."""

    designation: str
    where: str


class Declaration(Line, frozen=True, kw_only=True):
    """Everything a run declares; an amendment states the whole of it again."""

    work: Code
    model: Code | None = None
    size: Count | None = None
    numerals: Numerals = "arabic"
    proofs: tuple[ProofSeries, ...] = ()
    scale: Word | None = None
    route: Word = "ceramic-shell"
    alloy: Word | None = None
    colour: Text = ""
    edition_class: EditionClass = "multiple"
    authorised_by: Code
    paper: Text = ""
    paper_digest: Digest | None = None
    other_runs: Text = ""
    promise: Text = ""
    elsewhere: tuple[Elsewhere, ...] = ()
    publishes: tuple[Published, ...] = ("size", "proofs")
    needs: tuple[Need, ...] = ("approved_in_metal", "approved_in_colour")
    locks_on: LockEvent = "first cast"
    signers: tuple[Code, ...] = ()
    signers_wanted: SignersWanted = "none"


@kind("run_declared", starts=True)
class RunDeclared(Facts, frozen=True, kw_only=True):
    """A run is declared by the one authorised to."""

    declared: Declaration
    note: HeldText = None


@kind("run_amended")
class RunAmended(Facts, frozen=True, kw_only=True):
    """The declaration as it stands from now on; refused once the run is locked."""

    declared: Declaration
    reason: HeldText = None


@kind("run_offered")
class RunOffered(Facts, frozen=True, kw_only=True):
    """Casts of the run were first offered to the public."""

    where: HeldText = None


@kind("number_promised")
class NumberPromised(Facts, frozen=True, kw_only=True):
    """A number is promised before its cast exists, or held for payment."""

    designation: Word
    held_for: Literal["promise", "payment", "sale"] = "promise"
    to: HeldText = None


@kind("promise_ended")
class PromiseEnded(Facts, frozen=True, kw_only=True):
    """A promise fell through; the number is free again, and papers that reserved it lapse.

    ``reservations`` are the numbers of those papers, so that each is folded with the promise.
    """

    designation: Word
    reservations: tuple[Word, ...] = ()
    reason: HeldText = None

    def touched(self) -> tuple[str | None, ...]:
        """The reservations that lapse."""
        return self.reservations


@kind("number_given")
class NumberGiven(Facts, frozen=True, kw_only=True):
    """A piece receives its number of the run, once."""

    piece: Code
    designation: Word

    def touched(self) -> tuple[str | None, ...]:
        """The piece that bears the number from now on."""
        return (self.piece,)


@kind("number_freed")
class NumberFreed(Facts, frozen=True, kw_only=True):
    """A number returns to the run: its bearer is proven destroyed, or was surrendered."""

    piece: Code
    designation: Word
    because: Literal["scrapped before release", "surrendered and destroyed"]
    evidence: Word
    authorised_by: Code | None = None

    def touched(self) -> tuple[str | None, ...]:
        """The piece that no longer bears the number."""
        return (self.piece,)


class Leftover(Line, frozen=True, kw_only=True):
    """A wax or spare left at closing, and what became of it."""

    wax: Code
    fate: Literal["destroyed", "kept"]
    by: Code | None = None


@kind("run_closed")
class RunClosed(Facts, frozen=True, kw_only=True):
    """The run is closed: no more pulls; every wax left is accounted for.

    One ``declared in error`` never was: nothing was made for it, and it is counted nowhere.
    """

    how: Closing
    left: tuple[Leftover, ...] = ()
    statement: Text = ""

    def touched(self) -> tuple[str | None, ...]:
        """The waxes that are accounted for."""
        return tuple(item.wax for item in self.left)


class Given(Line, frozen=True, kw_only=True):
    """A number of the run: which piece bears it, or that it was freed."""

    designation: str
    piece: str
    freed: bool = False


class Promise(Line, frozen=True, kw_only=True):
    """A number spoken for before its cast."""

    designation: str
    held_for: str


@subject("R")
class Run(State, frozen=True, kw_only=True):
    """What the book holds of a run."""

    declared: Declaration
    amended: int = 0
    locked_by: str | None = None
    locked_on: str | None = None
    given: tuple[Given, ...] = ()
    promised: tuple[Promise, ...] = ()
    cast: tuple[str, ...] = ()
    closed: str | None = None
    closed_how: str = ""

    def index(self) -> Index:
        """Linked to its work and model; its numbers are each held once."""
        links = [("work", self.declared.work)]
        if self.declared.model:
            links.append(("model", self.declared.model))
        return Index(title=run_title(self.declared), links=tuple(links), open=not self.closed)

    @property
    def in_error(self) -> bool:
        """Whether it was declared in error: no run of its work, counted and published nowhere."""
        return self.closed_how == "declared in error"

    @property
    def poured(self) -> int:
        """How many pieces were poured for this run, each counted once whatever its sections."""
        return len(self.cast)

    def bearer(self, designation: str) -> str | None:
        """The piece that bears a number now, if any."""
        return next(
            (g.piece for g in self.given if g.designation == designation and not g.freed), None
        )


def run_title(declared: Declaration) -> str:
    """A run in a few words: "8 + 4 AP, bronze-colour words"."""
    return str(run_said(declared))


def run_said(declared: Declaration) -> Said:
    """A run in a few words, which a page can say in its language."""
    if declared.edition_class == "unique":
        return said("unique cast")
    size, proofs = declared.size, " + ".join(f"{p.count} {p.series}" for p in declared.proofs)
    if size is None and proofs:
        return said("size not declared + {proofs}", proofs=proofs)
    if size is None:
        return said("size not declared")
    if proofs:
        return said("run of {size} + {proofs}", size=size, proofs=proofs)
    return said("run of {size}", size=size)


def lock(run: Run, event: LockEvent, on: str) -> Run:
    """The run locked, if this is the event that its rule set names and it was not locked."""
    if run.locked_by or run.declared.locks_on != event:
        return run
    return replace(run, locked_by=event, locked_on=on)


@folds(RunDeclared, Run)
def _declared(_: Run | None, entry: Happened) -> Run:
    return Run(code=entry.subject, since=entry.on, declared=entry.facts.declared)


@folds(RunAmended, Run)
def _amended(run: Run, entry: Happened) -> Run:
    return replace(run, declared=entry.facts.declared, amended=run.amended + 1)


@folds(RunOffered, Run)
def _offered(run: Run, entry: Happened) -> Run:
    return lock(run, "first offer", entry.on)


@folds(NumberPromised, Run)
def _promised(run: Run, entry: Happened) -> Run:
    facts: NumberPromised = entry.facts
    promise = Promise(designation=facts.designation, held_for=facts.held_for)
    others = tuple(p for p in run.promised if p.designation != facts.designation)
    run = replace(run, promised=(*others, promise))
    return lock(run, "first sale", entry.on) if facts.held_for == "sale" else run


@folds(PromiseEnded, Run)
def _promise_ended(run: Run, entry: Happened) -> Run:
    kept = tuple(p for p in run.promised if p.designation != entry.facts.designation)
    return replace(run, promised=kept)


@folds(NumberGiven, Run)
def _given(run: Run, entry: Happened) -> Run:
    facts: NumberGiven = entry.facts
    given = Given(designation=facts.designation, piece=facts.piece)
    return replace(run, given=(*run.given, given))


@folds(NumberFreed, Run)
def _freed(run: Run, entry: Happened) -> Run:
    facts: NumberFreed = entry.facts

    def freed(given: Given) -> Given:
        same = (given.designation, given.piece) == (facts.designation, facts.piece)
        return replace(given, freed=True) if same else given

    return replace(run, given=tuple(freed(given) for given in run.given))


@folds(RunClosed, Run)
def _closed(run: Run, entry: Happened) -> Run:
    return replace(run, closed=entry.on, closed_how=entry.facts.how)
