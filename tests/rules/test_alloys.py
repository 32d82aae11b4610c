"""Alloy limits and the judge, against published tables.

Sources: ASTM B584 composition table as reprinted (Cu, Sn, Pb, Zn of C83600; seen); CDA 2006 and
ASTM B584-14 (lead of C87300; seen in excerpt); UNS C87300 Cu, Si, Mn (from memory, high confidence,
and seen in excerpt); EN 1982 CC491K (seen in excerpt); ASTM E29 rounding method (from memory, high
confidence).  The verdicts on whole analyses were computed by hand from those limits.
"""

from __future__ import annotations

from decimal import Decimal
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.alloys import alloy_names, load_alloy
from editions.rules.alloys.judge import Finding, Judgement, judge, read_edition, round_to
from editions.rules.alloys.model import Alloy, Edition, Limit

RED_BRASS = load_alloy("C83600")
SILICON_BRONZE = load_alloy("C87300")

RED_BRASS_HEAT = {
    "Cu": "83.7", "Ni": ".6", "Sn": "5.1", "Pb": "5.0", "Zn": "4.9", "Fe": ".12", "Sb": ".08",
    "P": ".02", "S": ".03", "Al": ".002", "Si": ".002",
}  # fmt: skip
SILICON_HEAT = {"Cu": "94.4", "Si": "4.1", "Mn": "1.1", "Fe": ".08", "Zn": ".05", "Pb": ".15"}


def _finding(judgement: Judgement, element: str) -> Finding:
    return next(x for x in judgement.findings if x.element == element)


def _limit(alloy: Alloy, element: str, edition: str) -> tuple[str | None, str | None]:
    used = read_edition(alloy, edition)
    found = [x for x in alloy.limits_in(used) if x.element == element]
    assert len(found) == 1
    return found[0].low, found[0].high


@pytest.mark.parametrize(
    ("element", "low", "high"),
    [
        ("Cu", "84.0", "86.0"),  # ASTM B584
        ("Sn", "4.0", "6.0"),  # ASTM B584
        ("Pb", "4.0", "6.0"),  # ASTM B584
        ("Zn", "4.0", "6.0"),  # ASTM B584
        ("Ni", None, "1.0"),  # CDA, ASTM B584
        ("Fe", None, "0.30"),  # CDA, ASTM B584
        ("Sb", None, "0.25"),  # CDA, ASTM B584
        ("S", None, "0.08"),  # CDA, ASTM B584
        ("P", None, "0.05"),  # CDA, ASTM B584
        ("Al", None, "0.005"),  # CDA, ASTM B584
        ("Si", None, "0.005"),  # CDA, ASTM B584
    ],
)
def test_the_limits_of_c83600_are_those_published(
    element: str, low: str | None, high: str | None
) -> None:
    assert _limit(RED_BRASS, element, "ASTM B584") == (low, high)


@pytest.mark.parametrize(
    ("edition", "element", "low", "high"),
    [
        ("CDA 2006", "Cu", "94.0", None),  # CDA, UNS
        ("CDA 2006", "Si", "3.5", "4.5"),  # CDA, UNS
        ("CDA 2006", "Mn", "0.8", "1.5"),  # CDA, UNS
        ("CDA 2006", "Zn", None, "0.25"),  # CDA, ASTM B584
        ("CDA 2006", "Fe", None, "0.20"),  # CDA, ASTM B584
        ("CDA 2006", "Pb", None, "0.20"),  # CDA 2006
        ("ASTM B584-14", "Pb", None, "0.09"),  # ASTM B584-14
        ("ASTM B584-14", "Cu", "94.0", None),
    ],
)
def test_the_limits_of_c87300_are_those_published(
    edition: str, element: str, low: str | None, high: str | None
) -> None:
    assert _limit(SILICON_BRONZE, element, edition) == (low, high)


