"""Several papers of one bronze, or of one number: told apart from papers of several.

Whoever holds two papers asks first whether they are of two bronzes.  Papers of one book are of one
number where they name the same artist, work and designation; of one bronze where both print the
same piece too.  Which of them holds is for the registry to say, or for the later paper, where its
entry says that it replaces the other.

    one_object([("old.pdf", old, None), ("new.pdf", new, "4MH8PV0PDA7")])
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from certificates.checks import STANDING, Check, agrees, unchecked
from certificates.verify import NOT_CHECKED, Verdict
from editions.trade.numbers import show_number

ONE = "how many bronzes"


class Held(NamedTuple):
    """A paper by the name that was typed, its verdict, and the number that it says it replaces."""

    name: str
    verdict: Verdict
    replaces: str | None = None

    @property
    def named(self) -> tuple[str, ...]:
        """Book, artist, title and designation, as the signed claim has them."""
        claim = self.verdict.claim
        if claim is None or claim.designation is None:
            return ()
        return (claim.origin, claim.artist, claim.title, claim.designation)

    @property
    def piece(self) -> str | None:
        """The piece that the paper prints; a code prints none."""
        return self.verdict.statement.piece if self.verdict.statement else None


def one_object(papers: Sequence[Held]) -> Iterator[Check]:
    """A check for every number of an edition that more than one of the papers is for."""
    known = sorted((one for one in papers if one.named), key=lambda one: one.named)
    for _, of_one in groupby(known, key=lambda one: one.named):
        found = list(of_one)
        if len(found) > 1:
            yield _of_number(found)


def _of_number(papers: list[Held]) -> Check:
    _, _, title, designation = papers[0].named
    names, what = _listed([one.name for one in papers]), f"{designation} of “{title}”"
    numbers = {one.verdict.number for one in papers}
    if len(numbers) == 1:
        number = show_number(numbers.pop())
        return agrees(ONE, f"{names} are one paper, {number}, for one number: {what}.")
    pieces = {one.piece for one in papers}
    if len(pieces - {None}) > 1:
        return unchecked(
            ONE,
            f"{names} are for the same number, {what}, and name different casts"
            f" ({', '.join(sorted(filter(None, pieces)))}): of two runs, or the foundry has to"
            " explain it.",
        )
    thing = "one number" if None in pieces else "one bronze"
    return _which_holds(papers, f"{names} are for {thing}, {what}, not for {len(papers)}.")


def _which_holds(papers: list[Held], said: str) -> Check:
    """Which of several papers for one number holds, by who was asked, or by what the later says."""
    if all(one.verdict.standing != NOT_CHECKED for one in papers):
        standing = [one.name for one in papers if _stands(one.verdict)]
        if len(standing) == 1:
            return agrees(ONE, f"{said} {standing[0]} is the one that stands.")
        count = f"{len(standing)} of them stand" if standing else "None of them stands"
        return unchecked(ONE, f"{said} {count}: ask the foundry.")
    by_number = {one.verdict.number: one.name for one in papers}
    for one in papers:
        if one.replaces in by_number:
            old = by_number[one.replaces]
            return agrees(ONE, f"{said} {one.name} was issued in place of {old}: go by that one.")
    return unchecked(ONE, f"{said} At most one of them stands: ask the registry, or --site.")


def _stands(verdict: Verdict) -> bool:
    return any(each.name == STANDING and each.result == "agrees" for each in verdict.checks)


def _listed(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
