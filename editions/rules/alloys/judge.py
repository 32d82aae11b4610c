"""Whether an analysis keeps an alloy's limits: within, outside or indeterminate.

A result is rounded to the last place of the limit, half to even (ASTM E29, rounding method), and
then compared.  Three cases are kept apart:

* a reported figure is exact as reported;
* ``<0.005``, below what the laboratory can find, is anything from nothing to that figure;
* an element that the specification names and the laboratory did not report is **never** zero: it
  may be anything its own limit allows (more would be outside on its own account).

So each figure has a lowest and a highest meaning (``analysis``).  A heat is outside where even the
kindest meaning breaks a limit, within where even the harshest keeps all, and indeterminate between.
Where the alloy's note allows it, nickel may help copper to its minimum, never over its maximum; a
limit of copper that includes nickel counts it at both ends.  The sum takes every named element
once.

>>> from editions.rules.alloys import load_alloy
>>> heat = {"Cu": "94.5", "Si": "4.0", "Mn": "1.0", "Fe": "0.10", "Zn": "0.10", "Pb": "0.15"}
>>> judge(load_alloy("C87300"), heat, "CDA 2006").verdict
'within'
>>> judge(load_alloy("C87300"), heat, "ASTM B584-14").verdict
'outside'
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

import msgspec

from editions.errors import Unreadable
from editions.rules.alloys.analysis import NOTHING, Meaning, read_percentages, round_to
from editions.rules.alloys.model import Alloy, Edition, Limit, SumRule
from editions.rules.explaining import Explained
from editions.trade.text import shown

Verdict = Literal["within", "outside", "indeterminate"]

SUM = "sum"
_ROUNDING = "ASTM E29, rounding method (from memory, high confidence)"


class Finding(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was found of one element, or of the ``sum``.

    ``value`` is empty where the element was not reported; ``by`` says how far outside it lies, in
    per cent, the result rounded as the limit is.
    """

    element: str
    value: str
    limit: str
    says: str
    verdict: Verdict
    by: str = ""


class Judgement(Explained, frozen=True, kw_only=True):
    """The verdict on an analysis, with the specification and edition it was judged by."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    specification: str
    edition: str


def judge(alloy: Alloy, percentages: Mapping[str, str], edition: str | None = None) -> Judgement:
    """Judge an analysis against an alloy's limits.

    Args:
        alloy: The alloy and its limits.
        percentages: Element symbol to per cent by weight as reported: ``4.05``, ``<0.005``.
        edition: Which edition of the limits; the newest where None.

    Raises:
        Unreadable: A symbol, a figure or an edition that cannot be read, or figures that add to
            more than 100.5 per cent.
    """
    return judge_meanings(alloy, read_percentages(percentages), edition)


def judge_meanings(
    alloy: Alloy, reported: Mapping[str, Meaning], edition: str | None = None
) -> Judgement:
    """Judge figures of which only the least and the most are known, as of a planned charge.

    Args:
        alloy: The alloy and its limits.
        reported: Element to its figure, with what it may mean.
        edition: Which edition of the limits; the newest where None.

    Raises:
        Unreadable: No edition of that name is held.
    """
    used = read_edition(alloy, edition)
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
        formula=_formula(alloy),
        sources=(*_sources(alloy, limits), _ROUNDING),
    )


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


def _meaning_of(
    limit: Limit, limits: tuple[Limit, ...], reported: Mapping[str, Meaning]
) -> Meaning:
    """Return what is known of a limited element, with the elements counted in it."""
    meaning = reported.get(limit.element, Meaning(Decimal(0), limit.ceiling, ""))
    if not meaning.written:
        return meaning
    ceilings = {one.element: one.ceiling for one in limits}
    for other in limit.includes:
        # One that has a limit of its own and was not reported is never zero; cobalt has none.
        unknown = Meaning(Decimal(0), ceilings.get(other, Decimal(0)), "")
        meaning = meaning.plus(reported.get(other, unknown))
    return meaning


def _judge_limit(
    alloy: Alloy, limit: Limit, limits: tuple[Limit, ...], reported: Mapping[str, Meaning]
) -> Finding:
    """Judge one element against its limit."""
    alone, helped = _meaning_of(limit, limits, reported), None
    if limit.element == "Cu" and alloy.copper_plus_nickel:
        nickel = next(x for x in limits if x.element == "Ni")
        helped = alone.plus(_meaning_of(nickel, limits, reported))
    top, bottom = alone.rounded(limit.places), (helped or alone).rounded(limit.places)
    verdict = _compare(top, bottom, limit)
    if not alone.written and verdict == "within":
        verdict = "indeterminate"
    far = _how_far(top, bottom, limit) if verdict == "outside" else ""
    said = f"{verdict}, {far}" if far else verdict
    return Finding(
        element=limit.element,
        value=alone.written,
        limit=limit.text,
        says=_say_helped(alone, helped, limit, said) or _say(alone, limit, said, reported),
        verdict=verdict,
        by=far.partition(" ")[0],
    )


def _compare(top: Meaning, bottom: Meaning, limit: Limit) -> Verdict:
    """Compare a meaning with a limit's top, and another (with nickel) with its bottom."""
    if bottom.high < limit.floor or top.low > limit.ceiling:
        return "outside"
    if bottom.low >= limit.floor and top.high <= limit.ceiling:
        return "within"
    return "indeterminate"


