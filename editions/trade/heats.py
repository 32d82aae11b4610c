"""Heats: what was charged, what the analysis found, what was poured and into which shells."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from editions.trade.kinds import (
    Code,
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
from editions.trade.quantities import Quantity
from editions.trade.runs import Run, lock

# "<0.005" is what a laboratory writes of an element below what it can find.
Percent = Annotated[str, msgspec.Meta(pattern=r"^<?[0-9]{1,3}(\.[0-9]{1,6})?$")]
Element = Annotated[str, msgspec.Meta(pattern=r"^[A-Z][a-z]?$")]
Verdict = Literal["within", "outside", "indeterminate", "not analysed"]


class ChargeLine(Line, frozen=True, kw_only=True):
    """One thing charged: an ingot lot, returns of an earlier heat, or an addition."""

    source: Literal["ingot", "returns", "addition"]
    name: Word
    heat: Code | None = None
    lot: Code | None = None
    mass: Quantity | None = None
    certificate: Digest | None = None


class Shell(Line, frozen=True, kw_only=True):
    """One shell poured, in order: the piece, its section, and the run it counts for."""

    piece: Code
    section: Word
    run: Code | None = None


@kind("heat_charged", starts=True, correctable=("crucible", "charge", "note"))
class HeatCharged(Facts, frozen=True, kw_only=True):
    """A heat under the foundry's own number, the alloy meant, and its charge.

    ``losses`` are those reckoned with, as typed: ``Zn=3..5``.
    """

    number: Word
    alloy: Word
    charge: tuple[ChargeLine, ...] = ()
    losses: tuple[Word, ...] = ()
    crucible: Text = ""
    note: HeldText = None


@kind("heat_analysed")
class HeatAnalysed(Facts, frozen=True, kw_only=True):
    """An analysis of the heat, with the verdict reached and the specification it was judged by.

    ``melt`` is what the melt weighed, from which the foundry learns its losses.
    """

    method: Word
    laboratory: Word | None = None
    percentages: dict[Element, Percent]
    verdict: Verdict
    specification: Text = ""
    edition: Text = ""
    findings: tuple[Text, ...] = ()
    report: Digest | None = None
    melt: Quantity | None = None


@kind("heat_poured", correctable=("metal", "shell", "hand"))
class HeatPoured(Facts, frozen=True, kw_only=True):
    """Shells were poured from the heat, in order, at the temperatures recorded."""

    shells: tuple[Shell, ...]
    metal: Quantity | None = None
    shell: Quantity | None = None
    hand: Code | None = None

    def touched(self) -> tuple[str | None, ...]:
        """Every piece poured, and every run whose cast this is."""
        pieces = tuple(shell.piece for shell in self.shells)
        return pieces + tuple(shell.run for shell in self.shells)


@subject("H")
class Heat(State, frozen=True, kw_only=True):
    """What the book holds of a heat."""

    number: str = ""
    alloy: str = ""
    charge: tuple[ChargeLine, ...] = ()
    losses: tuple[str, ...] = ()
    crucible: str = ""
    method: str = ""
    laboratory: str | None = None
    percentages: dict[str, str] = msgspec.field(default_factory=dict)
    verdict: Verdict = "not analysed"
    specification: str = ""
    edition: str = ""
    findings: tuple[str, ...] = ()
    melt: Quantity | None = None
    poured: str | None = None
    metal: Quantity | None = None
    shell: Quantity | None = None
    shells: tuple[Shell, ...] = ()

    def index(self) -> Index:
        """Found by the foundry's heat number; linked to the heats and lots that it took."""
        returns = tuple(("returns of", line.heat) for line in self.charge if line.heat)
        lots = dict.fromkeys(("charged from", line.lot) for line in self.charge if line.lot)
        return Index(
            title=f"heat {self.number}, {self.alloy}",
            names=(f"heat {self.number}",),
            words=(self.number,),
            links=(*returns, *lots),
            open=not self.poured,
        )


@folds(HeatCharged, Heat)
def _charged(_: Heat | None, entry: Happened) -> Heat:
    facts: HeatCharged = entry.facts
    return Heat(
        code=entry.subject,
        since=entry.on,
        number=facts.number,
        alloy=facts.alloy,
        charge=facts.charge,
        losses=facts.losses,
        crucible=facts.crucible,
    )


@folds(HeatAnalysed, Heat)
def _analysed(heat: Heat, entry: Happened) -> Heat:
    facts: HeatAnalysed = entry.facts
    return replace(
        heat,
        method=facts.method,
        laboratory=facts.laboratory,
        percentages=facts.percentages,
        verdict=facts.verdict,
        specification=facts.specification,
        edition=facts.edition,
        findings=facts.findings,
        melt=facts.melt or heat.melt,
    )


@folds(HeatPoured, Heat)
def _poured(heat: Heat, entry: Happened) -> Heat:
    facts: HeatPoured = entry.facts
    return replace(
        heat,
        poured=heat.poured or entry.on,
        metal=facts.metal or heat.metal,
        shell=facts.shell or heat.shell,
        shells=(*heat.shells, *facts.shells),
    )


@folds(HeatPoured, Run)
def _cast(run: Run, entry: Happened) -> Run:
    pieces = tuple(shell.piece for shell in entry.facts.shells if shell.run == run.code)
    cast = tuple(dict.fromkeys((*run.cast, *pieces)))
    return lock(replace(run, cast=cast), "first cast", entry.on)
