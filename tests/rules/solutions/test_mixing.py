"""Amounts for a solution made up to a volume, or added to one of water."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from editions.errors import BronzebookError, Refused, Unreadable
from editions.rules.measures import Density
from editions.rules.solutions.mixing import How, Solution, mix, read_part
from editions.rules.solutions.strengths import read_density, read_stock
from editions.trade.quantities import Quantity

LITRE = Quantity("1", "l")


def made(
    *parts: str, volume: Quantity = LITRE, how: How = "made up to", density: str | None = None
) -> Solution:
    known = read_density(density) if density else None
    return mix([read_part(part) for part in parts], volume, how, known)


def grams(solution: Solution) -> list[str]:
    return [str(portion.grams) for portion in solution.portions]


# Foundry facts, known answer 8.
def test_25_g_of_ferric_nitrate_made_up_to_500_ml() -> None:
    portion = made("Fe(NO3)3.9H2O=25 g", volume=Quantity("500", "ml")).portions[0]
    assert (str(portion.percent_w_v), str(portion.mol_l)) == ("5.000", "0.12376")


# Foundry facts, section 7: antique green, GSA 0503002S: 40 g each, made up to 1 l.
def test_antique_green_is_forty_grams_of_each_in_a_litre() -> None:
    green = made("copper nitrate=40 g/l", "ammonium chloride=4 % w/v", "calcium chloride=40 g")
    assert grams(green) == ["40.000"] * 3
    assert [str(portion.percent_w_v) for portion in green.portions] == ["4.000"] * 3


def test_a_molarity_is_weighed_by_the_molar_mass() -> None:
    # 0.12376 mol/l · 403.992 g/mol · 0.5 l.
    solution = made("ferric nitrate=0.12376 mol/l", volume=Quantity("500", "ml"))
    assert grams(solution) == ["24.999"]


def test_made_up_to_and_added_to_are_different() -> None:
    up_to = made("ferric nitrate=5 % w/w", density="1.03")
    added = made("ferric nitrate=5 % w/w", how="added to")
    # 5 g in 100 g of a litre that weighs 1030 g; and 998 g of water · 5/95.
    assert (grams(up_to), grams(added)) == (["51.500"], ["52.526"])
    assert any("more than the water" in remark for remark in added.remarks)


def test_what_is_added_to_water_meets_a_strength_by_volume_where_the_density_is_given() -> None:
    solution = made("ferric nitrate=5 % w/v", "NH4Cl=10 g", how="added to", density="1.03")
    portion = solution.portions[0]
    assert (str(portion.percent_w_v), str(portion.mol_l)) == ("5.000", "0.12376")
    # Water and solids weigh as much as the finished litres at their density.
    litres = Fraction(str(portion.grams)) / 50
    assert float(998 + 10 + Fraction(str(portion.grams))) == pytest.approx(
        float(litres * 1030), abs=0.1
    )


def test_several_strengths_by_weight_share_one_solution() -> None:
    solution = made("ferric nitrate=5 % w/w", "NH4Cl=3 % w/w", "CuSO4+5H2O=20 g", how="added to")
    iron, ammonium, copper = (Fraction(text) for text in grams(solution))
    whole = 998 + iron + ammonium + copper
    assert float(iron / whole) == pytest.approx(0.05, abs=1e-6)
    assert float(ammonium / whole) == pytest.approx(0.03, abs=1e-6)


def test_an_acid_is_measured_from_its_stock() -> None:
    acid = replace(read_part("nitric acid=0.5 mol/l"), stock=read_stock("68 % w/w at 1.405"))
    portion = mix([acid], LITRE).portions[0]
    # 0.5 mol/l of 15.162 mol/l stock.
    assert (str(portion.millilitres), str(portion.mol_l)) == ("32.98", "0.50000")


def test_an_acid_by_volume_needs_no_stock_and_then_has_no_molarity() -> None:
    portion = made("nitric acid=2 % v/v").portions[0]
    assert (str(portion.millilitres), portion.grams, portion.mol_l) == ("20.00", None, None)


def test_a_mass_or_a_volume_of_a_liquid_is_of_the_liquid_as_bought() -> None:
    stock = read_stock("68 % w/w at 1.405")
    heavy = mix([replace(read_part("nitric acid=140.5 g"), stock=stock)], LITRE).portions[0]
    drawn = mix([replace(read_part("nitric acid=100 ml"), stock=stock)], LITRE).portions[0]
    assert (str(heavy.millilitres), str(heavy.grams)) == ("100.00", "95.540")
    assert (drawn.millilitres, drawn.grams) == (heavy.millilitres, heavy.grams)


def test_spoons_are_weighed_by_the_bulk_density_that_is_said() -> None:
    part = read_part("liver of sulfur=2 tsp")
    with pytest.raises(Refused, match="not known: powders") as why:
        mix([part], LITRE)
    assert "--bulk" in why.value.remedy
    assert grams(mix([replace(part, bulk=Density(value="0.9"))], LITRE)) == ["9.000"]


def test_a_volume_of_a_powder_is_a_spoon_of_another_size() -> None:
    with pytest.raises(Refused, match="powders"):
        made("ferric nitrate=10 ml")


def test_nitrates_bring_the_remark_on_rags_and_open_hydrates_theirs() -> None:
    remarks = made("copper nitrate=40 g/l").remarks
    assert any("rags" in remark for remark in remarks)
    assert any("hemipentahydrate or trihydrate or hexahydrate" in remark for remark in remarks)
    assert made("NaCl=40 g/l").remarks == ()


def test_hazards_defer_to_the_suppliers_sheet_each_once() -> None:
    solution = made("silver nitrate=1 g", "silver nitrate=2 g", "TiO2=1 g")
    # Foundry facts, section 7 (from memory): AgNO3 H272 H302 H314 H372 H400.
    sheet = "see the supplier's safety data sheet"
    assert solution.hazards == (
        f"silver nitrate: H272 H302 H314 H372 H400 (from memory, medium); {sheet}",
        f"titanium dioxide: none held here; {sheet}",
    )


@pytest.mark.parametrize(
    ("parts", "how", "says"),
    [
        (["liver of sulfur=0.1 mol/l"], "made up to", "no molar mass"),
        (["copper nitrate=0.1 mol/l"], "made up to", "which one is not said"),
        (["ferric nitrate=5 % w/w"], "made up to", "weight of the finished solution"),
        (["ferric nitrate=5 % w/v"], "added to", "how much there will be"),
        (["nitric acid=5 % v/v"], "added to", "how much there will be"),
        (["nitric acid=0.5 mol/l"], "made up to", "how strong it is, is not said"),
        (["nitric acid=5 g"], "made up to", "how strong it is, is not said"),
        (["ferric nitrate=5 % v/v"], "made up to", "is no liquid"),
        (["ferric nitrate=60 % w/w", "NH4Cl=40 % w/w"], "added to", "no room for water"),
        (["nitric acid=60 % v/v", "acetic acid=50 % v/v"], "made up to", "more than there is"),
        (["liver of sulfur=1 g", "vinegar=5 % v/v"], "made up to", "hydrogen sulfide"),
        (["silver nitrate=1 g", "ammonia=5 % v/v"], "made up to", "explode"),
        (["bleach=1 % v/v", "ammonium chloride=1 g"], "made up to", "chloramine"),
    ],
)
def test_what_cannot_be_mixed_so_is_refused_with_its_reason(
    parts: list[str], how: How, says: str
) -> None:
    with pytest.raises(Refused) as why:
        made(*parts, how=how)
    assert says in why.value.message
    assert why.value.remedy


def test_more_solids_than_the_solution_could_weigh_are_refused() -> None:
    with pytest.raises(Refused, match="no room"):
        made("ferric nitrate=1500 g/l", how="added to", density="1.2")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("ferric nitrate", "does not say how much"),
        ("=5 g", "not a substance"),
        ("ferric nitrite=5 g", "not a substance"),
        ("ferric nitrate=0 g", "is nothing"),
        ("ferric nitrate=-5 g", "not a number"),
        ("ferric nitrate=1,5 g", "comma"),
        ("ferric nitrate=5 %", "does not say of what"),
        ("ferric nitrate=", "not a strength"),
    ],
)
def test_what_is_no_part_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as why:
        read_part(text)
    assert says in why.value.message


def test_nothing_is_not_mixed() -> None:
    with pytest.raises(Unreadable, match="nothing to mix"):
        made()
    with pytest.raises(Unreadable, match="nothing to mix"):
        made("NaCl=1 g", volume=Quantity("0", "ml"))


_STRENGTHS = st.one_of(
    st.builds("{} % w/v".format, st.integers(1, 30)),
    st.builds("{} g/l".format, st.integers(1, 300)),
    st.builds("{} mol/l".format, st.integers(1, 2)),
)


@given(_STRENGTHS, st.integers(1, 5000))
def test_amounts_grow_with_the_volume_and_the_strength_stays(
    measure: str, millilitres: int
) -> None:
    part = read_part(f"CuSO4+5H2O={measure}")
    one = mix([part], Quantity(str(millilitres), "ml")).portions[0]
    two = mix([part], Quantity(str(2 * millilitres), "ml")).portions[0]
    assert one.grams is not None
    assert two.grams is not None
    assert float(two.grams) == pytest.approx(2 * float(one.grams), abs=0.0011)
    assert one.percent_w_v == two.percent_w_v


@given(st.integers(1, 300), st.integers(50, 3000))
def test_what_was_weighed_for_a_strength_reads_back_as_that_strength(
    strength: int, millilitres: int
) -> None:
    volume = Quantity(str(millilitres), "ml")
    wanted = mix([read_part(f"NH4Cl={strength} g/l")], volume).portions[0]
    again = mix([read_part(f"NH4Cl={wanted.grams} g")], volume).portions[0]
    assert float(again.percent_w_v or 0) == pytest.approx(strength / 10, abs=0.002)


@given(st.text(max_size=25))
def test_any_text_is_a_part_or_refused_by_our_own_errors(text: str) -> None:
    try:
        read_part(text)
    except BronzebookError:
        return
