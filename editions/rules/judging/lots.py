"""What a charge may take of the lots that the book knows."""

from __future__ import annotations

from fractions import Fraction

from editions.errors import Refused
from editions.rules.judging.common import known, not_before
from editions.rules.judging.desk import Desk, Draft
from editions.trade.heats import ChargeLine, Heat, HeatCharged
from editions.trade.metal import Lot
from editions.trade.quantities import decimal_text

_GRAM = 3


def charged_from(draft: Draft, facts: HeatCharged, desk: Desk) -> tuple[str, ...]:
    """Return remarks on the lots of a charge.

    Raises:
        NotKnown: A lot is not in the book.
        Refused: A lot is of another kind, came in later, or is charged beyond what came in.
    """
    remarks: tuple[str, ...] = ()
    for code in dict.fromkeys(line.lot for line in facts.charge if line.lot is not None):
        lot = known(desk, code, Lot)
        not_before(draft, lot.since, f"{code} came in")
        if any(line.lot == code and line.source != lot.source for line in facts.charge):
            raise Refused(f"{code} is of kind {lot.source}.", f"Name it as {lot.source}.")
        remarks += _within_stock(draft, facts, lot, desk)
    return remarks


def charge_restated(heat: Heat, lines: tuple[ChargeLine, ...], desk: Desk) -> tuple[str, ...]:
    """Return remarks on a charge that is stated again as a whole.

    Raises:
        NotKnown: A heat or a lot is not in the book.
        Refused: A line has no mass, a lot is of another kind, or is charged beyond what came in.
    """
    unweighed = {(line.source, line.name) for line in heat.charge if line.mass is None}
    for line in lines:
        if line.mass is None and (line.source, line.name) not in unweighed:
            raise Refused(
                f"How much was charged of {line.name} is not said.",
                'Write the line with its mass: charge="ingot LOT 881=60kg; returns 24-101=40kg".',
            )
    for code in dict.fromkeys(line.lot for line in lines if line.lot is not None):
        _restated_within(heat, lines, known(desk, code, Lot), desk)
    strays = [line.name for line in lines if line.source != "returns" and line.lot is None]
    if strays and any(line.lot for line in heat.charge):
        return (f"No lot of this book: {', '.join(strays)}; its stock is not counted.",)
    return ()


def _restated_within(heat: Heat, lines: tuple[ChargeLine, ...], lot: Lot, desk: Desk) -> None:
    if any(line.lot == lot.code and line.source != lot.source for line in lines):
        raise Refused(f"{lot.code} is of kind {lot.source}.", f"Name it as {lot.source}.")
    heats = desk.linked("charged from", lot.code)
    left = left_of(lot, tuple(h for h in heats if isinstance(h, Heat) and h.code != heat.code))
    taken = _taken(lot.code, lines)
    if left is not None and taken > left:
        raise Refused(f"{_short(lot, left, taken)}.", "Take less, or correct what came in.")


def left_of(lot: Lot, heats: tuple[Heat, ...]) -> Fraction | None:
    """Return what is left of a lot, in kg; None where what came in was not weighed."""
    if lot.mass is None:
        return None
    return lot.mass.exact() - sum((_taken(lot.code, heat.charge) for heat in heats), Fraction(0))


def _taken(code: str, charge: tuple[ChargeLine, ...]) -> Fraction:
    """Return what a charge takes of a lot, in kg; lines that were not weighed count as nothing."""
    masses = [line.mass for line in charge if line.lot == code]
    return sum((mass.exact() for mass in masses if mass is not None), Fraction(0))


def _within_stock(draft: Draft, facts: HeatCharged, lot: Lot, desk: Desk) -> tuple[str, ...]:
    """Refuse a charge beyond what is left of a lot; of an older book it is remarked on."""
    heats = desk.linked("charged from", lot.code)
    left = left_of(lot, tuple(heat for heat in heats if isinstance(heat, Heat)))
    taken = _taken(lot.code, facts.charge)
    if left is None or taken <= left:
        return ()
    says = _short(lot, left, taken)
    if draft.late:
        return (f"{says}.",)
    raise Refused(f"{says}.", "Take less, or correct what came in.")


def _short(lot: Lot, left: Fraction, taken: Fraction) -> str:
    """Say what a lot has left, and what more a charge takes of it."""
    there = decimal_text(max(left, Fraction(0)), _GRAM)
    says = f"{lot.name} ({lot.code}) has {there} kg left; the charge takes"
    return f"{says} {decimal_text(taken, _GRAM)} kg"
