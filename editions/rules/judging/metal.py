"""Judges of own alloys and of lots: limits that can be kept, analyses that can be meant."""

from __future__ import annotations

from decimal import Decimal

from editions.errors import Refused, Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.alloys.analysis import read_element, read_percentages
from editions.rules.charge.melt import LEAST_SUM
from editions.rules.judging.bench import judges
from editions.rules.judging.common import distinct, known, measures, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.trade.metal import (
    AlloyRestated,
    AlloyStated,
    LimitLine,
    LotReceived,
    OwnAlloy,
    Stated,
)


@judges(AlloyStated)
def _stated(draft: Draft, facts: AlloyStated, desk: Desk) -> tuple[str, ...]:  # noqa: ARG001
    if _published(facts.name):
        raise Refused(
            f"{facts.name} is a published alloy; its limits are not the foundry's to state.",
            "Give the alloy a name of your own.",
        )
    other = desk.named(f"alloy {facts.name.upper()}")
    if other:
        raise Refused(f"{other} is called {facts.name} already.", "Restate its limits instead.")
    _limits(facts.stated)
    return ()


@judges(AlloyRestated)
def _restated(draft: Draft, facts: AlloyRestated, desk: Desk) -> tuple[str, ...]:
    alloy = known(desk, draft.subject, OwnAlloy)
    not_before(draft, alloy.versions[-1].on, f"version {len(alloy.versions)} was stated")
    _limits(facts.stated)
    return ()


@judges(LotReceived)
def _received(draft: Draft, facts: LotReceived, desk: Desk) -> tuple[str, ...]:  # noqa: ARG001
    other = desk.named(f"lot {facts.name.upper()}")
    if other:
        raise Refused(f"{other} is called {facts.name} already.", "Give this lot another name.")
    measures("mass of the lot", facts.mass, "mass")
    if not facts.percentages:
        raise Refused("The certificate names no element.", "Enter what it says: Cu=94.60.")
    read = read_percentages(facts.percentages)
    total = sum((one.high for one in read.values()), Decimal(0))
    if total < LEAST_SUM:
        return (f"The certificate adds to {total} %; no charge can be reckoned from it.",)
    return ()


def _published(name: str) -> bool:
    try:
        load_alloy(name)
    except Unreadable:
        return False
    return True


def _limits(stated: Stated) -> None:
    """Refuse limits that nothing could keep, or that say the same thing twice."""
    if not stated.limits:
        raise Refused("The alloy has no limits.", "State them: Cu=94..96 Si=3.5..4.5 Pb=..0.09.")
    distinct((line.element for line in stated.limits), "limit")
    for line in stated.limits:
        _limit(line)
    named = {line.element for line in stated.limits}
    if stated.copper_plus_nickel and not {"Cu", "Ni"} <= named:
        raise Refused("Nickel helps copper only where both are limited.", "State limits of both.")
    _sum(stated)


def _limit(line: LimitLine) -> None:
    """Refuse one limit that cannot be meant."""
    for element in (line.element, *line.includes):
        read_element(element)
    if line.element in line.includes:
        raise Refused(f"{line.element} is counted with itself.", "Name other elements.")
    low, high = Decimal(line.low or 0), Decimal(line.high or 100)
    if line.low is None and line.high is None:
        raise Refused(f"{line.element} has no limit.", "Give it a lowest or a highest.")
    if low > high or high > 100:
        raise Refused(
            f"{line.element} is limited from {low} to {high} %.", "A limit runs upwards, to 100."
        )


def _sum(stated: Stated) -> None:
    """Refuse lowest limits that cannot stand together, and a sum beyond 100."""
    least = sum((Decimal(line.low or 0) for line in stated.limits), Decimal(0))
    if least > 100:
        raise Refused(f"The lowest limits add to {least} %.", "Nothing could keep them all.")
    if stated.total is not None and Decimal(stated.total) > 100:
        raise Refused(f"A sum of {stated.total} % is beyond 100.", "State 100 or less.")
