"""Volumes by the litre and by the gallon."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.solutions.volumes import UsVolume, litres_as, read_volume
from editions.trade.quantities import Quantity

UNITS = st.sampled_from(["gal", "qt", "pt", "cup", "fl oz"])


# NIST Handbook 44, appendix C: 1 gal 3.785411784 l, 1 qt 0.946352946 l, 1 fl oz 29.5735295625 ml.
@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("1 gal", "3.785411784"),
        ("1 quart", "0.946352946"),
        ("2 pt", "0.946352946"),
        ("4 cups", "0.946352946"),
        ("1 fl. oz".replace(".", ""), "0.0295735295625"),
        ("1/2 gal", "1.892705892"),
        ("500ml", "0.5"),
        ("1.5 L", "1.5"),
    ],
)
def test_volumes_are_read_exactly(text: str, litres: str) -> None:
    assert read_volume(text).exact() == Fraction(litres)


@given(st.builds(UsVolume, st.sampled_from(["1", "0.25", "1/3", "128"]), UNITS))
def test_a_volume_written_reads_back_as_it_was(volume: UsVolume) -> None:
    assert read_volume(str(volume)) == volume


@given(UNITS, st.integers(1, 100))
def test_litres_come_back_in_the_unit_they_were_said_in(unit: str, number: int) -> None:
    volume = read_volume(f"{number} {unit}")
    assert litres_as(volume, volume.exact()) == (Fraction(number), unit)


def test_litres_come_back_in_millilitres() -> None:
    assert litres_as(Quantity("1.5", "l"), Fraction(1)) == (Fraction(1000), "ml")


@pytest.mark.parametrize(
    "text", ["0 ml", "0 gal", "1,5 l", "-1 gal", "1 kg", "1 bucket", "gal", ""]
)
def test_what_is_no_volume_is_refused(text: str) -> None:
    with pytest.raises(Unreadable) as why:
        read_volume(text)
    assert why.value.remedy