def _how_far(top: Meaning, bottom: Meaning, limit: Limit) -> str:
    """Return how far outside the kindest meaning lies: ``0.06 above``."""
    if top.low > limit.ceiling:
        return f"{top.low - limit.ceiling} above"
    return f"{limit.floor - bottom.high} below"


def _say_helped(alone: Meaning, helped: Meaning | None, limit: Limit, said: str) -> str:
    """Return the finding of copper in words where its minimum hangs on nickel, else nothing."""
    if helped is None or not alone.written or alone.rounded(limit.places).low >= limit.floor:
        return ""
    if helped.low != helped.high and said == "indeterminate":
        return "cannot be told until copper and nickel are both reported exactly"
    return f"{said}; {helped.low} with nickel, which the note counts towards the minimum"


def _say(meaning: Meaning, limit: Limit, said: str, reported: Mapping[str, Meaning]) -> str:
    """Return the finding in words."""
    if not meaning.written:
        return "not reported"
    if said == "indeterminate":
        return "cannot be told from the figures reported"
    if meaning.low != meaning.high:
        return said
    if meaning.low != Decimal(meaning.written):
        counted_in = [other for other in limit.includes if other in reported]
        return f"{said}; {meaning.low} with {' and '.join(counted_in)}"
    counted = round_to(meaning.low, limit.places)
    return said if counted == meaning.low else f"{said}; counts as {counted}"


def _judge_sum(
    rule: SumRule, limits: tuple[Limit, ...], reported: Mapping[str, Meaning]
) -> Finding:
    """Judge the sum of copper and every named element."""
    total, missing = _sum(rule, limits, reported)
    ends, low = total.rounded(rule.places), Decimal(rule.low)
    verdict: Verdict = "within" if ends.low >= low else "indeterminate"
    if ends.high < low:
        verdict = "outside"
    by = str(low - ends.high) if verdict == "outside" else ""
    said = f"{verdict}, {by} below" if by else verdict
    return Finding(
        element=SUM,
        value=str(total.low),
        limit=f"at least {rule.low}",
        says=f"{', '.join(missing)} not reported" if missing and not by else said,
        verdict=verdict,
        by=by,
    )


def _sum(
    rule: SumRule, limits: tuple[Limit, ...], reported: Mapping[str, Meaning]
) -> tuple[Meaning, list[str]]:
    """Return the sum of what the rule names, each element once, and what was not reported."""
    total, missing = NOTHING, []
    named = [limit for limit in limits if limit.element in rule.elements]
    ceilings = {limit.element: limit.ceiling for limit in named}
    counted = dict.fromkeys(x for limit in named for x in (limit.element, *limit.includes))
    for element in counted:
        if element in reported:
            total = total.plus(reported[element])
        elif element in ceilings:
            total = total.plus(Meaning(Decimal(0), ceilings[element], ""))
            missing.append(element)
    return total, missing


def _unnamed(limits: tuple[Limit, ...], reported: Mapping[str, Meaning]) -> list[Finding]:
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


def _formula(alloy: Alloy) -> tuple[str, ...]:
    """Return the rules of the verdict, a line each."""
    lines = ["each result is rounded to the last place of its limit, half to even, then compared"]
    if alloy.copper_plus_nickel:
        lines.append("copper at least its minimum: Cu + Ni counts; at most its maximum: Cu alone")
    lines += [
        f"{limit.element} counts {' and '.join(limit.includes)} with it"
        for limit in alloy.limits
        if limit.includes
    ]
    if alloy.sum_rule:
        rule = alloy.sum_rule
        lines.append(f"{' + '.join(rule.elements)} at least {rule.low}")
    return tuple(dict.fromkeys(lines))


def _sources(alloy: Alloy, limits: tuple[Limit, ...]) -> tuple[str, ...]:
    """Return the source of every limit, each once, with how it was come by."""
    rule = () if alloy.sum_rule is None else (alloy.sum_rule,)
    by_source: dict[str, list[str]] = {}
    for limit in limits:
        by_source.setdefault(f"{limit.source} ({limit.read})", []).append(limit.element)
    for one in rule:
        by_source.setdefault(f"{one.source} ({one.read})", []).append(SUM)
    return tuple(f"{', '.join(what)}: {source}" for source, what in by_source.items())
