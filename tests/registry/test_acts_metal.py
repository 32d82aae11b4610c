"""Own alloys stated and lots taken in; heats charged from them and judged by them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import BronzebookError, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.heats import analyse_heat, charge_line, open_heat
from editions.registry.acts.metal import (
    limit_text,
    limits_stated,
    lot_named,
    read_limit,
    receive_lot,
    state_alloy,
)
from editions.rules.alloys.analysis import ELEMENTS
from editions.trade.metal import LimitLine, Stated
from editions.trade.quantities import Quantity
from tests.registry.builders import state


def _limits(*texts: str) -> Stated:
    return limits_stated(map(read_limit, texts))


INGOT = {"Cu": "94.60", "Si": "4.10", "Mn": "1.10", "Fe": "0.08"}


def test_an_own_alloy_is_stated_restated_and_judges_the_heats_of_its_name(
    registry: Registry,
) -> None:
    with registry.writing() as w:
        made = state_alloy(w, "Lane bronze", _limits("Cu=94..", "Si=3.8..4.4"))
        heat = open_heat(w, "26-7", alloy="LANE bronze")
        analyse_heat(w, heat.code, {"Cu": "95.0", "Si": "4.5"}, method="OES")
        again = state_alloy(w, "lane bronze", _limits("Cu=94.."))
    assert (made.code, again.code, again.kind) == ("A-0001", "A-0001", "alloy_restated")
    judged = state(registry, heat.code)
    assert (judged.alloy, judged.verdict, judged.edition) == ("Lane bronze", "outside", "version 1")
    assert judged.specification == "Lane bronze, the foundry's own limits, A-0001"
    with registry.writing() as w:
        analyse_heat(w, heat.code, {"Cu": "95.0", "Si": "4.5"}, method="OES")
    assert state(registry, heat.code).verdict == "within"
    assert len(state(registry, "A-0001").versions) == 2


def test_a_lot_is_known_by_name_or_code_wherever_it_is_charged(registry: Registry) -> None:
    with registry.writing() as w:
        made = receive_lot(w, "LOT 881", INGOT, mass=Quantity("250", "kg"))
        receive_lot(w, "silicon", {"Si": "98.5"}, source="addition")
        charge = [
            charge_line("ingot", "lot 881=60kg"),
            charge_line("ingot", "L-0001=1kg"),
            charge_line("addition", "Silicon=0.5kg"),
            charge_line("addition", "flux"),
        ]
        heat = open_heat(w, "26-7", alloy="C87300", charge=charge)
    lines = state(registry, heat.code).charge
    assert [(x.name, x.lot) for x in lines] == [
        ("LOT 881", "L-0001"), ("LOT 881", "L-0001"), ("silicon", "L-0002"), ("flux", None),
    ]  # fmt: skip
    with registry.reading() as reading:
        assert [x.code for x in reading.linked("charged from", made.code)] == [heat.code]
        assert lot_named(reading, "l-0001") == lot_named(reading, "LOT 881")
        assert lot_named(reading, "LOT 882") is None


def test_a_charge_beyond_a_lot_writes_nothing(registry: Registry) -> None:
    with registry.writing() as w:
        receive_lot(w, "LOT 881", INGOT, mass=Quantity("100", "lb"))
    with pytest.raises(Refused, match=r"has 45\.359 kg left"), registry.writing() as w:
        open_heat(w, "26-7", alloy="C87300", charge=[charge_line("ingot", "LOT 881=46kg")])
    with registry.reading() as reading:
        assert reading.named("heat 26-7") is None


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("Si=3.5..4.5", LimitLine(element="Si", low="3.5", high="4.5")),
        (" pb = .. .09 ", LimitLine(element="Pb", high="0.09")),
        ("CU=94..", LimitLine(element="Cu", low="94")),
        ("Ni+Co=..1.0", LimitLine(element="Ni", high="1.0", includes=("Co",))),
    ],
)
def test_a_limit_is_read_as_typed(text: str, line: LimitLine) -> None:
    assert read_limit(text) == line


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not a limit"),
        ("Si", "is not a limit"),
        ("Si=", "is not a limit"),
        ("Si=..", "is not a limit"),
        ("Si=4.5", "is not a limit"),
        ("Si=3,5..4,5", "is not a limit"),
        ("Si=-1..4", "is not a limit"),
        ("Si=3.5...4.5", "is not a limit"),
        ("Si=3.5..4.5..5", "is not a limit"),
        ("Si+=..1", "is not a limit"),
        ("Qu=..1", "is not an element"),
        ("Ni+Qu=..1", "is not an element"),
    ],
)
def test_what_is_no_limit_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_limit(text)
    assert says in caught.value.message


ENDS = st.decimals(0, 99, places=2).map(str)


@given(
    st.builds(
        LimitLine,
        element=st.sampled_from(sorted(ELEMENTS)),
        low=ENDS,
        high=st.none() | ENDS,
        includes=st.lists(st.sampled_from(sorted(ELEMENTS)), max_size=2).map(tuple),
    )
)
def test_a_limit_written_down_is_read_back_the_same(line: LimitLine) -> None:
    assert read_limit(limit_text(line)) == line


@given(st.text(max_size=30))
def test_whatever_is_typed_for_a_limit_is_read_or_refused_by_us(text: str) -> None:
    try:
        line = read_limit(text)
    except BronzebookError:
        return
    assert read_limit(limit_text(line)) == line
