"""The judge of strikes: what a slip of the pen may have made, while nothing stands on it.

What was entered of it since is named (:mod:`editions.rules.judging.stands_on`).  A certificate that
was issued since and draws on the entry keeps it for good, whatever became of its paper.
"""

from __future__ import annotations

from collections.abc import Iterator

from editions.errors import NotKnown, Refused
from editions.rules.judging.bench import judges
from editions.rules.judging.desk import Desk, Draft
from editions.rules.judging.stands_on import left_by, since, stands_on
from editions.trade.certificates import CertificateIssued
from editions.trade.kinds import KINDS, Facts, Happened, said, touched_codes
from editions.trade.numbers import show_number
from editions.trade.strikes import BEGINNINGS, STRIKABLE, STRIKE, EntryStruck, relies
from editions.trade.text import a

_SO_MANY = 3  # as many of what stands on it as a message names
_FOR_GOOD = "What a paper was issued on stays; enter what is true now."

# What mends an entry that is not struck.
_INSTEAD = {
    STRIKE: "Make the entry that was struck anew, as it would be made today.",
    "entry_corrected": "Correct the field again: bronzebook correct.",
    "held_erased": "What was erased is gone; nothing brings it back.",
    "book_opened": "It is what the book stands on.",
    "certificate_issued": "Withdraw the paper: bronzebook certificate withdraw.",
    "certificate_drawn": "Withdraw the paper: bronzebook certificate withdraw.",
    "certificate_reported": "Replace or withdraw the paper: bronzebook certificate.",
    "promise_ended": "Promise the number again: bronzebook number promise.",
    "run_amended": "Amend the run again: bronzebook run amend.",
    "wax_pulled": "A pull counts; reject the wax instead: bronzebook wax judge --reject.",
    "approval_given": "Enter what they say now: bronzebook approve; --refused where they do not.",
    "earlier_cast_registered": "Correct what it says: bronzebook correct.",
}


@judges(EntryStruck)
def _struck(draft: Draft, facts: EntryStruck, desk: Desk) -> tuple[str, ...]:
    _is_strikable(facts.entry_kind)
    if not (facts.reason or "").strip():
        raise Refused("Why the entry is struck is not said.", "Say it in a few words: --reason.")
    entry = _entry(draft, facts, desk)
    if papers := tuple(dict.fromkeys(_papers(entry, desk))):
        raise Refused(f"It cannot be struck: {_told(papers)}.", _FOR_GOOD)
    if stands := stands_on(entry, desk):
        raise Refused(
            f"It cannot be struck while something stands on it: {_told(stands)}.",
            "Strike that first where it is a slip too; else enter what is true now.",
        )
    if facts.entry_kind in BEGINNINGS and draft.by == draft.subject:
        raise Refused(f"{draft.by} records this, and so is in the book.", "Record it by another.")
    return left_by(entry, desk)


def _told(stands: tuple[str, ...]) -> str:
    more = len(stands) - _SO_MANY
    return "; ".join(stands[:_SO_MANY]) + (f"; and {more} more" if more > 0 else "")


def _is_strikable(kind: str) -> None:
    if kind in STRIKABLE:
        return
    declared = KINDS.get(kind)
    if declared is None:
        raise NotKnown(f"No kind of entry is called {kind}.", "Is this book newer than we are?")
    what = "A strike" if kind == STRIKE else f"An entry “{said(kind)}”"
    raise Refused(f"{what} is not struck.", _instead(declared))


def _instead(declared: type[Facts]) -> str:
    if declared.kind in _INSTEAD:
        return _INSTEAD[declared.kind]
    if declared.correctable:
        fields = ", ".join(sorted(declared.correctable)).replace("_", " ")
        return f"What can be corrected of it: {fields}."
    return "Enter what happened since."


def _entry(draft: Draft, facts: EntryStruck, desk: Desk) -> Happened:
    told = desk.told(draft.subject)
    entry = next((one for one in told if one.leaf == facts.entry), None)
    if entry is None:
        raise Refused(
            f"No entry of {draft.subject} that still counts has this leaf; it may be struck"
            " already.",
            f"See: bronzebook show {draft.subject}.",
        )
    own = (entry.facts.kind, entry.subject, touched_codes(entry.subject, entry.facts))
    if own != (facts.entry_kind, draft.subject, facts.touches):
        raise Refused(
            f"The entry is {a(said(entry.facts.kind))} of {entry.subject}; the strike says"
            " otherwise.",
            "Strike it with: bronzebook strike.",
        )
    return entry


def _papers(entry: Happened, desk: Desk) -> Iterator[str]:
    """The certificates issued since that draw on the entry."""
    codes = touched_codes(entry.subject, entry.facts)
    for code in codes:
        for one in since(entry, desk.told(code)):
            if isinstance(one.facts, CertificateIssued) and relies(one, entry):
                paper = one.facts.statement.paper
                word = "reservation" if paper == "reservation" else "certificate"
                yield f"the {word} {show_number(one.facts.number)} was issued on it"
