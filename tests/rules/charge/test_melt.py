"""The analysis to expect of a charge; the figures are known answers, computed by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given as each
from hypothesis import strategies as st

from editions.errors import NotKnown, Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.alloys.judge import judge_meanings
from editions.rules.charge.losses import loss, published
from editions.rules.charge.melt import Part, complete, expected
from tests.rules.charge.figures import CHARGE, LOSSES, given, part

ELEMENTS = ("Cu", "Sn", "Zn", "Pb", "Si")


def test_a_silicon_bronze_charge_melts_to_the_known_answer() -> None:
    # Computed: 60 kg ingot + 40 kg returns + .5 kg silicon; Cu .5 Si 4 Mn 5 Zn 3 Pb 1 Fe 0 % lost.
    melt = expected(CHARGE, LOSSES)
    assert str(melt.melt) == "99.7948"
    assert str(melt.loss_percent) == "0.7017"
    assert str(melt.sum_percent) == "99.8908"
    assert {x.element: str(x.percent) for x in melt.elements} == {
        "Cu": "94.4402", "Si": "4.2639", "Mn": "0.9900", "Fe": "0.1107", "Zn": "0.0680",
        "Pb": "0.0179",
    }  # fmt: skip
    assert melt.other == Decimal("0.1090")
    assert judge_meanings(load_alloy("C87300"), melt.meanings()).verdict == "within"


def test_85_5_5_5_that_loses_zinc_comes_out_richer_in_copper() -> None:
    # Computed: 100 kg losing 4 % of its zinc.
    melt = expected([part("a", "100", "Cu 85 Sn 5 Pb 5 Zn 5")], given(Zn="4"))
    assert str(melt.melt) == "99.8000"
    assert str(melt.of("Zn").percent) == "4.8096"
    assert str(melt.of("Cu").percent) == "85.1703"
    assert (melt.of("Zn").charged, melt.of("Zn").lost) == (Decimal(5), Decimal("0.2"))


def test_what_a_part_does_not_report_is_at_most_what_its_certificate_leaves() -> None:
    melt = expected(CHARGE, LOSSES)
    # The silicon leaves 1.0 % of .5 kg unsaid: 5 g in 99.7948 kg are .0050 %.
    lead = melt.of("Pb")
    assert lead.not_reported_by == ("silicon",)
    assert (str(lead.least), str(lead.most)) == ("0.0179", "0.0229")
    assert melt.of("Si").not_reported_by == ()
    assert melt.of("Si").least == melt.of("Si").most


def test_a_named_element_that_a_certificate_may_hide_cannot_be_told() -> None:
    # Si may be .005 at most in C83600; the lot leaves .2 unsaid.
    bronze = "Cu 85 Sn 5 Pb 5 Zn 4.6 Ni .1 Fe .02 Sb .02 S .02 P .02 Al .001"
    melt = expected([part("a", "50", bronze), part("b", "50", f"{bronze} Si .001")], {})
    judged = judge_meanings(load_alloy("C83600"), melt.meanings())
    assert judged.verdict == "indeterminate"
    assert [x.element for x in judged.findings if x.verdict == "indeterminate"] == ["Si"]


def test_a_figure_below_detection_is_reckoned_at_half_and_told_with_both_ends() -> None:
    melt = expected([part("a", "100", "Cu 99.9 Pb <0.02")], {})
    lead = melt.of("Pb")
    assert (lead.percent, lead.least, lead.most) == (
        Decimal("0.01"),
        Decimal(0),
        Decimal("0.02"),
    )


def test_the_range_takes_each_loss_at_both_ends() -> None:
    melt = expected([part("a", "100", "Cu 85 Sn 5 Pb 5 Zn 5")], {"Zn": loss("Zn", "1", "5", "x")})
    zinc = melt.of("Zn")
    # 4.95 of 99.95 and 4.75 of 99.75
    assert (str(zinc.low), str(zinc.high)) == ("4.7619", "4.9525")
    assert zinc.low < zinc.percent < zinc.high
    assert melt.of("Cu").low < melt.of("Cu").percent < melt.of("Cu").high


def test_a_certificate_is_never_made_to_add_up_in_silence() -> None:
    melt = expected([part("a", "100", "Cu 90 Sn 10.2")], {})
    assert melt.other == Decimal("-0.2")
    assert (melt.melt, melt.of("Sn").percent) == (Decimal(100), Decimal("10.2"))


def test_what_is_molten_loses_no_more() -> None:
    zinc = part("zinc", "1", "Zn 100", "addition")
    melt = expected([zinc], given(Zn="10"), molten=part("melt", "99", "Cu 95 Zn 5"))
    assert str(melt.melt) == "99.9000"
    assert melt.of("Zn").lost == Decimal("0.1")


def test_the_losses_and_their_sources_are_told() -> None:
    melt = expected(CHARGE, published())
    assert "loss of Zn: 3 % (1 to 5)" in melt.formula
    assert "loss of Cu: 0.5 %" in melt.formula
    assert "loss of Cu: published heating loss of copper (seen)" in melt.sources
    assert any("from memory" in line and "Zn" in line for line in melt.sources)


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ([], "Nothing is charged"),
        ([part("a", "0", "Cu 100")], "Nothing is charged"),
        ([part("a", "-1", "Cu 100")], "a has a mass of -1 kg"),
        ([part("a", "NaN", "Cu 100")], "a has a mass of NaN kg"),
        ([part("a", "1", "Cu 101")], "“a”: Cu has “101”"),
        ([part("a", "1", "Cu 95 Sn 6")], "“a”: The analysis adds to 101 %"),
        ([part("a", "1", "Qu 95")], "“a”: “Qu” is not an element"),
        ([part("a", "1", "Cu 94,6")], "“a”: Cu has “94,6”"),
    ],
)
def test_a_charge_that_cannot_be_meant_is_refused(parts: list[Part], says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        expected(parts, {})
    assert says in caught.value.message
    assert caught.value.remedy


def test_a_certificate_that_does_not_add_up_is_no_full_analysis() -> None:
    with pytest.raises(Unreadable, match=r"The analysis of a adds to 62\.3 %"):
        complete(part("a", "1", "Cu 62.3"))
    whole = part("a", "1", "Cu 95")
    assert complete(whole) is whole


def test_of_an_element_that_nothing_reports_nothing_is_expected() -> None:
    with pytest.raises(NotKnown, match="Nothing charged reports Ni"):
        expected(CHARGE, LOSSES).of("Ni")


@st.composite
def a_part(draw: st.DrawFn) -> Part:
    shares = draw(
        st.lists(st.integers(0, 1000), min_size=len(ELEMENTS), max_size=len(ELEMENTS)).filter(any)
    )
    total = sum(shares) + draw(st.integers(0, 100))
    figures = {
        element: f"{Decimal(100 * share) / total:.4f}"
        for element, share in zip(ELEMENTS, shares, strict=True)
    }
    mass = Decimal(draw(st.integers(1, 10**6))) / 1000
    return Part(name="a", source="ingot", mass=mass, figures=figures)


@st.composite
def some_losses(draw: st.DrawFn) -> dict[str, str]:
    return {x: str(draw(st.integers(0, 20))) for x in ELEMENTS}


@each(st.lists(a_part(), min_size=1, max_size=5), some_losses())
def test_mass_is_conserved(parts: list[Part], lost: dict[str, str]) -> None:
    melt = expected(parts, given(**lost))
    gone = sum((x.lost for x in melt.elements), Decimal(0))
    assert abs(melt.melt + gone - melt.charged) < Decimal("0.001")
    inside = sum((x.percent for x in melt.elements), Decimal(0)) / 100 * melt.melt
    assert abs(inside + melt.other - melt.melt) < Decimal("0.01") + melt.melt / 10**5


@each(st.lists(a_part(), min_size=1, max_size=5))
def test_without_losses_a_mixture_lies_between_its_parts(parts: list[Part]) -> None:
    melt = expected(parts, {})
    for element in ELEMENTS:
        figures = [Decimal(x.figures[element]) for x in parts]
        slack = Decimal("0.0001")
        assert min(figures) - slack <= melt.of(element).percent <= max(figures) + slack


@each(st.lists(a_part(), min_size=1, max_size=4), some_losses(), st.integers(2, 50))
def test_a_charge_twice_as_large_has_the_same_analysis(
    parts: list[Part], lost: dict[str, str], times: int
) -> None:
    larger = [
        Part(name=x.name, source=x.source, mass=x.mass * times, figures=x.figures) for x in parts
    ]
    once, more = expected(parts, given(**lost)), expected(larger, given(**lost))
    assert [x.percent for x in once.elements] == [x.percent for x in more.elements]


@each(st.lists(a_part(), min_size=1, max_size=4))
def test_every_figure_lies_in_its_range(parts: list[Part]) -> None:
    for one in expected(parts, published()).elements:
        assert one.low <= one.least <= one.percent <= one.most <= one.high
