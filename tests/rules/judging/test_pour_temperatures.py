"""Temperatures of a pour: remarked on where unusual, refused where no bronze has them."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import Unreadable
from editions.trade.book import EntryCorrected
from editions.trade.heats import HeatCharged
from editions.trade.quantities import Quantity
from tests.rules.judging.shop import HEAT, Shop


# Silicon bronze C87300: 2000–2150 °F light, 1850–1950 heavy (CDA); shell preheat 1100–1500 °F
# (published foundry pages); 85-5-5-5 from memory, medium confidence.
@pytest.mark.parametrize(
    ("alloy", "metal", "shell", "remarked"),
    [
        ("C87300", "1850 °F", "1100 °F", False),
        ("C87300", "2150 °F", "1500 °F", False),
        ("C87300", "1093 °C", None, False),
        ("C87300", "1849 °F", None, True),
        ("C87300", "2151 °F", None, True),
        ("C87300", None, "1099 °F", True),
        ("C87300", None, "816 °C", True),
        ("C83600", "2350 °F", None, False),
        ("C83600", "1949 °F", None, True),
        ("C87600", "1800 °F", None, False),
        ("UNS C87600", "1799 °F", None, True),
        ("gunmetal", "500 °F", None, False),
    ],
)
def test_temperatures_outside_published_ranges_are_remarked_on(
    shop: Shop, alloy: str, metal: str | None, shell: str | None, remarked: bool
) -> None:
    shop.ready("P-0001")
    shop.enter("H-0002", HeatCharged(number="26-002", alloy=alloy))
    facts = replace(shop.pouring("P-0001"), metal=degrees(metal), shell=degrees(shell))
    remarks = shop.enter("H-0002", facts)
    assert bool(remarks) is remarked
    if remarked:
        (remark,) = remarks
        assert "is outside" in remark


# Copper boils at 2562 °C (4644 °F), tin melts at 231.93 °C (449 °F): CRC Handbook of Chemistry and
# Physics. Silicon bronze in between is remarked on, however unusual.
@pytest.mark.parametrize(
    ("metal", "shell", "says"),
    [
        ("20000 °F", None, "20000 °F is not a temperature of molten bronze: copper boils at 2562"),
        ("2562 °C", None, "2562 °C is not a temperature of molten bronze"),
        ("4644 °F", None, "4644 °F is not a temperature of molten bronze"),
        ("231 °C", None, "even tin is solid below 231.93 °C, 449.* °F"),
        ("200 °F", None, "200 °F is not a temperature of molten bronze"),
        (None, "13000 °F", "13000 °F is not a temperature of a shell"),
    ],
)
def test_a_temperature_that_no_pour_has_is_refused(
    shop: Shop, metal: str | None, shell: str | None, says: str
) -> None:
    shop.ready("P-0001")
    facts = replace(shop.pouring("P-0001"), metal=degrees(metal), shell=degrees(shell))
    assert "unit" in shop.refuses(HEAT, facts, says).remedy


@pytest.mark.parametrize("metal", ["2561 °C", "4643 °F", "232 °C", "450 °F", "2000 °C"])
def test_a_temperature_that_is_merely_unusual_is_remarked_on(shop: Shop, metal: str) -> None:
    shop.ready("P-0001")
    (remark,) = shop.enter(HEAT, replace(shop.pouring("P-0001"), metal=degrees(metal)))
    assert remark.startswith(f"C87300 at {metal} is outside 1850 to 2150 °F")


def degrees(text: str | None) -> Quantity | None:
    return Quantity(*text.split(" ")) if text else None


@pytest.mark.parametrize("field", ["metal", "shell"])
def test_a_temperature_is_a_temperature(shop: Shop, field: str) -> None:
    shop.ready("P-0001")
    facts = replace(shop.pouring("P-0001"), **{field: Quantity("3", "kg")})
    shop.refuses(HEAT, facts, f"temperature of the {field}", error=Unreadable)


def correcting(**changes: object) -> EntryCorrected:
    return EntryCorrected(
        entry="a" * 64, entry_kind="heat_poured", changes=changes, touches=(HEAT, "P-0001")
    )


@pytest.mark.parametrize("field", ["metal", "shell"])
def test_no_correction_makes_a_pour_impossible(shop: Shop, field: str) -> None:
    shop.ready("P-0001")
    shop.pour("P-0001")
    wrong = correcting(**{field: {"value": "20000", "unit": "°F"}})
    shop.refuses(HEAT, wrong, "20000 °F is not a temperature of")
    right = correcting(**{field: {"value": "2000", "unit": "°F"}})
    assert shop.enter(HEAT, right) == shop.enter(HEAT, correcting(**{field: None})) == ()
