"""A verdict in words: one sentence that can be quoted, and what is left for the eye.

The sentence says at once what was read.  A code that was copied onto another page is as good a code
as the one it was copied from, so a code alone never lets a paper "prove itself"; and a key that
came with the paper vouches for nothing but the paper.

>>> print(ADVICE["code"])
Only the code was read. A code can be copied: compare every word on the paper with those given here.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from certificates import checks
from certificates.checks import Check
from certificates.standings import PENDING
from certificates.verify import NOT_CHECKED, Verdict

ADVICE = {
    "code": "Only the code was read. A code can be copied: compare every word on the paper with"
    " those given here.",
    "record": "Only the record was looked up. Whoever knows a number can print it: compare every"
    " word on the paper with those given here.",
}
_EYE = (
    "Whether the object in hand is consistent with the paper is for the eye: compare its marks,"
    " its measurements and its photograph."
)
_NOT_DRAWN = (
    "The page itself could not be compared with what was drawn: go by the words given here, not by"
    " those on the page."
)
_NO_PAPER = "There is no paper of it yet: do not rely on one that bears its number."
_NO_KEY = "Bring the foundry's public keys: --key FILE; or name a registry: --registry."
_OWN_KEY = (
    "The key came with the {what}: compare its fingerprint with an independent place, such as the"
    " artist, a museum, or an earlier certificate."
)
_PROVED = {
    "paper": "The paper proves itself",
    "code": "The code is the foundry's",
    "record": "The book holds it",
}
_OWN = {
    "paper": "The paper agrees with itself, by the key that came with it",
    "code": "The code and its site agree, by the key that the site shows",
    "record": "The record agrees with itself, by the key that its site shows",
}
_CAME_WITH = {"paper": "paper", "code": "site", "record": "page"}
_OF_BOOK = frozenset({checks.GROWTH, checks.RECORD})
_OF_KEYS = frozenset({checks.KEY_THEN, checks.LOG_THEN})
_UNREAD = "How it stands today was not checked: ask at its address."


def sentence(verdict: Verdict) -> str:
    """The verdict in one or two sentences, the first to be read and the one to be quoted."""
    told = {0: _stands, 3: _contradicts, 4: _unproved, 5: _proves}
    said = told[verdict.status](verdict)
    if not verdict.corrected:
        return said
    count, facts = len(verdict.corrected), "; ".join(verdict.corrected)
    some = "One fact" if count == 1 else f"{count} facts"
    return f"{said} {some} on the paper {'was' if count == 1 else 'were'} corrected since: {facts}."


def advice(verdict: Verdict) -> Iterator[str]:
    """What is left to do, a sentence each."""
    if verdict.key_from == "none":
        yield _NO_KEY
    if verdict.key_from == "paper":
        yield _OWN_KEY.format(what=_CAME_WITH[verdict.seen])
    if PENDING in verdict.standing:
        yield _NO_PAPER
        return
    if verdict.seen in ADVICE and verdict.status in (0, 5):
        yield ADVICE[verdict.seen]
    if any(each.name == checks.PAGE and each.result == "not checked" for each in verdict.checks):
        yield _NOT_DRAWN
    if verdict.proved:
        yield _EYE


def _as_of(verdict: Verdict) -> str:
    """The moment of the standing as people write it; a status note has it as RFC 3339."""
    moment = verdict.standing_as_of or ""
    return f"{moment[:10]} {moment[11:16]} UTC" if moment.endswith("Z") else moment


def _stands(verdict: Verdict) -> str:
    what = "The code agrees, and" if verdict.seen == "code" else "Everything agrees:"
    return f"{what} {verdict.standing}, as of {_as_of(verdict)}."


def _contradicts(verdict: Verdict) -> str:
    against = verdict.contradicted
    if verdict.proved and [check.name for check in against] == [checks.STANDING]:
        what = (_OWN if verdict.key_from == "paper" else _PROVED)[verdict.seen]
        if verdict.standing != NOT_CHECKED:
            word = f"{verdict.standing}, as of {_as_of(verdict)}"
            return f"{what}, but it does not stand: {word}. Do not rely on it."
    others = {1: "", 2: " One more check contradicts."}
    more = others.get(len(against), f" {len(against) - 1} more checks contradict.")
    which = "code" if verdict.seen == "code" else "paper"
    return (
        f"Something contradicts. {against[0].says}{more} Do not rely on this {which} before the"
        " foundry has explained it."
    )


def _unproved(verdict: Verdict) -> str:
    missing = [each for each in verdict.checks if each.result == "not checked"]
    # A key that was revoked outweighs whatever else was not checked, but that it was its signature.
    first = (checks.SIGNATURE, checks.KEY_THEN)
    missing.sort(key=lambda each: first.index(each.name) if each.name in first else len(first))
    return f"It is not proved. {(missing or verdict.checks[-1:])[0].says}"


def _proves(verdict: Verdict) -> str:
    if verdict.key_from == "paper":
        what = _OWN[verdict.seen]
    elif verdict.seen == "code":
        what = f"The code is signed by the foundry for this {verdict.noun}"
    else:
        what = f"The {verdict.seen} proves itself"
    standing = next(each for each in verdict.checks if each.name == checks.STANDING)
    key = "".join(f" {each.says}" for each in verdict.checks if _missing(each, _OF_KEYS))
    if verdict.standing == NOT_CHECKED:
        seen = standing.says if standing != checks.standing() else _UNREAD
        return f"{what}. {seen}{key}"
    if standing.result != "agrees":
        return f"{what}. {standing.says}{key}"
    grown = "".join(f" {each.says}" for each in verdict.checks if _missing(each, _OF_BOOK))
    whose = " by the word of the same key" if verdict.key_from == "paper" else ""
    return f"{what}; {verdict.standing}{whose}, as of {_as_of(verdict)}.{grown}{key}"


def _missing(check: Check, names: AbstractSet[str]) -> bool:
    return check.name in names and check.result != "agrees"
