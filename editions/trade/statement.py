"""What a certificate says: the open content printed on the paper.

A statement is a snapshot.  It is part of the facts of the entry that issues the certificate, so the
entry's leaf commits to every word on the paper, and the paper can be drawn again from the entry
alone.  ``None`` or an empty tuple means that the book does not hold the fact; a paper prints it as
"not recorded", or as "unknown" where the cast was registered from the object.

>>> Assertion(text="No more than 8 and 4 proofs will be cast.", by="Ilse Varga").by
'Ilse Varga'
"""

from __future__ import annotations

from typing import Literal

import msgspec

from editions.trade.paper import Paper
from editions.trade.quantities import Quantity


class Printed(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Root of everything that is printed: immutable, refusing unknown fields."""


class Assertion(Printed, frozen=True, kw_only=True):
    """A sentence and the public name of the one who asserts it."""

    text: str
    by: str


class ProofSeries(Printed, frozen=True, kw_only=True):
    """A series outside the numbered run: ``AP``, 4 of them, Roman or Arabic."""

    series: str
    count: int
    numerals: Literal["arabic", "roman"] = "arabic"


class RunLine(Printed, frozen=True, kw_only=True):
    """The run a cast belongs to, as its artist publishes it."""

    code: str
    size: int | None
    proofs: tuple[ProofSeries, ...] = ()
    edition_class: Literal["original", "multiple", "unique"] | None = None
    scale: str | None = None
    says: tuple[Assertion, ...] = ()


class HeatLine(Printed, frozen=True, kw_only=True):
    """One heat that metal of this piece was poured from."""

    number: str
    alloy: str
    poured: str
    verdict: str


class SectionLine(Printed, frozen=True, kw_only=True):
    """One section of the piece: its mold, the pull its wax was, and the heat of its metal."""

    name: str
    mold: str | None = None
    pull: int | None = None
    heat: str | None = None


class Station(Printed, frozen=True, kw_only=True):
    """One measured length; ``base`` tells whether it was taken with or without the base."""

    name: str
    length: Quantity
    base: Literal["with", "without", ""] = ""
    uncertainty: Quantity | None = None


class MarkLine(Printed, frozen=True, kw_only=True):
    """A mark as found in the metal: text, place and how it was made."""

    text: str
    place: str = ""
    method: str = ""


class MoldLine(Printed, frozen=True, kw_only=True):
    """A mold that served this piece, what it was taken from and the generation that follows."""

    code: str
    material: str
    taken_from: str
    generation: int


class Statement(Printed, frozen=True, kw_only=True):
    """The whole printed content of one certificate, or of a reservation of a number.

    ``issuer`` says who issues the paper where that is not the foundry that cast the bronze;
    ``posthumous`` that it was cast after the artist's death, by the dates that the book holds.
    """

    paper: Paper
    number: str
    issued: str
    artist: str
    artist_life: str = ""
    title: str
    piece: str | None = None
    designation: str | None = None
    designation_note: str = ""
    run: RunLine | None = None
    foundry: str
    foundry_place: str = ""
    issuer: str = ""
    cast: str | None = None
    posthumous: bool = False
    route: str | None = None
    alloy: str | None = None
    heats: tuple[HeatLine, ...] = ()
    sections: tuple[SectionLine, ...] = ()
    stations: tuple[Station, ...] = ()
    mass: Quantity | None = None
    marks: tuple[MarkLine, ...] = ()
    colour: str | None = None
    molds: tuple[MoldLine, ...] = ()
    approvals: tuple[Assertion, ...] = ()
    photograph: str | None = None
    remarks: tuple[str, ...] = ()
