"""The bench: which judges sit on which kind of entry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from editions.errors import NotKnown, Refused
from editions.rules.judging.desk import Desk, Draft
from editions.trade.kinds import Facts, said, touched_codes

Judge = Callable[[Draft, Any, Desk], tuple[str, ...]]

_JUDGES: dict[type[Facts], list[Judge]] = {}


def judges(facts: type[Facts]) -> Callable[[Judge], Judge]:
    """Seat a judge ``(draft, facts, desk) -> remarks`` for one kind of entry."""

    def seat(judge_: Judge) -> Judge:
        _JUDGES.setdefault(facts, []).append(judge_)
        return judge_

    return seat


def judge(draft: Draft, desk: Desk) -> tuple[str, ...]:
    """The remarks on a draft that may be entered.

    Raises:
        NotKnown: If a code that the draft touches is not in the book.
        Refused: If a rule of the trade forbids the entry.
    """
    _subject_fits(draft, desk)
    remarks: tuple[str, ...] = ()
    for judge_ in _JUDGES.get(type(draft.facts), []):
        remarks += judge_(draft, draft.facts, desk)
    return remarks


def _subject_fits(draft: Draft, desk: Desk) -> None:
    own, *others = touched_codes(draft.subject, draft.facts)
    if draft.facts.starts and desk.state(own) is not None:
        raise Refused(f"{own} is already in the book.", "Choose another code.")
    known_first = (
        others if draft.facts.starts or draft.facts.kind == "recipe_written" else [own, *others]
    )
    for code in known_first:
        if desk.state(code) is None:
            raise NotKnown(f"{code} is not in the book; {said(draft.facts.kind)} needs it.")
