"""Contraction as the trade writes it: per cent, or inches to the foot as on a patternmaker's rule.

Two conventions are in use and differ in the fourth figure.  Here a contraction is **of the
pattern**: casting = pattern · (1 - s).  A shrink rule is laid out **of the casting**: pattern =
casting · (1 + t).  The two say the same where t = s / (1 - s).

>>> str(read_rate("3/16 in/ft").percent)
'1.5625'
>>> str(read_rate("1.2%").inches_per_foot)
'0.1440'
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import read_percent
from editions.trade.quantities import read_quantity
from editions.trade.text import shown

MOST = 15  # per cent; the trade's contractions are 1 to 4

_SLOPE = re.compile(r"(?P<rise>.+?)\s*(?:/|per)\s*(?P<run>ft|foot|'|m|metre|meter)")
_RUN = {"ft": "ft", "foot": "ft", "'": "ft", "m": "m", "metre": "m", "meter": "m"}


class Rate(Figures, frozen=True, kw_only=True):
    """A contraction of the pattern, as typed and exactly: ``share`` of 1 as a fraction's text."""

    text: str
    share: str

    def __str__(self) -> str:
        return self.text

    @property
    def exact(self) -> Fraction:
        """The share that is lost."""
        return Fraction(self.share)

    @property
    def percent(self) -> Decimal:
        """In per cent, four places."""
        return rounded(100 * self.exact, 4)

    @property
    def inches_per_foot(self) -> Decimal:
        """In inches to the foot, four places."""
        return rounded(12 * self.exact, 4)


class RateSaid(Explained, frozen=True, kw_only=True):
    """A contraction in the trade's other words; ``of_casting_percent`` is a shrink rule's."""

    rate: str
    percent: Decimal
    inches_per_foot: Decimal
    nearest_rule: str
    of_casting_percent: Decimal


def read_rate(text: str) -> Rate:
    """Read a contraction: ``2.5 %``, ``2.5``, ``3/16 in/ft``, ``15 mm/m``.

    Raises:
        Unreadable: It is none of these, negative, or more than 15 per cent.
    """
    plain = " ".join(text.split())
    slope = _SLOPE.fullmatch(plain.casefold())
    if slope:
        rise = read_quantity(slope["rise"], "length")
        run = _RUN[slope["run"]]
        share = rise.exact() / read_quantity(f"1 {run}", "length").exact()
        rate = Rate(text=f"{rise}/{run}", share=str(share))
    else:
        percent = read_percent(plain)
        rate = Rate(text=f"{percent} %", share=str(Fraction(percent) / 100))
    if rate.exact * 100 > MOST:
        raise Unreadable(
            f"{shown(text)} is more than {MOST} %, which no bronze contracts.",
            "Write it as 2.5 % or 3/16 in/ft.",
        )
    return rate


def say_rate(rate: Rate) -> RateSaid:
    """Return a contraction in the trade's other words."""
    return RateSaid(
        rate=rate.text,
        percent=rate.percent,
        inches_per_foot=rate.inches_per_foot,
        nearest_rule=f"{in_parts(12 * rate.exact)} in/ft",
        of_casting_percent=rounded(100 * rate.exact / (1 - rate.exact), 4),
        formula=(
            "s = inches to the foot / 12; casting = pattern × (1 - s)",
            "a shrink rule adds t = s / (1 - s) to the casting: pattern = casting × (1 + t)",
        ),
        sources=("Arithmetic; the foot is twelve inches.",),
    )


def in_parts(number: Fraction, parts: int = 64) -> str:
    """Return a length in inches to the nearest part of one, as a rule is marked: ``17 3/16``."""
    near = Fraction(round(number * parts), parts)
    whole, rest = divmod(near, 1)
    words = [str(whole)] if whole or not rest else []
    return " ".join([*words, str(rest)] if rest else words)
