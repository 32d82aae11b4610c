"""Judges of heats: charge, analysis against the alloy's limits, and the pour shell by shell.

Temperatures outside published ranges are remarked on.  Refused is only what molten bronze cannot
be: as hot as boiling copper, or too cold to melt tin.  Those are slips of the pen.
"""

from __future__ import annotations

from decimal import Decimal

from editions.errors import Refused, Unreadable
from editions.rules.alloys import Alloy
from editions.rules.alloys.analysis import MOST_PERCENT
from editions.rules.alloys.judge import judge as judge_analysis
from editions.rules.alloys.own import alloy_held, find_alloy
from editions.rules.charge.losses import read_loss
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, measures, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.lots import charged_from
from editions.rules.judging.making import (
    at_work,
    called,
    label,
    prerequisites,
    route_of,
    section_named,
)
from editions.rules.judging.melt import beyond_charge
from editions.rules.plausible import pouring
from editions.rules.routes import WAXLESS
from editions.trade.dates import certainly_before, say_when
from editions.trade.heats import Heat, HeatAnalysed, HeatCharged, HeatPoured, Shell
from editions.trade.pieces import Piece, PieceSection
from editions.trade.quantities import Quantity

# Copper boils at 2562 °C, tin melts at 231.93 °C (CRC Handbook of Chemistry and Physics): no bronze
# is poured above the one, and no part of one is liquid below the other.
COPPER_BOILS = Quantity("2562", "°C")
TIN_MELTS = Quantity("231.93", "°C")


@judges(HeatCharged)
def _charged(draft: Draft, facts: HeatCharged, desk: Desk) -> tuple[str, ...]:
    other = desk.named(f"heat {facts.number}")
    if other:
        raise Refused(f"{other} has the heat number {facts.number}.", "Give this heat another.")
    remarks: tuple[str, ...] = ()
    if facts.losses:
        distinct((read_loss(text).element for text in facts.losses), "loss")
    for line in facts.charge:
        measures(f"mass of {line.name}", line.mass, "mass")
        if line.heat is not None:
            _returns(draft, line.source, line.heat, desk)
        elif line.source == "returns":
            remarks += (f"Of which heat the returns {line.name} are is not said.",)
    return remarks + _mistyped(facts.alloy, desk) + charged_from(draft, facts, desk)


def _mistyped(alloy: str, desk: Desk) -> tuple[str, ...]:
    """Ask about an alloy much like one whose limits are held; other names are the shop's own."""
    try:
        find_alloy(alloy, desk)
    except Unreadable as unknown:
        if unknown.remedy.startswith("Did you mean"):
            return (str(unknown),)
    return ()


def _returns(draft: Draft, source: str, code: str, desk: Desk) -> None:
    heat = known(desk, code, Heat)
    if source != "returns":
        raise Refused(
            f"Only returns come from an earlier heat; {code} is named for {source}.",
            "Name it with --returns.",
        )
    if heat.poured is None:
        raise Refused(
            f"{code} is not poured yet; it has left no returns.", "Check which heat they are of."
        )
    not_before(draft, heat.poured, f"{code} was poured")


@judges(HeatAnalysed)
def _analysed(draft: Draft, facts: HeatAnalysed, desk: Desk) -> tuple[str, ...]:
    heat = known(desk, draft.subject, Heat)
    not_before(draft, heat.since, f"{heat.code} was charged")
    measures("mass of the melt", facts.melt, "mass")
    if not facts.percentages:
        raise Refused("The analysis names no element.", "Enter what the report says.")
    total = sum(Decimal(p) for p in facts.percentages.values() if not p.startswith("<"))
    if total > MOST_PERCENT:
        raise Refused(
            f"The analysis adds to {total} %.", "A figure was probably mistyped; see the report."
        )
    alloy = alloy_held(heat.alloy, desk, facts.edition or None)
    return _unjudged(heat, facts) if alloy is None else _as_judged(alloy, heat, facts)


def _unjudged(heat: Heat, facts: HeatAnalysed) -> tuple[str, ...]:
    if facts.verdict != "indeterminate" and not facts.specification:
        raise Refused(
            f"No limits are held here for {heat.alloy}; by what it is {facts.verdict} is not said.",
            "Name the specification, or leave the verdict indeterminate.",
        )
    return (f"No limits are held here for {heat.alloy}.",)


