"""What a record page shows, as values: dates as EDTF, quantities as typed, codes as the book's.

Words are found where a page is drawn, so that one view serves every language.  ``None`` and an
empty tuple mean that the book does not hold the fact, or that the artist does not publish it; which
of the two is said beside it.
"""

from __future__ import annotations

from typing import Literal

from certificates.checks import Check
from editions.charts.punches import Shape, Stretch
from editions.pages.casting import Making, Value
from editions.trade.certificates import Standing as Held
from editions.trade.quantities import Quantity
from editions.trade.runs import EditionClass
from editions.trade.statement import MarkLine, ProofSeries, Statement

Base = Literal["with", "without", ""]


StandingWord = Held | Literal["pending"]


class Standing(Value, frozen=True, kw_only=True):
    """How a certificate stands; ``ended`` and ``because`` where it no longer does.

    It is ``pending`` while no paper of it was given out; ``waits`` says what for, as a clause.
    """

    word: StandingWord
    reservation: bool
    issued: str
    ended: str | None = None
    because: str = ""
    waits: str = ""


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


class Series(Value, frozen=True, kw_only=True):
    """One series as its marks: the numbered run (``""``) or proofs; positions from 1.

    ``figures`` are what the marks bear, "arabic" where each bears its own number.
    """

    name: str
    of: int
    numerals: str
    stretches: tuple[Stretch, ...]


class Beside(Value, frozen=True, kw_only=True):
    """Another run of the same work, as far as its own artist's choice allows."""

    code: str
    title: str
    scale: str
    closed: str | None


class RunView(Value, frozen=True, kw_only=True):
    """The run as far as its artist publishes it.

    ``published`` holds the words of what is published; ``size`` None under "size" means that none
    was declared.  ``exist`` is what the book knows to have been cast, ``can_exist`` what is
    declared, numbers and proofs together; ``own`` is the shape of the record's own mark.
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
    exist: int | None
    can_exist: int | None
    elsewhere: tuple[str, ...]
    series: tuple[Series, ...] = ()
    own: Shape = "this"
    designation: str = ""
    work: str = ""
    artist: str = ""
    beside: tuple[Beside, ...] = ()


class Stay(Value, frozen=True, kw_only=True):
    """Where the bronze, or its paper, is known to have been; ``on`` None where no day is held."""

    event: Literal[
        "cast",
        "cast_before",
        "not_recorded",
        "examined",
        "in_foundry",
        "released",
        "released_raw",
        "gap",
        "mark_found",
        "lost",
        "stolen",
        "scrapped",
    ]
    on: str | None = None


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
    stays: tuple[Stay, ...] = ()
    downloads: tuple[str, ...] = ()
