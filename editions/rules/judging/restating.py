"""What a corrected field must still agree with, beyond its own form.

The sections of a piece may be said anew while nothing is made of those that go; a defect stays in a
section that its piece has, and its class and its name are stated together, so that they agree; a
coat keeps to a number of its own; a pour stays possible; a charge is weighed, and takes no more of
a lot than there is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from editions.errors import Refused
from editions.rules.defects import agreeing
from editions.rules.judging.common import distinct, known
from editions.rules.judging.desk import Desk
from editions.rules.judging.heats import possible
from editions.rules.judging.lots import charge_restated
from editions.rules.judging.making import called, not_scrapped, section_named
from editions.trade.dates import say_when
from editions.trade.heats import ChargeLine, Heat
from editions.trade.pieces import Piece, PieceSection
from editions.trade.quantities import from_fact

Changes = Mapping[str, Any]


def still_agrees(kind: str, subject: str, changes: Changes, desk: Desk) -> tuple[str, ...]:
    """The remarks on a correction of one kind of entry that agrees with the rest of its subject.

    Raises:
        NotKnown: If it names a section that the piece does not have.
        Refused: If something was made of what it takes away, or its parts disagree.
    """
    remarks: tuple[str, ...] = ()
    for field, check in _CHECKS.get(kind, {}).items():
        if field in changes:
            remarks += check(subject, changes, desk)
    return remarks


def _sections(subject: str, changes: Changes, desk: Desk) -> tuple[str, ...]:
    piece = known(desk, subject, Piece)
    not_scrapped(piece)
    _nobody_vouched(piece)
    distinct(changes["sections"], "section")
    for section in piece.sections:
        if section.name not in changes["sections"] and _used(piece, section):
            raise Refused(
                f"Something is made of section {section.name} of {called(piece)}; it stays.",
                "Name it among the sections, or scrap it first.",
            )
    told = sorted({step.step.replace("_", " ") for step in piece.steps if step.section is None})
    if told:
        return (f"What is recorded of all of {called(piece)} now counts so: {', '.join(told)}.",)
    return ()


def _nobody_vouched(piece: Piece) -> None:
    if piece.released or piece.certificates or any(not one.lapsed for one in piece.approvals):
        raise Refused(
            f"{called(piece)} was approved, certified or released in the sections it has.",
            "They stay as they are.",
        )


def _used(piece: Piece, section: PieceSection) -> bool:
    told = {step.section for step in piece.steps} | {one.section for one in piece.defects}
    made = section.wax or section.heat or section.scrapped or piece.has_poured(section)
    return bool(made) or section.name in told


def _defects_section(subject: str, changes: Changes, desk: Desk) -> tuple[str, ...]:
    piece = known(desk, subject, Piece)
    if changes["section"] is not None:
        section_named(piece, changes["section"])
    elif len(piece.sections) > 1:
        raise Refused(
            f"{called(piece)} has several sections; in which the defect is must be said.",
            f"Its sections: {', '.join(section.name for section in piece.sections)}.",
        )
    return ()


def _defects_class(_: str, changes: Changes, __: Desk) -> tuple[str, ...]:
    if not {"defect_class", "name"} <= changes.keys():
        raise Refused(
            "The class and the name of a defect are corrected together.",
            'State both: defect="C cold shut".',
        )
    agreeing(changes["defect_class"], changes["name"])
    return ()


def _coat(subject: str, changes: Changes, desk: Desk) -> tuple[str, ...]:
    """Refuse the number of a coat that all of the piece has already; a section counts its own."""
    piece, coat = known(desk, subject, Piece), changes["coat"]
    if coat is None:
        return ()
    if coat < 1:
        raise Refused("The first coat is coat 1.", "Count from 1.")
    alone = len(piece.sections) == 1
    laid = [step for step in piece.steps if step.coat == coat and (alone or step.section is None)]
    if laid:
        raise Refused(
            f"Coat {coat} of {called(piece)} is recorded already, on {say_when(laid[0].on)}.",
            "Choose the number that is free.",
        )
    return ()


def _temperatures(_: str, changes: Changes, __: Desk) -> tuple[str, ...]:
    metal, shell = (changes.get(field) for field in ("metal", "shell"))
    possible(from_fact(metal) if metal else None, from_fact(shell) if shell else None)
    return ()


def _charge(subject: str, changes: Changes, desk: Desk) -> tuple[str, ...]:
    lines = msgspec.convert(changes["charge"], tuple[ChargeLine, ...])
    return charge_restated(known(desk, subject, Heat), lines, desk)


_Check = Callable[[str, Changes, Desk], tuple[str, ...]]

_CHECKS: dict[str, dict[str, _Check]] = {
    "piece_started": {"sections": _sections},
    "step_done": {"coat": _coat},
    "heat_charged": {"charge": _charge},
    "heat_poured": {"metal": _temperatures, "shell": _temperatures},
    "defect_found": {
        "section": _defects_section,
        "defect_class": _defects_class,
        "name": _defects_class,
    },
}
