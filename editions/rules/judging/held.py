"""The judge of erasing: a held field, not yet erased, on somebody's authority, and free to go."""

from __future__ import annotations

import re

from editions.errors import NotKnown, Refused
from editions.rules import retention
from editions.rules.judging.bench import judges
from editions.rules.judging.common import kept_when, known
from editions.rules.judging.desk import Desk, Draft
from editions.trade.dates import say_when
from editions.trade.held import RESTATED, HeldErased
from editions.trade.kinds import KINDS, said
from editions.trade.parties import Party

_PARTY = re.compile(r"Y-[0-9A-Z-]+", re.IGNORECASE)


@judges(HeldErased)
def _erased(draft: Draft, facts: HeldErased, desk: Desk) -> tuple[str, ...]:
    if draft.subject not in facts.touches:
        raise Refused(
            f"The entry to be erased from does not touch {draft.subject}.",
            "Name the entry by its place in a history: P-0003#4.",
        )
    _is_held(facts)
    _is_there(facts, desk)
    if _PARTY.fullmatch(facts.authority):
        known(desk, facts.authority.upper(), Party)
    _may_go(draft, facts, desk)
    return (retention.ADVICE,)


def _is_held(facts: HeldErased) -> None:
    erased = KINDS.get(facts.entry_kind)
    if erased is None:
        raise NotKnown(
            f"No kind of entry is called {facts.entry_kind}.", "Is this book newer than we are?"
        )
    if facts.field == RESTATED:
        raise Refused(
            "A correction's value goes with the field that it restates.",
            "Name the entry that was corrected, and that field.",
        )
    if facts.field not in erased.held:
        fields = ", ".join(name for name in erased.held if name != RESTATED) or "none"
        raise Refused(
            f"{facts.field} is not a held field of {said(erased.kind)}; only those can be erased.",
            f"Its held fields: {fields}.",
        )


def _is_there(facts: HeldErased, desk: Desk) -> None:
    if all(desk.erased(leaf, field) for leaf, field in facts.erases()):
        raise Refused(
            f"{facts.field} of this {said(facts.entry_kind)} was erased already.",
            "Nothing is left of it to erase.",
        )


def _may_go(draft: Draft, facts: HeldErased, desk: Desk) -> None:
    party = desk.state(draft.subject)
    acts = isinstance(party, Party) and bool(party.authorities)
    rule = retention.duty_on(facts.entry_kind, facts.field, authorises=acts)
    duty = facts.duty
    if (rule is None) != (duty is None) or (duty is not None and duty.rule != rule):
        raise Refused(
            f"The duty to keep {facts.field} is not as the checklist has it.",
            "Erase it with: bronzebook held erase.",
        )
    if duty is not None and not _answered(draft, facts):
        raise _kept(facts, duty.counted_from, duty.rule)


def _answered(draft: Draft, facts: HeldErased) -> bool:
    """Whether the duty is over, or somebody answers for not keeping to it."""
    duty = facts.duty
    assert duty is not None  # noqa: S101 - asked only where there is a duty
    if duty.answer == "court order":
        return facts.because == "court order"
    if duty.answer == "does not apply":
        return facts.reason is not None
    kept_when(duty.counted_from, "the term counts from")
    until = retention.ends(duty.counted_from)
    return until is not None and draft.recorded >= until


def _kept(facts: HeldErased, counted_from: str, rule: str) -> Refused:
    until = retention.ends(counted_from)
    term = f"until {say_when(until.isoformat())}" if until else "with no end yet"
    return Refused(
        f"{facts.field} of {said(facts.entry_kind)} is to be kept {term}: {rule},"
        f" {retention.YEARS} years from production, counted from {say_when(counted_from)}.",
        "A court order comes before it; or say, with the reason, that it does not apply here."
        " This is a checklist, not legal advice.",
    )
