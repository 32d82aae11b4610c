"""Metal for the pour, and what a hollow bronze's figures tell of each other."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.measures import Density, read_area, read_density
from editions.rules.metal import alloy_density, metal_for
from editions.rules.metal_check import check_metal
from editions.trade.quantities import Quantity, read_quantity

# CDA data sheet of C87300.
SILICON_BRONZE = read_density("0.302 lb/in3")


def kg(text: str) -> Quantity:
    return Quantity(text, "kg")


def test_wax_with_gating_becomes_the_bronze_reckoned_by_hand() -> None:
    # 1.05 and 0.30 kg of wax at 0.93, C87300 at 0.302 lb/in3: worked by hand from the densities.
    need = metal_for(kg("1.05"), kg("0.30"), bronze=SILICON_BRONZE, wax=read_density("0.93"))
    assert str(need.factor) == "8.98853"
    assert (str(need.casting), str(need.gates)) == ("9.4380 kg", "2.6966 kg")
    assert str(need.poured) == "12.1345 kg"
    assert str(need.yield_percent) == "77.78"
    assert str(need.charge) == "13.6204 kg"
    assert need.remarks == ()
    assert any("8.98853" in line for line in need.formula)


def test_a_shop_that_weighs_in_ounces_reads_pounds() -> None:
    need = metal_for(read_quantity("12 oz", "mass"), bronze=Density(value="8.37"))
    assert str(need.poured) == "6.7500 lb"


def test_gating_that_was_not_weighed_apart_gives_no_yield_and_says_so() -> None:
    need = metal_for(kg("1.35"), bronze=SILICON_BRONZE)
    assert (need.gates, need.yield_percent) == (None, None)
    assert str(need.poured) == "12.1345 kg"
    assert need.remarks == (
        "The gating was not weighed apart: its metal is counted only if it is in WAX.",
    )


@pytest.mark.parametrize(("wax", "says"), [("1.1", "unusual"), ("0.7", "More than 11 of bronze")])
def test_an_unusual_wax_is_remarked_and_not_refused(wax: str, says: str) -> None:
    need = metal_for(kg("1"), kg("0.2"), bronze=SILICON_BRONZE, wax=read_density(wax))
    assert any(says in remark for remark in need.remarks)


def test_the_density_of_an_alloy_is_held_with_its_source() -> None:
    density, source = alloy_density("c87300")
    # CDA data sheet: .302 lb/in3, which is 8.359 g/cm3.
    assert density == SILICON_BRONZE
    assert abs(density.exact() - Fraction("8.359")) < Fraction(1, 1000)
    assert source.startswith("C87300, ")


def test_an_alloy_that_is_not_held_is_said() -> None:
    with pytest.raises(Unreadable, match="No limits are held"):
        alloy_density("C00000")


@pytest.mark.parametrize(
    ("part", "loss", "says"), [("0", "2", "weighs nothing"), ("1", "100", "leaves nothing")]
)
def test_a_wax_that_cannot_be_poured_is_refused(part: str, loss: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        metal_for(kg(part), bronze=SILICON_BRONZE, loss=Decimal(loss))


def test_a_negative_mass_is_no_mass() -> None:
    with pytest.raises(Unreadable, match="not a number of kg"):
        read_quantity("-1.05 kg", "mass")


@given(
    st.decimals("0.001", "500", places=3),
    st.decimals("0", "500", places=3),
    st.decimals("0", "60", places=1),
    st.decimals("0", "30", places=1),
)
def test_mass_is_conserved_from_the_charge_to_the_casting(
    part: Decimal, gating: Decimal, reserve: Decimal, loss: Decimal
) -> None:
    need = metal_for(
        kg(f"{part:f}"), kg(f"{gating:f}"), bronze=SILICON_BRONZE, reserve=reserve, loss=loss
    )
    gates = need.gates.exact() if need.gates else 0
    assert abs(need.casting.exact() + gates - need.poured.exact()) <= Fraction(2, 10_000)
    kept = need.charge.exact() * (1 - Fraction(loss) / 100)
    assert abs(kept - need.poured.exact() * (1 + Fraction(reserve) / 100)) <= Fraction(3, 10_000)


# --- volume, wall and mass ---


def test_a_mass_that_its_volume_foretells_agrees() -> None:
    told = check_metal(read_density("8.36"), mass=kg("10"), volume=Quantity("1.2", "l"))
    # 1.2 l at 8.36 is 10.032 kg: by hand.
    assert str(told.findings[0].expected) == "10.032 kg"
    assert (told.findings[0].agrees, told.findings[0].says) == (True, "they agree")


@pytest.mark.parametrize(
    ("mass", "says"), [("9", "cavities"), ("11.5", "core or armature left in")]
)
def test_a_mass_that_its_volume_does_not_foretell_is_explained(mass: str, says: str) -> None:
    told = check_metal(read_density("8.36"), mass=kg(mass), volume=Quantity("1.2", "l"))
    assert not told.findings[0].agrees
    assert says in told.findings[0].says


@pytest.mark.parametrize(
    ("wall", "agrees", "says"),
    [
        ("3/16 in", True, "they agree"),
        ("1/8 in", False, "thinner than"),
        ("1/4 in", False, "thicker than"),
    ],
)
def test_a_wall_is_checked_against_metal_over_surface(wall: str, agrees: bool, says: str) -> None:
    told = check_metal(
        read_density("8.36"),
        mass=kg("10"),
        wall=read_quantity(wall, "length"),
        surface=read_area("0.25 m2"),
    )
    # 10 kg at 8.36 is 1196.17 cm3; over 2500 cm2 it is 4.785 mm, 0.188 in: by hand.
    assert str(told.findings[0].expected) == "0.188 in"
    assert told.findings[0].given == read_quantity(wall, "length")
    assert told.findings[0].agrees == agrees
    assert says in told.findings[0].says


def test_what_is_not_given_is_told() -> None:
    wall = check_metal(read_density("8.36"), mass=kg("10"), surface=read_area("0.25 m2"))
    assert str(wall.implied_wall) == "4.785 mm"
    surface = check_metal(read_density("8.36"), mass=kg("10"), wall=Quantity("4.785", "mm"))
    assert str(surface.implied_surface) == "0.2500 m2"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "One figure cannot"),
        ({"mass": kg("10")}, "One figure cannot"),
        ({"mass": kg("0"), "volume": Quantity("1", "l")}, "0 kg is nothing to check"),
        (
            {"wall": Quantity("5", "mm"), "surface": read_area("1 m2")},
            "nothing to check them against",
        ),
    ],
)
def test_figures_that_tell_nothing_of_each_other_are_refused(
    given: dict[str, Quantity], says: str
) -> None:
    with pytest.raises(Unreadable, match=says):
        check_metal(read_density("8.36"), **given)  # type: ignore[arg-type]
