"""Whether an analysis keeps an alloy's limits: within, outside or indeterminate.

A result is rounded to the last place of the limit, half to even (ASTM E29, rounding method), and
then compared.  Three cases are kept apart:

* a reported figure is exact as reported;
* ``<0.005``, below what the laboratory can find, is anything from nothing to that figure;
* an element that the specification names and the laboratory did not report is **never** zero: it
  may be anything its own limit allows (more would be outside on its own account).

So each figure has a lowest and a highest meaning.  A heat is outside where even the kindest meaning
breaks a limit, within where even the harshest keeps all, and indeterminate between.  Where the
alloy's note allows it, nickel may help copper to its minimum, never over its maximum.

>>> from editions.rules.alloys import load_alloy
>>> heat = {"Cu": "94.5", "Si": "4.0", "Mn": "1.0", "Fe": "0.10", "Zn": "0.10", "Pb": "0.15"}
>>> judge(load_alloy("C87300"), heat, "CDA 2006").verdict
'within'
>>> judge(load_alloy("C87300"), heat, "ASTM B584-14").verdict
'outside'
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal, NamedTuple

import msgspec

from editions.errors import Unreadable
from editions.rules.alloys.model import Alloy, Edition, Limit, SumRule
from editions.trade.text import shown

Verdict = Literal["within", "outside", "indeterminate"]

SUM = "sum"

# An analysis adds to 100 within its own rounding; beyond this a figure was mistyped.
_MOST = Decimal(101)

_PERCENTAGE = re.compile(r"(?P<below><? ?)(?P<figure>(?:0|[1-9][0-9]{0,2})?(?:\.[0-9]{1,6})?)")
_ELEMENTS = frozenset(
    re.findall(
        "[A-Z][a-z]?",
        "AgAlAsAuBBeBiCCaCdCeCoCrCuFeHHgInLaLiMgMnMoNNbNiOPPbPdPtSSbSeSiSnSrTaTeTiTlVWYZnZr",
    )
)


class Finding(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was found of one element, or of the ``sum``; ``value`` is empty where not reported."""

    element: str
    value: str
    limit: str
    says: str
    verdict: Verdict


class Judgement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The verdict on an analysis, with the specification and edition it was judged by."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    specification: str
    edition: str


class _Meaning(NamedTuple):
    """The least and the most that a figure may mean, in per cent, and the figure as reported."""

    low: Decimal
    high: Decimal
    written: str

    def plus(self, other: _Meaning) -> _Meaning:
        """Return the meaning of both together."""
        return _Meaning(self.low + other.low, self.high + other.high, self.written)

    def rounded(self, places: int) -> _Meaning:
        """Return both ends rounded to a limit's last place."""
        return _Meaning(round_to(self.low, places), round_to(self.high, places), self.written)


def judge(alloy: Alloy, percentages: Mapping[str, str], edition: str | None = None) -> Judgement:
    """Judge an analysis against an alloy's limits.

    Args:
        alloy: The alloy and its limits.
        percentages: Element symbol to per cent by weight as reported: ``4.05``, ``<0.005``.
        edition: Which edition of the limits; the newest where None.

    Raises:
        Unreadable: A symbol, a figure or an edition that cannot be read, or figures that add to
            more than 101 per cent.
    """
    used = read_edition(alloy, edition)
    reported = read_percentages(percentages)
    limits = alloy.limits_in(used)
    findings = [_judge_limit(alloy, limit, limits, reported) for limit in limits]
    if alloy.sum_rule:
        findings.append(_judge_sum(alloy.sum_rule, limits, reported))
    findings += _unnamed(limits, reported)
    return Judgement(
        verdict=_worst(findings),
        findings=tuple(findings),
        specification=used.specification,
        edition=used.name,
    )


def round_to(number: Decimal, places: int) -> Decimal:
    """Return a number rounded to a last place, half to even (ASTM E29, rounding method)."""
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)


def read_edition(alloy: Alloy, edition: str | None) -> Edition:
    """Return an edition by its name or the end of it (``2006``), the newest where None.

    Raises:
        Unreadable: No edition, or more than one, has that name.
    """
    if edition is None:
        return alloy.editions[-1]
    wanted = edition.strip().casefold()
    exact = [x for x in alloy.editions if x.name.casefold() == wanted]
    ending = [x for x in alloy.editions if x.name.casefold().endswith(f" {wanted}")]
    found = exact or ending
    if len(found) != 1:
        raise Unreadable(
            f"{alloy.name} has no edition {shown(edition)} here.",
            f"Held: {', '.join(x.name for x in alloy.editions)}.",
        )
    return found[0]


def read_percentages(percentages: Mapping[str, str]) -> dict[str, _Meaning]:
    """Read an analysis; symbols may come in any case.

    Raises:
        Unreadable: A symbol or figure that cannot be read, one given twice, a sum beyond 101.
    """
    reported: dict[str, _Meaning] = {}
    for symbol, figure in percentages.items():
        element = symbol.strip().capitalize()
        if element not in _ELEMENTS:
            raise Unreadable(f"{shown(symbol)} is not an element.", "Write symbols: Cu, Sn, Si.")
        if element in reported:
            raise Unreadable(f"{element} is given twice.", "Give each element once.")
        reported[element] = _read_figure(element, figure)
    total = sum(meaning.low for meaning in reported.values())
    if total > _MOST:
        raise Unreadable(
            f"The analysis adds to {total} %.", "A figure was probably mistyped; see the report."
        )
    return reported


