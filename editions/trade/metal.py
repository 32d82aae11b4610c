"""Metal before it is charged: the foundry's own alloys, and lots with their analyses.

An own alloy is stated once and may be restated; each stating is a *version* with limits of its own,
and an analysis says by which it was judged.  A lot is what came in under one certificate.  How much
of it is left is not kept here: it follows from the charges that name it.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from editions.trade.heats import Element, Percent
from editions.trade.kinds import (
    Digest,
    Facts,
    Happened,
    Index,
    Line,
    State,
    Text,
    Word,
    folds,
    kind,
    subject,
)
from editions.trade.quantities import Quantity

# A limit has an end, never "below detection".
End = Annotated[str, msgspec.Meta(pattern=r"^[0-9]{1,3}(\.[0-9]{1,6})?$")]


class LimitLine(Line, frozen=True, kw_only=True):
    """What one element may be, per cent; ``includes`` names elements counted with it."""

    element: Element
    low: End | None = None
    high: End | None = None
    includes: tuple[Element, ...] = ()


class Stated(Line, frozen=True, kw_only=True):
    """One version of an alloy's limits, and when it was stated.

    ``total`` is the least that copper and every limited element make together;
    ``copper_plus_nickel`` lets nickel help copper to its minimum; ``density`` is in g/cm3.
    """

    limits: tuple[LimitLine, ...]
    total: End | None = None
    copper_plus_nickel: bool = False
    density: End | None = None
    source: Text = ""
    on: str = ""


@kind("alloy_stated", starts=True, correctable=("title",))
class AlloyStated(Facts, frozen=True, kw_only=True):
    """An alloy of the foundry's own, with its limits."""

    name: Word
    title: Text = ""
    stated: Stated


@kind("alloy_restated")
class AlloyRestated(Facts, frozen=True, kw_only=True):
    """Other limits for an alloy of the foundry's own; the earlier ones stay."""

    stated: Stated


@kind("lot_received", starts=True, correctable=("mass",))
class LotReceived(Facts, frozen=True, kw_only=True):
    """Metal came in under one certificate, with its analysis by per cent."""

    name: Word
    source: Literal["ingot", "addition"] = "ingot"
    mass: Quantity | None = None
    percentages: dict[Element, Percent]
    certificate: Digest | None = None


@subject("A")
class OwnAlloy(State, frozen=True, kw_only=True):
    """What the book holds of an own alloy; versions run from the oldest to the newest."""

    name: str = ""
    title: str = ""
    versions: tuple[Stated, ...] = ()

    def index(self) -> Index:
        """Found by its name."""
        return Index(
            title=f"alloy {self.name}",
            names=(f"alloy {self.name.upper()}",),
            words=(self.name, self.title),
        )


@subject("L")
class Lot(State, frozen=True, kw_only=True):
    """What the book holds of a lot."""

    name: str = ""
    source: Literal["ingot", "addition"] = "ingot"
    mass: Quantity | None = None
    percentages: dict[str, str] = msgspec.field(default_factory=dict)
    certificate: str | None = None

    def index(self) -> Index:
        """Found by its name."""
        return Index(
            title=f"lot {self.name}", names=(f"lot {self.name.upper()}",), words=(self.name,)
        )


@folds(AlloyStated, OwnAlloy)
def _stated(_: OwnAlloy | None, entry: Happened) -> OwnAlloy:
    facts: AlloyStated = entry.facts
    return OwnAlloy(
        code=entry.subject,
        since=entry.on,
        name=facts.name,
        title=facts.title,
        versions=(replace(facts.stated, on=entry.on),),
    )


@folds(AlloyRestated, OwnAlloy)
def _restated(alloy: OwnAlloy, entry: Happened) -> OwnAlloy:
    facts: AlloyRestated = entry.facts
    return replace(alloy, versions=(*alloy.versions, replace(facts.stated, on=entry.on)))


@folds(LotReceived, Lot)
def _received(_: Lot | None, entry: Happened) -> Lot:
    facts: LotReceived = entry.facts
    return Lot(
        code=entry.subject,
        since=entry.on,
        name=facts.name,
        source=facts.source,
        mass=facts.mass,
        percentages=facts.percentages,
        certificate=facts.certificate,
    )
