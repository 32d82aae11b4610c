"""What may not meet: pairs by family, from a data file, each with what comes of it.

A pair is *refused* where the mixture may kill, burn or explode, else *remarked* on.  The list is
short and from memory: what it does not name is not therefore safe.

>>> [clash.gives[:16] for clash in clashes([substance("liver of sulfur"), substance("vinegar")])]
['hydrogen sulfide']
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from itertools import combinations
from typing import Literal

import msgspec

from editions.errors import Refused
from editions.rules.explaining import Figures
from editions.rules.solutions.substances import SHEET, Substance, substance

__all__ = ["Clash", "Pair", "clashes", "pairs", "refuse_clashes", "substance"]

RAGS = (
    "Nitrates dry on rags and gloves: keep them from wax, oil and spirit, rinse them, and do not"
    " heap them (from memory, medium)."
)


class Pair(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Two families that may not meet."""

    one: str
    other: str
    gives: str
    then: Literal["refused", "remarked"]
    confidence: str


class Clash(Figures, frozen=True, kw_only=True):
    """Two substances that may not meet, and why."""

    one: str
    other: str
    gives: str
    then: Literal["refused", "remarked"]
    confidence: str

    def __str__(self) -> str:
        return f"{self.one} with {self.other} gives {self.gives} ({self.confidence})."


@lru_cache(maxsize=1)
def pairs() -> tuple[Pair, ...]:
    """Return every pair of the data file."""
    text = (resources.files(__package__) / "pairs.toml").read_text(encoding="utf-8")
    return tuple(msgspec.convert(tomllib.loads(text)["pair"], list[Pair]))


def clashes(meeting: Sequence[Substance]) -> tuple[Clash, ...]:
    """Return what may not meet among these, the refused first."""
    found = [
        Clash(
            one=a.name, other=b.name, gives=pair.gives, then=pair.then, confidence=pair.confidence
        )
        for first, second in combinations(dict.fromkeys(meeting), 2)
        for pair in pairs()
        for a, b in _sides(pair, first, second)
    ]
    return tuple(sorted(found, key=lambda clash: clash.then == "remarked"))


def refuse_clashes(meeting: Sequence[Substance]) -> tuple[str, ...]:
    """Refuse a mixture of what may not meet; return what is only worth a remark.

    Raises:
        Refused: Naming both substances and what would come of it.
    """
    found = clashes(meeting)
    for clash in found:
        if clash.then == "refused":
            raise Refused(
                f"Never together: {clash}",
                f"Keep them in separate vessels, rinse between; {SHEET}s.",
            )
    remarks = tuple(f"{clash}" for clash in found)
    nitrates = any("nitrate" in one.families for one in meeting)
    return (*remarks, RAGS) if nitrates else remarks


def _sides(pair: Pair, first: Substance, second: Substance) -> list[tuple[Substance, Substance]]:
    """The two substances as the pair has them: in this order, in the other, or not at all."""
    for a, b in ((first, second), (second, first)):
        if pair.one in a.families and pair.other in b.families:
            return [(a, b)]
    return []
