"""What a record page shows, as values: dates as EDTF, quantities as typed, codes as the book's.

Words are found where a page is drawn, so that one view serves every language.  ``None`` and an
empty tuple mean that the book does not hold the fact, or that the artist does not publish it; which
of the two is said beside it.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from certificates.checks import Check
from editions.trade.casting import ApprovalHow, ApprovalOf, How
from editions.trade.certificates import Standing as StandingWord
from editions.trade.quantities import Quantity
from editions.trade.runs import EditionClass
from editions.trade.statement import MarkLine, ProofSeries, Statement

Base = Literal["with", "without", ""]


class Value(msgspec.Struct, frozen=True, kw_only=True):
    """Root of everything a view is made of."""


class Standing(Value, frozen=True, kw_only=True):
    """How a certificate stands; ``ended`` and ``because`` where it no longer does."""

    word: StandingWord
    reservation: bool
    issued: str
    ended: str | None = None
    because: str = ""


class Picture(Value, frozen=True, kw_only=True):
    """The photograph on the paper; ``kept`` tells whether its file is here and is the right one."""

    digest: str
    kept: bool


class Measure(Value, frozen=True, kw_only=True):
    """One measured length; ``length`` is None where it is known that nobody measured it."""

    name: str
    base: Base
    length: Quantity | None
    uncertainty: Quantity | None = None


class Assertion(Value, frozen=True, kw_only=True):
    """A sentence, who asserts it, and in which capacity where it is not the artist."""

    text: str
    by: str
    capacity: str = ""


class RunView(Value, frozen=True, kw_only=True):
    """The run as far as its artist publishes it.

    ``published`` holds the words of what is published; ``size`` None under "size" means that none
    was declared.
    """

    code: str
    published: tuple[str, ...]
    edition_class: EditionClass | None
    size: int | None
    proofs: tuple[ProofSeries, ...]
    scale: str | None
    authorised_by: str
    capacity: str
    says: tuple[Assertion, ...]
    amended: int
    locked_on: str | None
    closed: str | None
    closed_how: str
    cast: int | None
    elsewhere: tuple[str, ...]


class Stage(Value, frozen=True, kw_only=True):
    """One step, or the same step some times in a row; ``whose`` declared one done elsewhere."""

    word: str
    first: str
    last: str
    how: How
    coats: int = 0
    times: int = 1
    sections: tuple[str, ...] = ()
    whose: str = ""


class Scrapped(Value, frozen=True, kw_only=True):
    """An earlier casting of a section that was scrapped, with its evidence in words."""

    on: str
    heat: str | None
    evidence: str


class Part(Value, frozen=True, kw_only=True):
    """A section of the piece: the mold and pull of its wax, the heat of its metal."""

    name: str
    mold: str | None
    pull: int | None
    pulls: str
    heat: str | None
    poured: str | None
    scrapped: tuple[Scrapped, ...]


class MoldView(Value, frozen=True, kw_only=True):
    """A mold that served the piece."""

    code: str
    material: str
    taken_from: str
    generation: int
    destroyed: str | None


class HeatView(Value, frozen=True, kw_only=True):
    """A heat that the piece was poured from, and how its analysis was judged.

    ``percentages`` and ``findings`` are there only where the artist publishes heats.
    """

    number: str
    alloy: str
    poured: str | None
    verdict: str
    specification: str
    edition: str
    method: str
    percentages: tuple[tuple[str, str], ...]
    findings: tuple[str, ...]


class ApprovalView(Value, frozen=True, kw_only=True):
    """An approval in the words in which it was given; never called signed."""

    of: ApprovalOf
    by: str
    how: ApprovalHow
    on: str
    approved: bool
    lapsed: bool


class Making(Value, frozen=True, kw_only=True):
    """How the piece was made, as the book holds it now."""

    route: str
    stages: tuple[Stage, ...]
    parts: tuple[Part, ...]
    molds: tuple[MoldView, ...]
    heats: tuple[HeatView, ...]
    approvals: tuple[ApprovalView, ...]
    released: str | None
    released_as: str
    scrapped: str | None


class Changed(Value, frozen=True, kw_only=True):
    """A fact that the book holds otherwise since the paper was printed."""

    what: Literal["marks", "measurements", "mass", "colour", "number", "cast"]
    marks: tuple[MarkLine, ...] = ()
    measures: tuple[Measure, ...] = ()
    mass: Quantity | None = None
    words: str = ""


class Notice(Value, frozen=True, kw_only=True):
    """Something a reader must know at first glance: its name, and what it is about."""

    name: Literal[
        "raw_metal",
        "from_object",
        "reservation",
        "replaces",
        "undrawn",
        "scrapped",
        "mark_differs",
        "contested",
        "corrected",
        "changed",
    ]
    about: tuple[str, ...] = ()


class Proof(Value, frozen=True, kw_only=True):
    """Every check of the record, and the digests a reader may compare; hex, None where unknown."""

    checks: tuple[Check, ...]
    index: int | None
    leaf: str
    size: int | None
    root: str | None
    pdf: str | None
    certifying_key: str
    log_key: str
    origin: str

    @property
    def contradictions(self) -> tuple[Check, ...]:
        """The checks that found a contradiction."""
        return tuple(check for check in self.checks if check.result == "contradicts")


class Carried(Value, frozen=True, kw_only=True):
    """What a page carries to be checked by its reader; bytes in base64, the claim may be empty."""

    number: str
    claim: str
    entry: str
    proof: str
    foundry: str
    log: str


class Correction(Value, frozen=True, kw_only=True):
    """A fact of the paper that a later entry corrects: both values, when, which entry."""

    fact: str
    of: str
    was: str
    now: str
    on: str
    entry: int


class RecordView(Value, frozen=True, kw_only=True):
    """Everything that the page of one certificate shows."""

    number: str
    address: str
    published: str
    foundry: str
    foundry_place: str
    standing: Standing
    notices: tuple[Notice, ...]
    statement: Statement
    picture: Picture | None
    measures: tuple[Measure, ...]
    changed: tuple[Changed, ...]
    corrected: tuple[Correction, ...]
    run: RunView | None
    making: Making | None
    proof: Proof
    carried: Carried | None