def test_sums_densities_and_pouring_ranges_are_those_published() -> None:
    assert RED_BRASS.sum_rule is not None
    assert SILICON_BRONZE.sum_rule is not None
    assert RED_BRASS.sum_rule.low == "99.3"  # CDA, ASTM B584
    assert SILICON_BRONZE.sum_rule.low == "99.5"  # CDA, ASTM B584
    assert RED_BRASS.density is not None
    assert SILICON_BRONZE.density is not None
    assert RED_BRASS.density.value == "8.802"  # CDA
    assert SILICON_BRONZE.density.value == "8.359"  # CDA; .302 lb/in3
    pours = {x.section: (x.low, x.high) for x in SILICON_BRONZE.pour}
    assert pours == {"light": ("2000", "2150"), "heavy": ("1850", "1950")}  # published data sheet


@pytest.mark.parametrize("name", alloy_names())
def test_every_data_file_is_whole_and_names_its_sources(name: str) -> None:
    alloy = load_alloy(name)
    editions = {edition.name for edition in alloy.editions}
    assert alloy.name == name
    assert alloy.sum_rule is not None
    for limit in alloy.limits:
        assert limit.source
        assert limit.read.startswith(("seen", "memory"))
        assert set(limit.editions) <= editions
        assert limit.floor < limit.ceiling <= 100
        written = [text for text in (limit.low, limit.high) if text]
        assert {-Decimal(x).as_tuple().exponent for x in written} == {limit.places}  # type: ignore[operator]
    for edition in alloy.editions:
        named = [limit.element for limit in alloy.limits_in(edition)]
        assert len(named) == len(set(named))
        assert set(alloy.sum_rule.elements) == set(named)


def test_the_data_lie_beside_the_code_as_package_data() -> None:
    folder = resources.files("editions.rules.alloys")
    assert (folder / "c83600.toml").is_file()
    assert (folder / "c87300.toml").is_file()


@pytest.mark.parametrize("name", ["C83600", "c83600", "UNS C83600", " uns c83600 "])
def test_an_alloy_answers_to_its_name_in_any_case(name: str) -> None:
    assert load_alloy(name) is RED_BRASS


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("C87310", "Did you mean C87300?"),
        ("", "Held here: C83600, C87300."),
        ("gold", "Held here: C83600, C87300."),
        ("../c83600", "Did you mean C83600?"),
        ("__init__", "Held here: C83600, C87300."),
        ("C" * 100_000, "Held here: C83600, C87300."),
    ],
)
def test_an_alloy_not_held_is_refused(name: str, remedy: str) -> None:
    with pytest.raises(Unreadable, match="No limits are held here") as caught:
        load_alloy(name)
    assert caught.value.remedy == remedy


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
    cc491k = Alloy(
        name="CC491K",
        system="EN",
        title="",
        limits=(
            Limit(
                element="Cu",
                low="83.0",
                high="87.0",
                places=1,
                includes=("Ni",),
                source="EN 1982",
                read="seen",
            ),
        ),
        editions=(Edition(name="EN 1982", specification="EN 1982"),),
        sources=(),
    )
    verdict = judge(cc491k, {"Cu": "86.5", "Ni": ".8"})
    assert verdict.verdict == "outside"
    assert verdict.findings[0].says == "outside; 87.3 with Ni"
    assert judge(cc491k, {"Cu": "82.5", "Ni": ".6"}).verdict == "within"
    assert judge(cc491k, {"Cu": "86.5", "Ni": ".5"}).verdict == "within"


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
    assert _finding(judged, "Sn").says == f"{verdict}; counts as {counts}"


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
    assert _finding(coarse, "Pb").says == "cannot be told from the figure reported"
    assert judge(SILICON_BRONZE, clean_heat | {"Si": "<1"}).verdict == "outside"


def test_cobalt_counts_as_nickel() -> None:
    # UNS: nickel includes cobalt
    verdict = judge(RED_BRASS, RED_BRASS_HEAT | {"Ni": ".8", "Co": ".3"})
    assert _finding(verdict, "Ni").verdict == "outside"
    assert _finding(verdict, "Ni").says == "outside; 1.1 with Co"
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
