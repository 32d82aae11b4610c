"""Judges of the book itself: its opening, and corrections of what may be corrected."""

from __future__ import annotations

from typing import Any, get_type_hints

import msgspec

from editions.errors import NotKnown, Refused, Unreadable
from editions.rules.judging.bench import judges
from editions.rules.judging.common import kept_when, known
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.restating import still_agrees
from editions.trade.book import FORMAT, BookOpened, EntryCorrected
from editions.trade.kinds import KINDS, Facts, When, said
from editions.trade.parties import Party


@judges(BookOpened)
def _opened(_: Draft, facts: BookOpened, __: Desk) -> tuple[str, ...]:
    if facts.format != FORMAT:
        raise Refused(
            f"A book of the format {facts.format} cannot be opened; this is {FORMAT}.",
            "Open it with the version that wrote it, or upgrade it.",
        )
    return ()


@judges(EntryCorrected)
def _corrected(draft: Draft, facts: EntryCorrected, desk: Desk) -> tuple[str, ...]:
    if draft.subject not in facts.touches:
        raise Refused(
            f"The corrected entry does not touch {draft.subject}.",
            "Name the entry by its place in a history: P-0003#4.",
        )
    corrected = KINDS.get(facts.entry_kind)
    if corrected is None:
        raise NotKnown(
            f"No kind of entry is called {facts.entry_kind}.", "Is this book newer than we are?"
        )
    if not facts.changes and facts.held_field is None:
        raise Refused("The correction changes nothing.", "Name a field and its new value.")
    _held(corrected, facts)
    hints = get_type_hints(corrected, include_extras=True)
    for name, value in facts.changes.items():
        _may_correct(corrected, name, held=False)
        _fits(name, value, hints[name], desk)
    return still_agrees(facts.entry_kind, draft.subject, facts.changes, desk)


def _held(corrected: type[Facts], facts: EntryCorrected) -> None:
    if facts.held_field is None:
        if facts.held_value is not None:
            raise Refused("A held value is given, but no field is named for it.", "Name its field.")
        return
    _may_correct(corrected, facts.held_field, held=True)
    hint = get_type_hints(corrected, include_extras=True)[facts.held_field]
    _converts(facts.held_field, facts.held_value, hint)


def _may_correct(corrected: type[Facts], name: str, *, held: bool) -> None:
    if name not in corrected.correctable:
        may = ", ".join(sorted(corrected.correctable)) or "nothing"
        raise Refused(
            f"{name} of {said(corrected.kind)} cannot be corrected.",
            f"What can: {may}. Otherwise enter what undoes it.",
        )
    if (name in corrected.held) != held:
        kept = "held" if name in corrected.held else "open"
        raise Refused(
            f"{name} of {said(corrected.kind)} is {kept}; correct it as {kept}.",
            "Let the act of correcting sort the fields.",
        )


def _fits(name: str, value: Any, hint: Any, desk: Desk) -> None:
    _converts(name, value, hint)
    if value is None:
        return
    if hint in (When, When | None):
        kept_when(value, f"{name} is corrected to")
    if name == "hand":
        known(desk, value, Party)


def _converts(name: str, value: Any, hint: Any) -> None:
    try:
        msgspec.convert(value, hint)
    except msgspec.ValidationError as fault:
        raise Unreadable(
            f"{name} cannot be corrected to this value: {fault}.", "Check the value."
        ) from None
