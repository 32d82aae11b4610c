"""What lies on the floor, read from a file; stocks that a charge may not exceed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from editions.errors import Refused, Unreadable
from editions.rules.charge.stock import in_stock, kilograms, read_floor
from editions.trade.quantities import Quantity
from tests.rules.charge.figures import FLOOR, part

TEXT = """lot,kind,mass,price,Cu,Si,Mn,Fe,Zn,Pb
LOT 881,ingot,250 kg,9.20,94.60,4.10,1.10,.08,.05,.01
26-014,Returns,80 kg,0,94.90,3.70,.95,.15,.10,.03
copper,addition,50 kg,8.10,99.9,,,,,
silicon,addition,5 kg,4.50,,98.5,,.5,,
manganese,additions,5 kg,4.50,,,99.0,.5,,
"""


def test_a_file_of_the_floor_gives_its_lots() -> None:
    read = read_floor(TEXT)
    assert [(x.name, x.source, x.stock, x.price) for x in read] == [
        (x.name, x.source, x.stock, x.price) for x in FLOOR
    ]
    assert read[3].figures == {"Si": "98.5", "Fe": "0.5"}


def test_kind_stock_and_price_may_be_left_out() -> None:
    (read,) = read_floor("lot,Cu\nx,99.9\n")
    assert (read.source, read.stock, read.price) == ("ingot", None, None)


def test_pounds_are_read_as_they_are() -> None:
    # The pound is 0.45359237 kg (international agreement, 1959).
    (read,) = read_floor("lot,mass,Cu\nx,100 lb,99.9\n")
    assert read.stock == Decimal("45.359237")
    assert kilograms(Quantity("1", "lb")) == Decimal("0.453592")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("x,scrap,1 kg,1,99", "“x” is of kind “scrap”"),
        ("x,ingot,1,1,99", "x: “1” has no unit"),
        ("x,ingot,-1 kg,1,99", "x: “-1” is not a number of kg"),
        ("x,ingot,1 mm,1,99", "x: 1 mm is a length"),
        ("x,ingot,1 kg,-1,99", "x has the price “-1”"),
        ("x,ingot,1 kg,free,99", "x has the price “free”"),
        ("x,ingot,1 kg,1,199", "x: Cu has “199”"),
    ],
)
def test_a_lot_that_cannot_be_meant_is_refused(row: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_floor(f"lot,kind,mass,price,Cu\n{row}\n")
    assert says in caught.value.message
    assert caught.value.remedy


def test_a_lot_used_twice_is_counted_together_against_its_stock() -> None:
    half = part("silicon", "2.5", "Si 98.5")
    in_stock([half, half], FLOOR)
    with pytest.raises(Refused, match=r"silicon has 5 kg in stock; the charge takes 5\.001 kg"):
        in_stock([half, part("silicon", "2.501", "Si 98.5")], FLOOR)


def test_what_has_no_stock_is_not_bounded() -> None:
    in_stock([part("tin", "500", "Sn 99.9")], FLOOR)