def _as_judged(alloy: Alloy, heat: Heat, facts: HeatAnalysed) -> tuple[str, ...]:
    judged = judge_analysis(alloy, facts.percentages, facts.edition or None)
    if (facts.verdict, facts.edition) != (judged.verdict, judged.edition):
        raise Refused(
            f"By {judged.edition} the analysis of {heat.code} is {judged.verdict}; the entry says"
            f" {facts.verdict} by {facts.edition or 'no edition'}.",
            "Enter the verdict that the limits give, with their edition.",
        )
    if judged.verdict == "within":
        return ()
    found = "; ".join(
        f"{finding.element} {finding.value} ({finding.limit}): {finding.says}".replace("  ", " ")
        for finding in judged.findings
        if finding.verdict == judged.verdict
    )
    return (f"{heat.code} is {judged.verdict} by {judged.edition}: {found}.",)


@judges(HeatPoured)
def _poured(draft: Draft, facts: HeatPoured, desk: Desk) -> tuple[str, ...]:
    heat = known(desk, draft.subject, Heat)
    not_before(draft, heat.since, f"{heat.code} was charged")
    measures("temperature of the metal", facts.metal, "temperature")
    measures("temperature of the shell", facts.shell, "temperature")
    possible(facts.metal, facts.shell)
    distinct((f"{shell.piece} {shell.section}" for shell in facts.shells), "shell")
    remarks: tuple[str, ...] = ()
    for shell in facts.shells:
        remarks += _shell(draft, shell, desk)
    remarks += _earlier_pour(draft, heat) + beyond_charge(heat, facts.shells, desk)
    return remarks + pouring(heat.alloy, facts.metal, facts.shell)


def possible(metal: Quantity | None, shell: Quantity | None) -> None:
    """Refuse a temperature that is none of a pour, whatever the alloy.

    Raises:
        Refused: If metal or shell is as hot as boiling copper, or the metal too cold to melt tin.
    """
    check = "Check the figure and its unit: 2000F, 1090C."
    for found, what in ((metal, "molten bronze"), (shell, "a shell")):
        if found and found.exact() >= COPPER_BOILS.exact():
            raise Refused(
                f"{found} is not a temperature of {what}: copper boils at {COPPER_BOILS},"
                f" {COPPER_BOILS.to('°F', 0)} °F.",
                check,
            )
    if metal and metal.exact() < TIN_MELTS.exact():
        raise Refused(
            f"{metal} is not a temperature of molten bronze: even tin is solid below"
            f" {TIN_MELTS}, {TIN_MELTS.to('°F', 0)} °F.",
            check,
        )


def _shell(draft: Draft, shell: Shell, desk: Desk) -> tuple[str, ...]:
    piece = at_work(draft, desk, shell.piece)
    section = section_named(piece, shell.section)
    _counts_for(piece, shell)
    if piece.has_poured(section):
        raise Refused(
            f"{label(piece, section)} is poured already"
            + (f", from {section.heat}." if section.heat else "."),
            "A section is poured again only after it was scrapped.",
        )
    route = route_of(desk, piece)
    if section.wax is None and route.name not in WAXLESS:
        return _without_wax(draft, piece, section) + prerequisites(
            draft, piece, section, "poured", route
        )
    return prerequisites(draft, piece, section, "poured", route)


def _counts_for(piece: Piece, shell: Shell) -> None:
    counted = None if piece.purpose == "trial" else piece.run
    if shell.run != counted:
        raise Refused(
            f"{called(piece)} counts for {counted or 'no run, being a trial'}; the pour names"
            f" {shell.run or 'no run'}.",
            "A pour counts for the run that the piece was begun for.",
        )


def _without_wax(draft: Draft, piece: Piece, section: PieceSection) -> tuple[str, ...]:
    says = f"{label(piece, section)} has no wax"
    if draft.late:
        return (f"{says} on record.",)
    raise Refused(f"{says}; there is no shell to pour.", "Enter the wax that it was made from.")


def _earlier_pour(draft: Draft, heat: Heat) -> tuple[str, ...]:
    if heat.poured and (
        certainly_before(heat.poured, draft.on) or certainly_before(draft.on, heat.poured)
    ):
        return (f"{heat.code} was poured {say_when(heat.poured)} too.",)
    return ()
