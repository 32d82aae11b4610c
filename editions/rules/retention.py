"""What the law asks a foundry to keep, as far as held fields may hold it; a checklist, not advice.

New York, Arts and Cultural Affairs Law §14.06(1): a foundry in that state keeps, for 25 years from
the production of a sculpture, the data of §15.10(1) and (2): artist, title, foundry, medium or
process, dimensions, year, number cast, whether the artist was dead, whether it was authorised; how
piece and edition are numbered, their sizes, whether more are intended.

Nearly all of these are open facts of the book, which nothing erases.  A held field is listed here
where one of those data may stand there alone.  The buyer is in neither subdivision, so ``to`` and
``owner`` are not listed; other laws (tax, the art market) may ask for them.

>>> duty_on("piece_released", "to") is None
True
>>> duty_on("colour_applied", "differs")
'New York ACAL §14.06: medium or process'
>>> ends("2026-03-02")
datetime.date(2051, 3, 2)
"""

from __future__ import annotations

import datetime

from editions.trade.dates import latest

YEARS = 25
RULE = "New York ACAL §14.06"
ADVICE = (
    f"What must be kept was looked up in a checklist ({RULE}), which is not legal advice;"
    " other laws, on tax or the art market, may ask for more. Ask a licensed adviser."
)

_SIZE = "size of the edition"
_COUNT = "number cast"
_KEPT = {
    ("colour_applied", "differs"): "medium or process",
    ("run_declared", "note"): _SIZE,
    ("run_amended", "reason"): _SIZE,
    ("piece_scrapped", "reason"): _COUNT,
    ("section_scrapped", "reason"): _COUNT,
}
_NAME = ("party_entered", "private_name")


def listed() -> frozenset[tuple[str, str]]:
    """Every kind of entry and held field on which a duty may lie."""
    return frozenset({*_KEPT, _NAME})


def duty_on(kind: str, field: str, *, authorises: bool = False) -> str | None:
    """The rule that asks to keep a held field, and what for; None where the checklist has none.

    Args:
        kind: The kind of the entry.
        field: The held field.
        authorises: Whether the party acts for an artist: then its name says who authorised casts.
    """
    what = _KEPT.get((kind, field))
    if (kind, field) == _NAME and authorises:
        what = "by whom it was authorised"
    return f"{RULE}: {what}" if what else None


def ends(counted_from: str) -> datetime.date | None:
    """The day on which the term is over, from the last possible day of an EDTF date.

    Returns:
        None where that date has no end, so that the term has none either.
    """
    last = latest(counted_from)
    if last is None:
        return None
    try:
        return last.replace(year=last.year + YEARS)
    except ValueError:  # 29 February
        return datetime.date(last.year + YEARS, 3, 1)
