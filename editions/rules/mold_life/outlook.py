"""Can this mold finish this run?  Section by section, and what to do about it.

A section's answer is the chance that it gives the sound waxes still wanted: over how many pulls
they take, the chance that every indicator stays under its threshold at the last of them, indicators
taken as independent, which is the cautious side where they worsen together.  Without readings the
rule of succession stands in.  The mold's chance is the product of its sections'.

*Yes* from 95 % on, *no* under 50 %, else *doubtful*; past the age gate never better than doubtful.
Where only the rule of succession stands for readings, a low chance is no *no*: a sound new mold has
it too, so the answer is that *too little is known*.
The chance holds if the mold is kept and used as it was; a drop, a new release agent or a hot day is
not in it.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

from editions.rules.explaining import Explained, Figures
from editions.rules.mold_life import age as ages
from editions.rules.mold_life import chance as chances
from editions.rules.mold_life.readings import in_unit
from editions.rules.mold_life.wear import FEWEST, REGRESSION, Point, Wear, fit, wear
from editions.trade.kinds import Line
from editions.trade.quantities import Quantity

Answer = Literal["yes", "doubtful", "no", "too little is known", "not asked"]

SURE, HALF = 0.95, 0.5
_UNKNOWN: Answer = "too little is known"
LEAD = 5  # pulls kept in hand while a new mold is made; ours
REVIEW = 20
# Ours, no source.
THRESHOLDS = {"tears": Quantity("5", "mm"), "registration": Quantity("1", "mm")}
FAILING = 2.0  # of grades taken as sound 0, worn 1, failing 2

SOURCES = (
    REGRESSION,
    chances.ZERO_FAILURE,
    chances.SUCCESSION,
    chances.REJECTS,
    ages.LIBRARY_LIFE,
    "thresholds of 5 mm of tear and 1 mm at the registration, and 5 pulls in hand: ours, no source",
    "a look after 20 to 30 pulls: from memory, low confidence; no figure is published",
)


class Indicator(Line, frozen=True, kw_only=True):
    """Readings of one indicator: ``(pull, value)`` each, in its unit, or in grades 0 to 2."""

    name: str
    unit: Literal["mm", "in", "grade"]
    readings: tuple[Point, ...]
    threshold: Quantity | None = None


class SectionBook(Line, frozen=True, kw_only=True):
    """What is known of a section: pulls, readings since its last repair, rejects, what is wanted.

    ``wanted`` is the number of sound waxes that the run still needs of it; None where no run is
    asked about.  ``days`` are those on which it was pulled, as far as they are known.
    """

    name: str
    pulls: int
    at_least: bool = False
    since_repair: int | None = None
    indicators: tuple[Indicator, ...] = ()
    sound: int = 0
    rejected: int = 0
    wanted: int | None = None
    days: tuple[datetime.date, ...] = ()
    ended: str = ""


class SectionOutlook(Figures, frozen=True, kw_only=True):
    """What is to be expected of a section; ``left`` counts pulls before it is to be retired."""

    name: str
    pulls: int
    at_least: bool
    wears: tuple[Wear, ...]
    retire_at: int | None
    limited_by: str
    left: int | None
    failing_at_most: Decimal | None
    judged: int
    rejected: int
    wanted: int | None
    pulls_expected: int | None
    chance: Decimal | None
    answer: Answer
    plan_at: int | None
    plan_by: str
    remarks: tuple[str, ...]


class Outlook(Explained, frozen=True, kw_only=True):
    """The answer for a mold and a run."""

    mold: str
    run: str
    answer: Answer
    chance: Decimal | None
    age: ages.Age
    sections: tuple[SectionOutlook, ...]
    remarks: tuple[str, ...]


def outlook(
    sections: Sequence[SectionBook],
    age: ages.Age,
    *,
    today: datetime.date,
    mold: str = "",
    run: str = "",
    lead: int = LEAD,
) -> Outlook:
    """Return what is to be expected of a mold.

    Args:
        sections: What is known of each section.
        age: Where the age gate puts the mold.
        today: The day to reckon by.
        mold: Its code, where it has one.
        run: The run asked about, where there is one.
        lead: How many pulls to keep in hand while a new mold is made.
    """
    found = tuple(_section(one, today, lead) for one in sections)
    told = [one.chance for one in found if one.chance is not None]
    chance = math.prod(float(one) for one in told) if told else None
    return Outlook(
        mold=mold,
        run=run,
        answer=_answer(chance, age, blind=_blind(found)),
        chance=None if chance is None else _percent(chance),
        age=age,
        sections=found,
        remarks=_advice(found, age),
        formula=_FORMULA,
        sources=SOURCES,
    )


_FORMULA = (
    "indicator = a + b·pull, by least squares",
    "bound = a + b·x + t(0.95, n−2)·s·√(1 + 1/n + (x−x̄)²/Sxx)",
    "retire at the last whole pull at which the bound is not above the threshold",
    "chance = Σ over m of P(the waxes wanted take m pulls) · P(good after m more)",
    "P(m pulls) = C(m−1, k−1)·B(a+k, b+m−k)/B(a, b), a = 9 + sound, b = 1 + rejected",
    "P(good) = product over indicators of P(a reading stays under its threshold)",
    "P(good) without readings = (n+1)/(n+1+m) after n pulls without failure",
    "plan a new mold: the pull to retire at, less the pulls in hand",
)


def _section(book: SectionBook, today: datetime.date, lead: int) -> SectionOutlook:
    measured = _telling(book)
    wears = tuple(_wear(one) for one in measured)
    ends = [(worn.retire_at, worn.indicator) for worn in wears if worn.retire_at is not None]
    retire_at, limited_by = min(ends) if ends else (None, "")
    chance = _chance(book, measured)
    plan_at = None if retire_at is None else max(retire_at - lead, 0)
    return SectionOutlook(
        name=book.name,
        pulls=book.pulls,
        at_least=book.at_least,
        wears=wears,
        retire_at=retire_at,
        limited_by=limited_by,
        left=None if retire_at is None else max(retire_at - book.pulls, 0),
        failing_at_most=_bound(book),
        judged=book.sound + book.rejected,
        rejected=book.rejected,
        wanted=book.wanted,
        pulls_expected=None
        if book.wanted is None
        else chances.pulls_expected(book.wanted, book.sound, book.rejected),
        chance=None if chance is None else _percent(chance),
        answer=_of(chance, blind=not wears and not book.ended),
        plan_at=plan_at,
        plan_by=_by_pace(book, plan_at, today),
        remarks=_remarks(book, wears),
    )


def _telling(book: SectionBook) -> list[Indicator]:
    """The indicators to go by: those measured; grades only where nothing was measured enough."""
    enough = [one for one in book.indicators if _enough(one)]
    return [one for one in enough if one.unit != "grade"] or enough


def _enough(indicator: Indicator) -> bool:
    pulls = {pull for pull, _ in indicator.readings}
    known = _threshold(indicator) < math.inf
    return known and len(indicator.readings) >= FEWEST and len(pulls) > 1


def _threshold(indicator: Indicator) -> float:
    """The value at which the section is done; without end where none is given or usual."""
    if indicator.unit == "grade":
        return FAILING
    done = indicator.threshold or THRESHOLDS.get(indicator.name)
    return in_unit(done, indicator.unit) if done else math.inf


def _wear(indicator: Indicator) -> Wear:
    return wear(indicator.name, indicator.unit, indicator.readings, _threshold(indicator))


def _chance(book: SectionBook, measured: Sequence[Indicator]) -> float | None:
    if book.ended and book.wanted != 0:
        return 0.0
    if book.wanted is None:
        return None
    lines = [(fit(one.readings), _threshold(one)) for one in measured]

    def lasts(more: int) -> float:
        if not lines:
            return chances.survival(book.pulls, more)
        return math.prod(line.chance_below(book.pulls + more, limit) for line, limit in lines)

    return chances.chance_of(book.wanted, book.sound, book.rejected, lasts)


def _bound(book: SectionBook) -> Decimal | None:
    if book.pulls < 1 or book.ended:
        return None
    return Decimal(f"{chances.failing_at_most(book.pulls):.5f}")


def _by_pace(book: SectionBook, plan_at: int | None, today: datetime.date) -> str:
    """The month by which the pull to plan at is reached, at the pace seen."""
    if plan_at is None or plan_at <= book.pulls or len(book.days) < FEWEST:
        return ""
    span = (max(book.days) - min(book.days)).days
    if span < 30:
        return ""
    days = (plan_at - book.pulls) * span / (len(book.days) - 1)
    # Farther ahead than ten years a pace says nothing.
    return f"{today + datetime.timedelta(days=days):%Y-%m}" if days < 3653 else ""


def _remarks(book: SectionBook, wears: Sequence[Wear]) -> tuple[str, ...]:
    said = [f"{worn.indicator}: {worn.says}" for worn in wears if worn.says]
    few = [one.name for one in book.indicators if not _enough(one)]
    rough = [one.name for one in book.indicators if _enough(one) and one not in _telling(book)]
    if rough:
        said.append(f"{', '.join(rough)}: only graded, so what was measured decides")
    if few:
        said.append(
            f"{', '.join(few)}: too few readings, or no threshold; {FEWEST} at different pulls tell"
        )
    if not wears and not book.ended:
        said.append("no indicator to go by: only that it has not failed so far")
    if book.at_least:
        said.append(f"the count is at least {book.pulls}; it may have been pulled more often")
    if book.since_repair is not None:
        said.append(f"readings from before its repair at pull {book.since_repair} are left out")
    if any(worn.unit == "grade" for worn in wears):
        said.append("grades are taken as 0, 1 and 2, which is rough: measure where you can")
    if book.ended:
        said.append(book.ended)
    return tuple(said)


def _open(section: SectionOutlook) -> bool:
    return section.answer in ("doubtful", _UNKNOWN)


def _advice(sections: Sequence[SectionOutlook], age: ages.Age) -> tuple[str, ...]:
    said = []
    if age.standing == "beyond":
        said.append("Past its age the answer is never better than doubtful.")
    short = [one for one in sections if one.answer == "no" or (one.wears and _open(one))]
    if short:
        names = ", ".join(one.name for one in short)
        said.append(
            f"Plan a new mold now ({names}): from the original or its plaster, never from a bronze"
            " of the run, which would be a generation further and smaller."
        )
    dark = [one.name for one in sections if not one.wears and _open(one)]
    if dark:
        said.append(f"Measure tears and registration at the next pulls: {', '.join(dark)}.")
    past = [one.name for one in sections if one.retire_at is not None and one.retire_at < one.pulls]
    if past:
        said.append(f"Past the pull at which to retire it, by its readings: {', '.join(past)}.")
    return tuple(said)


def _blind(sections: Sequence[SectionOutlook]) -> bool:
    """Whether a low chance is only that of sections of which nothing was measured."""
    asked = [one for one in sections if one.chance is not None]
    known = [float(one.chance or 0) for one in asked if one.answer != _UNKNOWN]
    return len(known) < len(asked) and math.prod(known) >= HALF


def _answer(chance: float | None, age: ages.Age, *, blind: bool) -> Answer:
    answer = _of(chance, blind=blind)
    return "doubtful" if answer == "yes" and age.standing == "beyond" else answer


def _of(chance: float | None, *, blind: bool) -> Answer:
    """The answer that a chance gives; without readings a low one says only that little is known."""
    if chance is None:
        return "not asked"
    if blind and chance < HALF:
        return _UNKNOWN
    return "yes" if chance >= SURE else "no" if chance < HALF else "doubtful"


def _percent(chance: float) -> Decimal:
    return Decimal(f"{chance:.4f}")
