"""Formulas as labels print them, and molar masses against periodictable."""

from __future__ import annotations

from decimal import Decimal

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.solutions.formulas import Formula, Part, atomic_weights, read_formula

# Computed by periodictable 2.1; the texts are as that library reads them, with a plus before water.
MASSES = {
    "Fe(NO3)3+9H2O": "403.992",
    "Cu(NO3)2+3H2O": "241.599",
    "Cu(NO3)2+2.5H2O": "232.592",
    "Cu(NO3)2+6H2O": "295.644",
    "Bi(NO3)3+5H2O": "485.067",
    "AgNO3": "169.872",
    "NH4Cl": "53.489",
    "Na2S2O3+5H2O": "248.172",
    "TiO2": "79.865",
    "CuSO4+5H2O": "249.677",
    "FeCl3+6H2O": "270.285",
    "Zn(NO3)2+6H2O": "297.478",
    "HNO3": "63.012",
}


@pytest.mark.parametrize(("text", "mass"), MASSES.items())
def test_molar_masses_are_those_of_periodictable(text: str, mass: str) -> None:
    assert str(read_formula(text).molar_mass()) == mass
    theirs = periodictable.formula(text).mass
    assert float(read_formula(text).exact_mass()) == pytest.approx(theirs, abs=1e-6)


def test_every_weight_is_that_of_periodictable() -> None:
    weights = atomic_weights()
    assert len(weights) == 84
    for symbol, weight in weights.items():
        assert float(weight) == pytest.approx(getattr(periodictable, symbol).mass, abs=1e-9)


# Ir 192.217, Hf 178.486 and Yb 173.045 were new in the report of 2021 (Prohaska et al., abstract).
@pytest.mark.parametrize(("symbol", "weight"), [("Ir", "192.217"), ("Hf", "178.486")])
def test_the_weights_are_those_of_2021(symbol: str, weight: str) -> None:
    assert atomic_weights()[symbol] == Decimal(weight)


@pytest.mark.parametrize(
    "text", ["Fe(NO3)3.9H2O", "Fe(NO3)3·9H2O", "Fe(NO3)3*9H2O", "Fe(NO₃)₃ • 9 H₂O"]
)
def test_every_join_means_nine_waters(text: str) -> None:
    # Read with a decimal point, as 3.9 of the nitrate, it would weigh 315.676.
    assert str(read_formula(text)) == "Fe(NO3)3·9H2O"
    assert read_formula(text).molar_mass() == Decimal("403.992")


def test_a_leading_count_may_be_a_fraction() -> None:
    assert str(read_formula("Cu(NO3)2.2.5H2O")) == "Cu(NO3)2·2.5H2O"
    assert read_formula("CaSO4.0.5H2O").atoms()["H"] == 1


def test_brackets_stand_in_brackets() -> None:
    assert read_formula("K3[Fe(CN)6]").atoms() == {"K": 3, "Fe": 1, "C": 6, "N": 6}
    assert read_formula("(NH4)2Fe(SO4)2·6H2O").atoms()["O"] == 14


def test_water_is_left_out_of_the_dry_salt() -> None:
    assert str(read_formula("CuSO4·5H2O").without_water()) == "CuSO4"
    assert str(read_formula("H2O").without_water()) == "H2O"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "not a chemical formula"),
        ("Fe" * 41, "not a chemical formula"),
        ("fe", "begins with no element"),
        ("Fe(NO3", "brackets"),
        ("Fe(NO3]", "brackets"),
        ("Fe)NO3", "brackets"),
        ("()2", "brackets"),
        ("((((((H))))))", "brackets"),
        ("Fe(H.O)2", "brackets"),
        ("Fe0.95O", "begins with no element"),
        ("CuSO4,5H2O", "begins with no element"),
        ("H0", "begins with no element"),
        ("-Fe", "begins with no element"),
        ("Xx2", "no element with a standard atomic weight"),
        ("Tc", "no element with a standard atomic weight"),
        ("Fe++H2O", "another part"),
        ("Fe+", "another part"),
        ("+H2O", "another part"),
        ("9", "another part"),
    ],
)
def test_what_is_no_formula_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as why:
        read_formula(text)
    assert says in why.value.message
    assert why.value.remedy


_PARTS = st.builds(
    Part,
    st.sampled_from(["1", "2", "9", "2.5", "0.5"]),
    st.lists(st.sampled_from(["Cu", "O2", "(NO3)2", "[Fe(CN)6]"]), min_size=1, max_size=2).map(
        "".join
    ),
)


@given(st.lists(_PARTS, min_size=1, max_size=3).map(tuple).map(Formula))
def test_a_formula_written_reads_back_as_it_was(formula: Formula) -> None:
    assert read_formula(str(formula)) == formula


@given(st.text(max_size=30))
def test_any_text_is_a_formula_or_refused(text: str) -> None:
    try:
        read = read_formula(text)
    except Unreadable:
        return
    assert read_formula(str(read)) == read
