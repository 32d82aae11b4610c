"""What is worth a second look in a figure: remarks, never refusals, each with where it comes from.

A remark asks whether a digit, a unit or a date slipped.  What lies within says nothing.

=================  ===========================================================================
pour, shell        published ranges of the alloy, published foundry pages
coats, drying      7 to 14 coats, about 12 hours each: published foundry pages
wall               2 to 12 mm; about 3/16 in is common practice
wax                against the waxes pulled before it of the same section
bronze             against its waxes, and against its own height
dates              the shop floor's work, entered a year after it happened
=================  ===========================================================================

>>> wall(Quantity("3/16", "in"))
()
>>> wall(Quantity("3", "in"))[0].partition(";")[0]
'A wall of 3 in is unusual'
"""

from __future__ import annotations

import datetime
import statistics
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.alloys import load_alloy
from editions.trade.dates import earliest, latest, say_when
from editions.trade.quantities import Quantity, decimal_text

PAGES = "published foundry pages"
FEW_COATS, MANY_COATS = 7, 14
COATS_A_DAY = 2  # about 12 hours each

# Shell preheat and silicon bronze: published foundry pages.
_PREHEAT = ("1100", "1500")
_SILICON_BRONZE = ("1800", "2100")
_SILICON_ALLOYS = ("C872", "C873", "C875", "C876")

_THIN, _THICK = 2, 12  # mm
_FEWEST_WAXES = 3
_APART = Fraction(3, 2)  # a wax half as heavy again as its fellows, or lighter by as much; ours
# Bronze weighs 8 to 10 times its wax, about 11 with gating (published practice); half and double
# leave room for welded sections, cut gates and cores.
_LIGHT, _HEAVY = 5, 18
_DENSEST = Fraction(9)  # g/cm3, above every alloy held here
# In January last year's number comes out of the pen.
_LATE = datetime.timedelta(days=330)
SHOP_FLOOR = frozenset(
    {
        "wax_pulled", "step_done", "heat_charged", "heat_poured", "mold_inspected", "mold_repaired",
        "defect_found", "colour_applied", "piece_measured", "piece_released",
    }
)  # fmt: skip


def pouring(alloy: str, metal: Quantity | None, shell: Quantity | None) -> tuple[str, ...]:
    """Remark on temperatures outside the published ranges."""
    remarks = _outside(shell, *_PREHEAT, "A shell", PAGES)
    low, high, source = _pour_range(alloy)
    return remarks + _outside(metal, low, high, alloy, source) if source else remarks


def wall(found: Quantity | None) -> tuple[str, ...]:
    """Remark on a wall that common practice does not know."""
    if found is None or _THIN <= found.exact() <= _THICK:
        return ()
    return (f"A wall of {found} is unusual; about 3/16 in is common practice.",)


def coats(name: str, count: int, days: Sequence[str]) -> tuple[str, ...]:
    """Remark on a shell about to be dewaxed: too few coats, too many, or too soon after another.

    Args:
        name: What the shop calls it.
        count: The number of its last coat; 0 where coats were not counted.
        days: The days on which coats were dipped, EDTF.
    """
    remarks: tuple[str, ...] = ()
    if 0 < count < FEW_COATS or count > MANY_COATS:
        remarks = (f"{name} has {count} coats; {PAGES} name 7 to 14, most often 8 to 10.",)
    known = [day for day in map(_day, days) if day]
    span = (max(known) - min(known)).days + 1 if known else 0
    if known and len(known) > COATS_A_DAY * span:
        days_ = "1 day" if span == 1 else f"{span} days"
        remarks += (f"{name} had {len(known)} coats in {days_}; {PAGES} give about 12 hours each.",)
    return remarks


def wax_mass(found: Quantity | None, before: Sequence[Quantity]) -> tuple[str, ...]:
    """Remark on a wax far heavier or lighter than those pulled before it of the section."""
    if found is None or len(before) < _FEWEST_WAXES:
        return ()
    usual = statistics.median(one.exact() for one in before)
    if usual / _APART <= found.exact() <= usual * _APART:
        return ()
    about = decimal_text(usual / Quantity("1", found.unit).exact(), 2)
    return (f"A wax of {found}; those weighed before it of this section are about {about}.",)


def bronze_mass(
    found: Quantity | None, waxes: Sequence[Quantity], longest: Quantity | None
) -> tuple[str, ...]:
    """Remark on a bronze that does not fit the waxes it was cast from, or its own size.

    Args:
        found: The mass measured.
        waxes: The mass of the wax of every section; empty where one was not weighed.
        longest: The longest length measured on it.
    """
    if found is None:
        return ()
    remarks: tuple[str, ...] = ()
    wax = sum((one.exact() for one in waxes), Fraction(0))
    if wax and not _LIGHT <= found.exact() / wax <= _HEAVY:
        times = decimal_text(found.exact() / wax, 1)
        remarks = (f"A bronze of {found} is {times} times its wax; 8 to 11 is published practice.",)
    if longest is not None and found.exact() > _DENSEST * (longest.exact() / 100) ** 3:
        remarks += (f"A bronze of {found} outweighs a solid block of {longest} each way.",)
    return remarks


def dates(kind: str, on: str, recorded: datetime.date) -> tuple[str, ...]:
    """Remark on the shop floor's work that is entered about a year after it happened, or later.

    Args:
        kind: The kind of the entry; old models and old casts are rightly old.
        on: When it happened, EDTF.
        recorded: The day of the entry.
    """
    last = latest(on)
    if kind not in SHOP_FLOOR or last is None or recorded - last < _LATE:
        return ()
    return (f"{say_when(on).capitalize()} is about a year ago or more; is the year as meant?",)


def _pour_range(alloy: str) -> tuple[str, str, str]:
    """The lowest and highest pouring temperature in °F and the source; empty where not held."""
    try:
        ranges = load_alloy(alloy).pour
    except Unreadable:
        ranges = ()
    if ranges:
        low = min(ranges, key=lambda one: Decimal(one.low))
        high = max(ranges, key=lambda one: Decimal(one.high))
        return low.low, high.high, f"{low.source}; {low.read}"
    if alloy.upper().removeprefix("UNS").strip().startswith(_SILICON_ALLOYS):
        return (*_SILICON_BRONZE, PAGES)
    return "", "", ""


def _outside(
    found: Quantity | None, low: str, high: str, what: str, source: str
) -> tuple[str, ...]:
    if (
        found is None
        or Quantity(low, "°F").exact() <= found.exact() <= Quantity(high, "°F").exact()
    ):
        return ()
    return (f"{what} at {found} is outside {low} to {high} °F ({source}).",)


def _day(on: str) -> datetime.date | None:
    """The day a date means, where it means one."""
    first = earliest(on)
    return first if first == latest(on) else None