def _read_figure(element: str, figure: str) -> _Meaning:
    """Read one percentage."""
    typed = figure.strip()
    found = _PERCENTAGE.fullmatch(typed)
    if not found or not found["figure"] or Decimal(found["figure"]) > 100:
        raise Unreadable(
            f"{element} has {shown(figure)}, which is not a percentage.",
            "Write 4.05, or <0.005 where the laboratory found less than it can measure.",
        )
    number = Decimal(found["figure"])
    return _Meaning(Decimal(0) if found["below"] else number, number, typed)


def _meaning_of(limit: Limit, reported: Mapping[str, _Meaning]) -> _Meaning:
    """Return what is known of a limited element, with the elements counted in it."""
    meaning = reported.get(limit.element, _Meaning(Decimal(0), limit.ceiling, ""))
    for other in limit.includes:
        if other in reported and meaning.written:
            meaning = meaning.plus(reported[other])
    return meaning


def _judge_limit(
    alloy: Alloy, limit: Limit, limits: tuple[Limit, ...], reported: Mapping[str, _Meaning]
) -> Finding:
    """Judge one element against its limit."""
    alone, helped = _meaning_of(limit, reported), None
    if limit.element == "Cu" and alloy.copper_plus_nickel:
        nickel = next(x for x in limits if x.element == "Ni")
        helped = alone.plus(_meaning_of(nickel, reported))
    bottom = (helped or alone).rounded(limit.places)
    verdict = _compare(alone.rounded(limit.places), bottom, limit)
    if not alone.written and verdict == "within":
        verdict = "indeterminate"
    return Finding(
        element=limit.element,
        value=alone.written,
        limit=limit.text,
        says=_say_helped(alone, helped, limit, verdict) or _say(alone, limit, verdict),
        verdict=verdict,
    )


def _compare(top: _Meaning, bottom: _Meaning, limit: Limit) -> Verdict:
    """Compare a meaning with a limit's top, and another (with nickel) with its bottom."""
    if bottom.high < limit.floor or top.low > limit.ceiling:
        return "outside"
    if bottom.low >= limit.floor and top.high <= limit.ceiling:
        return "within"
    return "indeterminate"


def _say_helped(alone: _Meaning, helped: _Meaning | None, limit: Limit, verdict: Verdict) -> str:
    """Return the finding of copper in words where its minimum hangs on nickel, else nothing."""
    if helped is None or not alone.written or alone.rounded(limit.places).low >= limit.floor:
        return ""
    if helped.low != helped.high and verdict == "indeterminate":
        return "cannot be told until copper and nickel are both reported exactly"
    return f"{verdict}; {helped.low} with nickel, which the note counts towards the minimum"


def _say(meaning: _Meaning, limit: Limit, verdict: Verdict) -> str:
    """Return the finding in words."""
    if not meaning.written:
        return "not reported"
    if verdict == "indeterminate":
        return "cannot be told from the figure reported"
    if meaning.low != meaning.high:
        return verdict
    if meaning.low != Decimal(meaning.written):
        return f"{verdict}; {meaning.low} with {' and '.join(limit.includes)}"
    counted = round_to(meaning.low, limit.places)
    return verdict if counted == meaning.low else f"{verdict}; counts as {counted}"


def _judge_sum(
    rule: SumRule, limits: tuple[Limit, ...], reported: Mapping[str, _Meaning]
) -> Finding:
    """Judge the sum of copper and every named element."""
    total = _Meaning(Decimal(0), Decimal(0), "")
    missing: list[str] = []
    for limit in (x for x in limits if x.element in rule.elements):
        meaning = _meaning_of(limit, reported)
        total = total.plus(meaning)
        missing += [] if meaning.written else [limit.element]
    ends, low = total.rounded(rule.places), Decimal(rule.low)
    verdict: Verdict = "within" if ends.low >= low else "indeterminate"
    if ends.high < low:
        verdict = "outside"
    return Finding(
        element=SUM,
        value=str(total.low),
        limit=f"at least {rule.low}",
        says=f"{', '.join(missing)} not reported" if missing else verdict,
        verdict=verdict,
    )


def _unnamed(limits: tuple[Limit, ...], reported: Mapping[str, _Meaning]) -> list[Finding]:
    """Return a finding for each element reported that the specification does not name."""
    named = {limit.element for limit in limits}
    named.update(other for limit in limits for other in limit.includes)
    return [
        Finding(
            element=element,
            value=meaning.written,
            limit="",
            says="not named by the specification",
            verdict="within",
        )
        for element, meaning in reported.items()
        if element not in named
    ]


def _worst(findings: list[Finding]) -> Verdict:
    """Return outside where anything is outside, else indeterminate where anything is."""
    verdicts = {finding.verdict for finding in findings}
    order: tuple[Verdict, ...] = ("outside", "indeterminate", "within")
    return next(verdict for verdict in order if verdict in verdicts)
