"""The age gate: how long a mold's rubber keeps by its cure, whatever its pulls.

Makers' pages give tin-cured silicone 12 months to 5 years and more in the library, platinum-cured
up to 20 years; the end is that it tears easily.  Between the first figure and the last a look
before each pull is prudent; past the last nothing is promised.

>>> gate("tin-cure silicone", "2020-03", datetime.date(2026, 3, 1)).standing
'beyond'
"""

from __future__ import annotations

import datetime
import re
from typing import Literal

from editions.errors import Unreadable
from editions.rules.explaining import Figures
from editions.trade.dates import earliest, say_when
from editions.trade.text import shown

Cure = Literal["tin", "platinum"]
Standing = Literal["young", "watch", "beyond", "not known"]

LIBRARY_LIFE = (
    "library life: tin-cure silicone 12 months to 5 years and more, platinum-cure up to 20 years:"
    " makers' pages"
)
# Months: from when to look, and from when nothing is promised.
_LIFE: dict[Cure, tuple[int, int]] = {"tin": (12, 60), "platinum": (240, 240)}
# As whole words: "platinum" holds "tin".
_WORDS: tuple[tuple[re.Pattern[str], Cure], ...] = (
    (re.compile(r"\b(?:tin|condensation)\b"), "tin"),
    (re.compile(r"\b(?:platinum|addition)\b"), "platinum"),
)


class Age(Figures, frozen=True, kw_only=True):
    """How old a mold is, and where that puts it."""

    cure: str
    months: int | None
    standing: Standing
    says: str


def read_cure(text: str) -> Cure:
    """Read a cure: tin or platinum, or as chemists say condensation or addition.

    Raises:
        Unreadable: It is neither.
    """
    cure = cure_of(text)
    if cure is None:
        raise Unreadable(f"{shown(text)} is not a cure.", "Say tin or platinum.")
    return cure


def cure_of(material: str) -> Cure | None:
    """Return the cure that the words for a mold's material speak of, if they do."""
    plain = material.casefold()
    return next((cure for words, cure in _WORDS if words.search(plain)), None)


def gate(material: str, made: str, today: datetime.date) -> Age:
    """Return how old a mold may be at most, and where that puts it.

    Args:
        material: Words for its material, which may name the cure.
        made: When it was made, EDTF, or nothing where that is not known.
        today: The day to reckon by.
    """
    cure, born = cure_of(material), earliest(made) if made else None
    if cure is None or born is None:
        lacking = "the cure" if cure is None else "when it was made"
        return Age(
            cure=cure or "", months=None, standing="not known", says=f"{lacking} is not known"
        )
    months = (today.year - born.year) * 12 + today.month - born.month - (today.day < born.day)
    look, end = _LIFE[cure]
    standing: Standing = "beyond" if months >= end else "watch" if months >= look else "young"
    old = "1 month" if months == 1 else f"{months} months"
    says = f"made {say_when(made)}, {old} old; {_SAYS[standing].format(_span(look, end))}"
    return Age(cure=cure, months=months, standing=standing, says=says)


_SAYS = {
    "young": "{} is what its makers give the cure",
    "watch": "{} is what its makers give the cure: tug at a thin edge before each pull",
    "beyond": "past {}, which is what its makers give the cure: it may tear at any pull",
}


def _span(look: int, end: int) -> str:
    return f"{look} months to {end // 12} years" if look < end else f"up to {end // 12} years"
