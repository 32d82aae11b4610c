"""From model to wax to bronze and back; contraction in the trade's words."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.contraction import PUBLISHED, WHOLE, Of, Stage, metal_stage, sizes
from editions.rules.rates import in_parts, read_rate, say_rate
from editions.trade.quantities import Quantity, read_quantity

STAGES = (
    Stage(name="wax", rate=read_rate("1.2 %")),
    Stage(name="metal", rate=read_rate("1.8 %")),
)


def mm(text: str) -> Quantity:
    return Quantity(text, "mm")


def test_a_model_becomes_its_wax_its_bronze_and_an_aftercast() -> None:
    # 450 × .988 × .982 and once more, by hand; the percentages lie in the published stages.
    chain = sizes(mm("450"), "model", STAGES)
    assert str(chain.wax) == "444.600 mm"
    assert str(chain.bronze) == "436.597 mm"
    assert str(chain.aftercast) == "423.594 mm"
    assert str(chain.contraction_percent) == "2.978"
    assert (chain.least, chain.remarks) == (None, ())


def test_the_model_for_a_bronze_of_given_size_is_found() -> None:
    # 450 / (.988 × .982), by hand.
    chain = sizes(mm("450"), "bronze", STAGES)
    assert str(chain.model) == "463.814 mm"
    assert str(chain.bronze) == "450 mm"


def test_a_wax_leads_both_ways() -> None:
    chain = sizes(mm("444.6"), "wax", STAGES)
    assert (str(chain.model), str(chain.bronze)) == ("450.000 mm", "436.597 mm")


def test_an_investment_that_grows_makes_the_bronze_larger() -> None:
    grown = Stage(name="investment", rate=read_rate("0.5%"), grows=True)
    chain = sizes(mm("1000"), "model", (STAGES[0], grown, STAGES[1]))
    # 1000 × .988 × 1.005 × .982, by hand.
    assert str(chain.bronze) == "975.067 mm"
    assert "(1 + 0.5 % investment)" in chain.formula[1]


def test_without_stages_the_whole_published_range_is_told() -> None:
    bronze = sizes(mm("450"))
    # 450 × (1 - .027), (1 - .021), (1 - .015), by hand.
    assert [str(x) for x in (bronze.least, bronze.bronze, bronze.most)] == [
        "437.850 mm",
        "440.550 mm",
        "443.250 mm",
    ]
    assert bronze.ranged == "bronze"
    assert bronze.wax is None
    model = sizes(mm("450"), "bronze")
    assert model.ranged == "model"
    assert model.least is not None
    assert model.most is not None
    assert model.least.exact() < model.model.exact() < model.most.exact()


def test_a_stage_outside_what_is_published_is_remarked() -> None:
    chain = sizes(mm("450"), "model", (Stage(name="metal", rate=read_rate("1/4 in/ft")),))
    assert chain.remarks == ()
    chain = sizes(mm("450"), "model", (Stage(name="metal", rate=read_rate("3/16 in/ft")),))
    assert chain.remarks == ("metal 3/16 in/ft is outside the 1.8 to 2.5 % published.",)


# As the alloys' own data have it, with their sources there.
@pytest.mark.parametrize(
    ("alloy", "rate"), [("C87500", "15/64 in/ft"), ("C90500", "1.6 %"), ("cc491k", "1.4 %")]
)
def test_an_alloy_brings_the_contraction_of_its_metal(alloy: str, rate: str) -> None:
    stage = metal_stage(alloy)
    assert str(stage.rate) == rate
    chain = sizes(mm("1000"), "model", (stage,))
    assert chain.sources[0].startswith(f"Contraction of {alloy.upper()}: ")


@pytest.mark.parametrize(
    ("alloy", "says"), [("C95400", "No contraction of C95400"), ("C1", "No limits are held")]
)
def test_an_alloy_without_a_contraction_is_said(alloy: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        metal_stage(alloy)


# Inches to the foot as percentages: arithmetic, twelve inches to the foot.
@pytest.mark.parametrize(
    ("text", "percent"),
    [
        ("3/16 in/ft", "1.5625"),
        ("1/4 in/ft", "2.0833"),
        ("15/64 in/ft", "1.9531"),
        ("7/32 in/ft", "1.8229"),
        ("5/32 in/ft", "1.3021"),
        ("15 mm/m", "1.5000"),
        ('3/16" per foot', "1.5625"),
    ],
)
def test_a_patternmakers_rule_is_read_as_a_percentage(text: str, percent: str) -> None:
    assert str(read_rate(text).percent) == percent


def test_a_rate_keeps_its_text_and_is_read_back() -> None:
    for text in ("3/16 in/ft", "2.50 %", "15 mm/m"):
        assert str(read_rate(text)) == text
        assert read_rate(str(read_rate(text))) == read_rate(text)


def test_both_conventions_are_told() -> None:
    said = say_rate(read_rate("2.5 %"))
    # .025 / .975, by hand.
    assert str(said.of_casting_percent) == "2.5641"
    assert said.nearest_rule == "19/64 in/ft"
    assert str(said.inches_per_foot) == "0.3000"


@pytest.mark.parametrize(
    ("number", "text"),
    [("17.19", "17 3/16"), ("0.1875", "3/16"), ("4", "4"), ("0", "0"), ("0.999", "1")],
)
def test_inches_are_told_as_a_rule_is_marked(number: str, text: str) -> None:
    assert in_parts(Fraction(number)) == text


def test_a_fraction_of_an_inch_survives() -> None:
    chain = sizes(read_quantity("17 3/4 in", "length"), "model", STAGES)
    assert str(chain.model) == "17 3/4 in"
    assert in_parts(chain.bronze.exact() / Fraction(254, 10)) == "17 7/32"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("16%", "no bronze contracts"),
        ("2 in/ft", "no bronze contracts"),
        ("-1%", "not a percentage"),
        ("1,5%", "comma"),
        ("3/16 kg/ft", "not a length"),
        ("3/16", "not a percentage"),
        ("", "not a percentage"),
    ],
)
def test_what_is_no_contraction_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read_rate(text)


@pytest.mark.parametrize(
    ("length", "of", "stages", "says"),
    [
        ("0", "model", STAGES, "no size"),
        ("450", "wax", (WHOLE,), "How much the wax contracts"),
        ("450", "model", (STAGES[0], STAGES[0]), "named twice"),
        ("450", "model", (WHOLE, STAGES[0]), "both given"),
    ],
)
def test_a_chain_that_cannot_be_reckoned_is_refused(
    length: str, of: Of, stages: tuple[Stage, ...], says: str
) -> None:
    with pytest.raises(Unreadable, match=says):
        sizes(mm(length), of, stages)


@given(st.decimals("1", "9999", places=2), st.decimals("0", "5", places=2))
def test_the_model_for_a_bronze_gives_that_bronze(length: Decimal, percent: Decimal) -> None:
    stages = (STAGES[0], Stage(name="metal", rate=read_rate(f"{percent:f} %")))
    back = sizes(mm(f"{length:f}"), "bronze", stages)
    again = sizes(back.model, "model", stages)
    assert abs(again.bronze.exact() - back.bronze.exact()) <= Fraction(1, 1000)


@given(st.decimals("1", "9999", places=2))
def test_what_is_made_of_the_model_never_grows_without_an_investment(length: Decimal) -> None:
    chain = sizes(mm(f"{length:f}"), "model", STAGES)
    assert chain.wax is not None
    lengths = [x.exact() for x in (chain.model, chain.wax, chain.bronze, chain.aftercast)]
    assert lengths == sorted(lengths, reverse=True)


def test_the_whole_is_the_middle_of_its_published_range() -> None:
    low, high = map(Decimal, PUBLISHED["whole"])
    assert WHOLE.rate.percent == (low + high) / 2
