"""A recipe over a surface, and what it costs."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Refused, Unreadable
from editions.rules.measures import read_area
from editions.rules.solutions.mixing import mix, read_part
from editions.rules.solutions.scaling import cost, read_layer_parts, read_spread, scale
from editions.trade.colour import Layer
from editions.trade.quantities import Quantity

GREEN = Layer(
    solution="copper nitrate + ammonium chloride", strength="40 g/l each", method="sprayed"
)
BROWN = Layer(solution="ferric nitrate", strength="5 % w/v", heat="350 °F")
SPREAD = Fraction(60)
AREA = read_area("0.8 m2")


def test_a_layer_takes_area_times_coats_times_spread() -> None:
    scaled = scale([GREEN, BROWN], AREA, SPREAD, coats=3)
    assert (str(scaled.area_m2), str(scaled.millilitres)) == ("0.8000", "144.0")
    green, brown = (layer.solution for layer in scaled.layers)
    assert green is not None
    assert brown is not None
    assert [str(portion.grams) for portion in green.portions] == ["5.760", "5.760"]
    assert [str(portion.grams) for portion in brown.portions] == ["7.200"]
    assert scaled.layers[1].heat == "350 °F"


def test_a_square_foot_is_a_tenth_of_a_square_metre_or_so() -> None:
    # 1 ft² is 0.09290304 m² exactly.
    assert read_spread("60 ml/m2") == 60
    assert read_spread("5.574 ml/ft2") == Fraction("5.574") / Fraction("0.09290304")
    assert read_spread("0.06 l per m²") == 60
    # A US fluid ounce is 29.5735295625 ml.
    assert read_spread("2 fl oz/m2") == 2 * Fraction("29.5735295625")


@given(st.integers(1, 50), st.integers(1, 10), st.integers(1, 200))
def test_twice_the_surface_takes_twice_as_much(tenths: int, coats: int, spread: int) -> None:
    one = scale([BROWN], read_area(f"{tenths / 10} m2"), Fraction(spread), coats)
    two = scale([BROWN], read_area(f"{tenths / 5} m2"), Fraction(spread), coats)
    assert float(two.millilitres) == pytest.approx(2 * float(one.millilitres), abs=0.16)


def test_a_layer_that_cannot_be_worked_out_says_why_and_the_rest_is() -> None:
    layers = [
        Layer(solution="something old", strength="5 % w/v"),
        Layer(solution="ferric nitrate", strength="weak"),
        Layer(solution="ferric nitrate"),
        Layer(solution="liver of sulfur", strength="0.1 mol/l"),
        BROWN,
    ]
    scaled = scale(layers, AREA, SPREAD)
    assert [bool(layer.solution) for layer in scaled.layers] == [False, False, False, False, True]
    whys = [layer.why_not for layer in scaled.layers]
    assert "not a substance" in whys[0]
    assert "not a strength" in whys[1]
    assert "does not say how strong" in whys[2]
    assert "no molar mass" in whys[3]


def test_layers_that_may_not_meet_are_kept_apart_and_one_layer_of_them_is_refused() -> None:
    scaled = scale([BROWN, Layer(solution="liver of sulfur", strength="2 % w/v")], AREA, SPREAD)
    assert "hydrogen sulfide" in scaled.remarks[0]
    both = Layer(solution="liver of sulfur + ferric nitrate", strength="2 % w/v each")
    with pytest.raises(Refused, match="hydrogen sulfide"):
        scale([both], AREA, SPREAD)


def test_a_layer_gives_one_strength_for_each_of_its_substances() -> None:
    layer = Layer(solution="copper nitrate & NH4Cl", strength="40 g/l + 20 g/l")
    assert [str(part.measure) for part in read_layer_parts(layer)] == ["40 g/l", "20 g/l"]
    with pytest.raises(Unreadable, match="how strong"):
        read_layer_parts(Layer(solution="copper nitrate + NH4Cl", strength="40 g/l"))


@pytest.mark.parametrize(("layers", "coats"), [([], 1), ([BROWN], 0)])
def test_nothing_is_not_scaled(layers: list[Layer], coats: int) -> None:
    with pytest.raises(Refused, match="nothing to scale"):
        scale(layers, AREA, SPREAD, coats)


def test_a_cost_is_reckoned_from_prices_by_weight_or_volume() -> None:
    solution = mix(
        [read_part("ferric nitrate=50 g"), read_part("nitric acid=2 % v/v"), read_part("NaCl=5 g")],
        Quantity("1", "l"),
    )
    found = cost([solution], {"ferric nitrate": "18.50/500 g", "nitric acid": "24 per l"})
    # 50 g of 37 a kilogram; 20 ml of 24 a litre.
    assert [(name, str(price)) for name, price in found.lines] == [
        ("ferric nitrate nonahydrate", "1.85"),
        ("nitric acid", "0.48"),
    ]
    assert (str(found.total), found.unpriced) == ("2.33", ("sodium chloride",))


@pytest.mark.parametrize("price", ["18", "18.50/0 g", "-1/kg", "1,5/kg", "x/kg", "18/lump"])
def test_what_is_no_price_is_refused(price: str) -> None:
    solution = mix([read_part("NaCl=5 g")], Quantity("1", "l"))
    with pytest.raises(Unreadable):
        cost([solution], {"NaCl": price})


@pytest.mark.parametrize("text", ["60", "60 ml", "60 g/m2", "0 bananas/m2", "60 ml/kg"])
def test_what_is_no_spread_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_spread(text)
