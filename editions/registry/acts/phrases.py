"""Short phrases that stand for the smaller parts of an entry, each read and written.

========================  ====================================================================
proof series              ``4 AP``, ``4 AP roman``; "arabic" may be said, and is what is meant
pulls made elsewhere      ``head 12`` where counted, ``head at least 12`` where not
a number elsewhere        ``3/8=cast by another foundry in 1998``
a criterion, graded       ``tears=sound``; with what was measured: ``detail=worn/2 mm``
========================  ====================================================================

>>> proofs_text(read_proofs("4 ap ROMAN"))
'4 AP roman'
>>> pulls_text(read_pulls("left wing at least 12"))
'left wing at least 12'
"""

from __future__ import annotations

import re
from typing import get_args

from editions.errors import Unreadable
from editions.registry.acts.typed import listed, one_of, word
from editions.rules.designations import SERIES, read_designation
from editions.trade.molds import Criterion, CriterionName, EarlierPulls, Grade
from editions.trade.quantities import read_quantity
from editions.trade.runs import Elsewhere
from editions.trade.statement import ProofSeries
from editions.trade.text import clean, shown

CRITERIA: tuple[CriterionName, ...] = get_args(CriterionName)
GRADES: tuple[Grade, ...] = get_args(Grade)

_PROOFS = re.compile(
    r"(?P<count>[1-9][0-9]{0,3}) *(?P<series>[A-Z.]+)(?: +(?P<numerals>ROMAN|ARABIC))?", re.ASCII
)
_PULLS = re.compile(
    r"(?P<section>.*?\S) +(?P<open>at least +)?(?P<pulls>0|[1-9][0-9]{0,4})", re.ASCII
)


def read_proofs(text: str) -> ProofSeries:
    """Read a series outside the numbered run and how many it has.

    Raises:
        Unreadable: Not a count and a series that exists.
    """
    found = _PROOFS.fullmatch(" ".join(text.upper().split()))
    series = found["series"].replace(".", "") if found else ""
    if found is None or series not in SERIES or series == "PU":
        raise Unreadable(
            f"{shown(text)} is not a series of proofs.",
            "Write it as 4 AP, 4 AP roman, 2 HC or 1 EA.",
        )
    roman = found["numerals"] == "ROMAN"
    return ProofSeries(
        series=series, count=int(found["count"]), numerals="roman" if roman else "arabic"
    )


def proofs_text(proofs: ProofSeries) -> str:
    """Return the series as it is written; the inverse of :func:`read_proofs`."""
    roman = " roman" if proofs.numerals == "roman" else ""
    return f"{proofs.count} {proofs.series}{roman}"


def read_pulls(text: str) -> EarlierPulls:
    """Read how many pulls of a section were made outside this book.

    Raises:
        Unreadable: Not a section and a count.
    """
    found = _PULLS.fullmatch(clean(text))
    if found is None:
        raise Unreadable(
            f"{shown(text)} does not say how often a section was pulled.",
            "Write it as: head 12, or: head at least 12.",
        )
    return EarlierPulls(
        section=word(found["section"], "section"),
        pulls=int(found["pulls"]),
        counted=found["open"] is None,
    )


def pulls_text(pulls: EarlierPulls) -> str:
    """Return the pulls as they are written; the inverse of :func:`read_pulls`."""
    count = str(pulls.pulls) if pulls.counted else f"at least {pulls.pulls}"
    return f"{pulls.section} {count}"


def read_elsewhere(text: str) -> Elsewhere:
    """Read a number of the run that was allotted outside this book, and where.

    Raises:
        Unreadable: No designation, or not said where.
    """
    number, _, where = text.partition("=")
    designation = read_designation(number)
    if designation is None or not where.strip():
        raise Unreadable(
            f"{shown(text)} does not say which number is elsewhere.",
            "Write it as 3/8=cast by another foundry in 1998.",
        )
    return Elsewhere(designation=str(designation), where=clean(where))


def elsewhere_text(elsewhere: Elsewhere) -> str:
    """Return it as it is written; the inverse of :func:`read_elsewhere`."""
    return f"{elsewhere.designation}={elsewhere.where}"


def read_criterion(text: str) -> Criterion:
    """Read the grade of one criterion, with a measured length where one was taken.

    Raises:
        Unreadable: No such criterion, grade or length.
    """
    name, sign, found = text.partition("=")
    if not sign:
        raise Unreadable(
            f"{shown(text)} grades nothing.", f"Write tears=sound; grades: {listed(GRADES)}."
        )
    grade, slash, measured = found.partition("/")
    return Criterion(
        name=one_of(name, CRITERIA, "criterion"),
        grade=one_of(grade, GRADES, "grade"),
        measured=read_quantity(measured, "length") if slash else None,
    )


def criterion_text(criterion: Criterion) -> str:
    """Return the grade as it is written; the inverse of :func:`read_criterion`."""
    measured = f"/{criterion.measured}" if criterion.measured else ""
    return f"{criterion.name}={criterion.grade}{measured}"
