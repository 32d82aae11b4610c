"""The judge of analyses, against published limits.

Sources: ASTM B584 composition table as reprinted; CDA 2006 and ASTM B584-14 (lead of C87300; seen
in excerpt); EN 1982 CC491K (seen in excerpt); ASTM E29 rounding method (from memory, high
confidence).  The verdicts on whole analyses were computed by hand from those limits.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.alloys.analysis import round_to
from editions.rules.alloys.judge import Finding, Judgement, judge, read_edition
from editions.rules.alloys.model import Alloy, Edition, Limit, SumRule

RED_BRASS = load_alloy("C83600")
SILICON_BRONZE = load_alloy("C87300")

RED_BRASS_HEAT = {
    "Cu": "83.7", "Ni": ".6", "Sn": "5.1", "Pb": "5.0", "Zn": "4.9", "Fe": ".12", "Sb": ".08",
    "P": ".02", "S": ".03", "Al": ".002", "Si": ".002",
}  # fmt: skip
SILICON_HEAT = {"Cu": "94.4", "Si": "4.1", "Mn": "1.1", "Fe": ".08", "Zn": ".05", "Pb": ".15"}


def _finding(judgement: Judgement, element: str) -> Finding:
    return next(x for x in judgement.findings if x.element == element)


def test_nickel_helps_a_leaded_brass_to_its_copper_minimum() -> None:
    verdict = judge(RED_BRASS, RED_BRASS_HEAT)
    assert verdict.verdict == "within"
    assert _finding(verdict, "sum").value == "99.554"
    assert "84.3 with nickel" in _finding(verdict, "Cu").says
    assert (verdict.edition, verdict.specification) == (
        "ASTM B584",
        "ASTM B584, edition not stated",
    )


def test_without_the_note_the_same_heat_is_outside() -> None:
    strict = Alloy(
        name="C83600",
        system="UNS",
        title="",
        limits=RED_BRASS.limits,
        sum_rule=RED_BRASS.sum_rule,
        editions=RED_BRASS.editions,
        sources=(),
    )
    verdict = judge(strict, RED_BRASS_HEAT)
    assert verdict.verdict == "outside"
    assert _finding(verdict, "Cu").verdict == "outside"


def test_nickel_never_counts_against_the_copper_maximum() -> None:
    heat = RED_BRASS_HEAT | {"Cu": "85.9", "Ni": ".6", "Zn": "4.2", "Sn": "4.2", "Pb": "4.5"}
    assert _finding(judge(RED_BRASS, heat), "Cu").verdict == "within"


def test_nickel_does_not_help_a_silicon_bronze() -> None:
    verdict = judge(SILICON_BRONZE, SILICON_HEAT | {"Cu": "93.9", "Ni": ".5"}, "CDA 2006")
    assert _finding(verdict, "Cu").verdict == "outside"


def test_a_european_copper_limit_counts_nickel_at_both_ends() -> None:
    # EN 1982 CC491K: Cu 83-87 including Ni; 86.5 + 0.8 = 87.3 is above.
    cc491k = load_alloy("EN CC491K")
    above = _finding(judge(cc491k, {"Cu": "86.5", "Ni": ".8"}), "Cu")
    assert (above.verdict, above.by) == ("outside", "0.3")
    assert above.says == "outside, 0.3 above; 87.3 with Ni"
    for copper, nickel in (("82.5", ".6"), ("86.5", ".5")):
        figures = {"Cu": copper, "Ni": nickel}
        assert _finding(judge(cc491k, figures), "Cu").verdict == "within"


def test_nickel_that_was_not_reported_leaves_a_european_copper_limit_open() -> None:
    # Up to 2.0 of nickel may lift 82.5 over 83.0, or carry 86.5 over 87.0; neither is known.
    for copper in ("82.5", "86.5"):
        found = _finding(judge(load_alloy("CC491K"), {"Cu": copper}), "Cu")
        assert found.verdict == "indeterminate"
        assert found.says == "cannot be told from the figures reported"
    assert _finding(judge(load_alloy("CC491K"), {"Cu": "80.9"}), "Cu").by == "0.1"


def test_an_element_counted_in_another_is_in_the_sum_once() -> None:
    own = Alloy(
        name="OWN", system="own", title="", sources=(),
        limits=(
            Limit(element="Cu", low="90.0", places=1, includes=("Ni",), source="own", read="own"),
            Limit(element="Ni", high="2.0", places=1, source="own", read="own"),
        ),
        sum_rule=SumRule(low="99.0", elements=("Cu", "Ni"), source="own", read="own"),
        editions=(Edition(name="1", specification="own"),),
    )  # fmt: skip
    found = _finding(judge(own, {"Cu": "97.5", "Ni": "1.0"}), "sum")
    assert (found.value, found.verdict, found.by) == ("98.5", "outside", "0.5")


def test_silicon_spoils_a_leaded_brass() -> None:
    verdict = judge(RED_BRASS, RED_BRASS_HEAT | {"Si": ".02"})
    assert verdict.verdict == "outside"
    assert [x.element for x in verdict.findings if x.verdict == "outside"] == ["Si"]


def test_the_edition_used_decides_on_lead_and_is_named() -> None:
    older = judge(SILICON_BRONZE, SILICON_HEAT, "CDA 2006")
    newer = judge(SILICON_BRONZE, SILICON_HEAT, "ASTM B584-14")
    assert (older.verdict, older.edition) == ("within", "CDA 2006")
    assert (newer.verdict, newer.edition) == ("outside", "ASTM B584-14")
    assert judge(SILICON_BRONZE, SILICON_HEAT) == newer
    assert judge(SILICON_BRONZE, SILICON_HEAT, "2006") == older
    assert _finding(newer, "Pb").limit == "at most 0.09"
    assert _finding(newer, "Pb").by == "0.06"


@pytest.mark.parametrize("edition", ["", "B584", "1999", "cda", "CDA 2006 ", "ASTM"])
def test_an_edition_is_found_by_name_or_refused(edition: str) -> None:
    if edition.strip() == "CDA 2006":
        assert read_edition(SILICON_BRONZE, edition).name == "CDA 2006"
        return
    with pytest.raises(Unreadable, match="has no edition") as caught:
        read_edition(SILICON_BRONZE, edition)
    assert caught.value.remedy == "Held: CDA 2006, ASTM B584-14."


@pytest.mark.parametrize(
    ("reported", "counts", "verdict"),
    # ASTM E29, rounding method, against a limit of 6.0
    [("6.04", "6.0", "within"), ("6.05", "6.0", "within"), ("6.06", "6.1", "outside")],
)
def test_a_result_is_rounded_to_the_limits_last_place_half_to_even(
    reported: str, counts: str, verdict: str
) -> None:
    assert str(round_to(Decimal(reported), 1)) == counts
    judged = judge(RED_BRASS, RED_BRASS_HEAT | {"Sn": reported, "Zn": "4.0"})
    assert _finding(judged, "Sn").verdict == verdict
    far = ", 0.1 above" if verdict == "outside" else ""
    assert _finding(judged, "Sn").says == f"{verdict}{far}; counts as {counts}"


@pytest.mark.parametrize("element", sorted(RED_BRASS_HEAT))
def test_a_named_element_not_reported_is_never_taken_for_nothing(element: str) -> None:
    heat = {x: y for x, y in RED_BRASS_HEAT.items() if x != element}
    verdict = judge(RED_BRASS, heat)
    assert verdict.verdict == "indeterminate"
    assert _finding(verdict, element).says == "not reported"
    assert _finding(verdict, element).value == ""


def test_copper_that_hangs_on_unreported_nickel_cannot_be_told() -> None:
    heat = {x: y for x, y in RED_BRASS_HEAT.items() if x != "Ni"}
    finding = _finding(judge(RED_BRASS, heat), "Cu")
    assert finding.verdict == "indeterminate"
    assert "until copper and nickel are both reported" in finding.says


def test_copper_that_no_allowed_nickel_could_help_is_outside() -> None:
    heat = {x: y for x, y in RED_BRASS_HEAT.items() if x != "Ni"}
    assert judge(RED_BRASS, heat | {"Cu": "80"}).verdict == "outside"
    assert _finding(judge(RED_BRASS, RED_BRASS_HEAT | {"Cu": "80"}), "Cu").verdict == "outside"


def test_an_analysis_outside_elsewhere_is_outside_whatever_is_missing() -> None:
    assert judge(RED_BRASS, {"Si": ".02"}).verdict == "outside"


def test_no_analysis_at_all_is_indeterminate() -> None:
    verdict = judge(SILICON_BRONZE, {})
    assert verdict.verdict == "indeterminate"
    assert _finding(verdict, "sum").says == "Cu, Pb, Zn, Fe, Mn, Si not reported"


def test_a_low_sum_is_outside_though_every_element_is_within() -> None:
    # 94.0 + 4.0 + 1.0 + .05 + .05 + .05 = 99.15, below 99.5
    heat = {"Cu": "94.0", "Si": "4.0", "Mn": "1.0", "Fe": ".05", "Zn": ".05", "Pb": ".05"}
    verdict = judge(SILICON_BRONZE, heat)
    assert [x.element for x in verdict.findings if x.verdict == "outside"] == ["sum"]
    assert verdict.verdict == "outside"


def test_below_detection_counts_as_anything_up_to_that_figure() -> None:
    clean_heat = SILICON_HEAT | {"Cu": "94.6", "Pb": "<0.01"}
    assert judge(SILICON_BRONZE, clean_heat).verdict == "within"
    coarse = judge(SILICON_BRONZE, clean_heat | {"Pb": "< 0.5"})
    assert coarse.verdict == "indeterminate"
    assert _finding(coarse, "Pb").says == "cannot be told from the figures reported"
    assert judge(SILICON_BRONZE, clean_heat | {"Si": "<1"}).verdict == "outside"


def test_cobalt_counts_as_nickel() -> None:
    # UNS: nickel includes cobalt
    verdict = judge(RED_BRASS, RED_BRASS_HEAT | {"Ni": ".8", "Co": ".3"})
    assert _finding(verdict, "Ni").verdict == "outside"
    assert _finding(verdict, "Ni").says == "outside, 0.1 above; 1.1 with Co"
    assert "Co" not in [x.element for x in verdict.findings]


def test_an_element_that_no_limit_names_is_shown_and_not_judged() -> None:
    verdict = judge(RED_BRASS, RED_BRASS_HEAT | {"Bi": ".3"})
    assert verdict.verdict == "within"
    assert _finding(verdict, "Bi").says == "not named by the specification"


@pytest.mark.parametrize(
    ("analysis", "says"),
    [
        ({"Qu": "1"}, "is not an element"),
        ({"": "1"}, "is not an element"),
        ({"copper": "1"}, "is not an element"),
        ({"C u": "1"}, "is not an element"),
        ({"Cu": "94", "CU": "94"}, "Cu is given twice"),
        ({"Cu": ""}, "not a percentage"),
        ({"Cu": "<"}, "not a percentage"),
        ({"Cu": ">94"}, "not a percentage"),
        ({"Cu": "94,4"}, "not a percentage"),
        ({"Cu": "94 %"}, "not a percentage"),
        ({"Cu": "-1"}, "not a percentage"),
        ({"Cu": "1e1"}, "not a percentage"),
        ({"Cu": "NaN"}, "not a percentage"),
        ({"Cu": "Rem"}, "not a percentage"),
        ({"Cu": "094"}, "not a percentage"),
        ({"Cu": "100.1"}, "not a percentage"),
        ({"Cu": "٩٤"}, "not a percentage"),
        ({"Cu": "9" * 100_000}, "not a percentage"),
        ({"Cu": "94", "Sn": "41"}, "adds to 135 %"),
    ],
)
def test_an_analysis_that_cannot_be_meant_is_refused(analysis: dict[str, str], says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        judge(RED_BRASS, analysis)
    assert says in caught.value.message
    assert caught.value.remedy
    assert len(str(caught.value)) < 250


RANK = {"within": 0, "indeterminate": 1, "outside": 2}


@given(
    st.dictionaries(
        st.sampled_from(sorted(RED_BRASS_HEAT)),
        st.decimals(0, 8, places=3).map(str),
        max_size=11,
    )
)
def test_the_verdict_is_the_worst_of_the_findings(analysis: dict[str, str]) -> None:
    verdict = judge(RED_BRASS, analysis)
    assert RANK[verdict.verdict] == max(RANK[x.verdict] for x in verdict.findings)
    missing = set(RED_BRASS_HEAT) - set(analysis)
    assert not missing or verdict.verdict != "within"


@given(st.sampled_from(sorted(RED_BRASS_HEAT)))
def test_reporting_one_element_less_never_betters_a_verdict(element: str) -> None:
    less = {x: y for x, y in RED_BRASS_HEAT.items() if x != element}
    assert RANK[judge(RED_BRASS, less).verdict] >= RANK[judge(RED_BRASS, RED_BRASS_HEAT).verdict]


def test_a_verdict_says_its_rules_and_the_source_of_each_limit() -> None:
    judged = judge(load_alloy("C93200"), {})
    assert "ASTM E29, rounding method (from memory, high confidence)" in judged.sources
    assert any(x.startswith("sum:") and "memory, medium" in x for x in judged.sources)
    assert any("Cu + Ni counts" in line for line in judged.formula)
    assert any(line.endswith("at least 99.0") for line in judged.formula)
