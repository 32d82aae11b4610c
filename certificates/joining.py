"""A verdict and the checks that are made of it later: what they take from it, and its new status.

A check replaces one of its name; how it stands today stays the last.  How a paper stands takes
nothing from what it proves; a rewritten book does, a key that proves nothing there, and a record
that says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from certificates import checks
from certificates.checks import GROWTH, KEY_THEN, KEYS, LOG_THEN, RECORD, Check
from certificates.verify import Verdict

_TAKING = frozenset({GROWTH, KEYS, KEY_THEN, LOG_THEN, RECORD})
# Status 0 needs each of these to agree wherever it was made.
_NEEDED = frozenset({GROWTH, KEY_THEN, LOG_THEN, RECORD})


def joined(verdict: Verdict, *made: Check) -> Verdict:
    """The verdict with checks more, in the place of those of their name; standing comes last."""
    for check in made:
        kept = [each for each in verdict.checks if each.name != check.name]
        at = len(kept) if check.name == checks.STANDING else len(kept) - 1
        every = (*kept[:at], check, *kept[at:])
        verdict = replace(
            verdict, checks=every, proved=_proved(verdict, check), status=_status(verdict, every)
        )
    return verdict


def unproved(verdict: Verdict) -> Verdict:
    """The verdict, once it is found that the key it rests on proves nothing by itself."""
    lowered = replace(verdict, proved=False)
    return replace(lowered, status=_status(lowered, lowered.checks))


def _proved(verdict: Verdict, check: Check) -> bool:
    return verdict.proved and not (check.name in _TAKING and check.result == "contradicts")


def _status(verdict: Verdict, made: Sequence[Check]) -> int:
    """0 only where the key was brought along: a paper's own key vouches for no standing."""
    if any(check.result == "contradicts" for check in made):
        return 3
    stands = any(each.name == checks.STANDING and each.result == "agrees" for each in made)
    if not verdict.proved:
        return 4
    agreed = all(each.result == "agrees" for each in made if each.name in _NEEDED)
    return 0 if stands and agreed and verdict.key_from == "given" else 5
