"""The bench: which judges sit on which kind of entry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from editions.errors import Contradiction, NotKnown, Refused
from editions.rules.judging.common import sound
from editions.rules.judging.desk import Desk, Draft
from editions.rules.plausible import dates
from editions.trade.held import HeldErased
from editions.trade.kinds import Facts, can_touch, said, touched_codes

Judge = Callable[[Draft, Any, Desk], tuple[str, ...]]

_JUDGES: dict[type[Facts], list[Judge]] = {}


def judges(facts: type[Facts]) -> Callable[[Judge], Judge]:
    """Seat a judge ``(draft, facts, desk) -> remarks`` for one kind of entry."""

    def seat(judge_: Judge) -> Judge:
        _JUDGES.setdefault(facts, []).append(judge_)
        return judge_

    return seat


def seated() -> frozenset[type[Facts]]:
    """The kinds of entry on which a judge of their own sits."""
    return frozenset(_JUDGES)


def judge(draft: Draft, desk: Desk) -> tuple[str, ...]:
    """The remarks on a draft that may be entered.

    Raises:
        NotKnown: If a code that the draft touches is not in the book, or is something else.
        Refused: If a rule of the trade forbids the entry.
        Unreadable: If the facts or the date cannot be read.
    """
    _subject_fits(draft, desk)
    sound(draft, desk)
    remarks = () if draft.late else dates(draft.facts.kind, draft.on, draft.recorded)
    for judge_ in _JUDGES.get(type(draft.facts), []):
        remarks += judge_(draft, draft.facts, desk)
    return remarks


def _subject_fits(draft: Draft, desk: Desk) -> None:
    own, *others = touched_codes(draft.subject, draft.facts)
    for code in (own, *others):
        _may_touch(draft.facts, code)
    if draft.facts.starts:
        _is_new(own, desk)
    known_first = (
        others if draft.facts.starts or draft.facts.kind == "recipe_written" else [own, *others]
    )
    for code in known_first:
        if desk.state(code) is None and not _of_struck(draft.facts, code, desk):
            raise NotKnown(
                f"{code} is not in the book; {said(draft.facts.kind)} needs it.",
                "Check the code, or enter it first.",
            )


def _is_new(code: str, desk: Desk) -> None:
    if desk.state(code) is not None:
        raise Refused(f"{code} is already in the book.", "Choose another code.")
    if desk.spent(code):
        raise Refused(f"{code} was entered and struck.", "A code is given once; choose another.")


def _of_struck(facts: Facts, code: str, desk: Desk) -> bool:
    """Whether it is about what was struck: what is held of that can still be erased."""
    return isinstance(facts, HeldErased) and desk.spent(code)


def _may_touch(facts: Facts, code: str) -> None:
    try:
        fits = can_touch(type(facts), code)
    except Contradiction:
        fits = False
    if not fits:
        raise NotKnown(
            f"{said(facts.kind).capitalize()} cannot be entered of {code}.",
            "The letter of a code says what it names; check it.",
        )
