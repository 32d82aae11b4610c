"""CIEDE2000 against its published pairs; drift of a colour from cast to cast."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Refused, Unreadable
from editions.rules.colour_difference import Lab, ciede2000, drift, read_cast, read_lab

# Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, table 1: 34 pairs, each with its
# CIEDE2000 difference to four places.
PAIRS = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
ROWS = [tuple(map(float, line.split())) for line in PAIRS.split("\n") if line]
LABS = st.builds(Lab, st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


def test_all_34_published_pairs_are_here() -> None:
    assert len(ROWS) == 34


@pytest.mark.parametrize("row", ROWS, ids=range(1, 35))
def test_each_published_pair_differs_as_published_and_both_ways(row: tuple[float, ...]) -> None:
    one, other, published = Lab(*row[:3]), Lab(*row[3:6]), row[6]
    assert ciede2000(one, other) == pytest.approx(published, abs=5.1e-5)
    assert ciede2000(other, one) == pytest.approx(published, abs=5.1e-5)


@given(LABS)
def test_a_colour_does_not_differ_from_itself(lab: Lab) -> None:
    assert ciede2000(lab, lab) == 0


@given(LABS, LABS)
def test_a_difference_is_the_same_both_ways_and_never_below_nothing(one: Lab, other: Lab) -> None:
    # Hues a whole half turn apart have no mean, and the formula jumps there.
    assert ciede2000(one, other) >= 0
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), rel=0.05, abs=0.05)


def test_white_and_black_differ_by_a_hundred() -> None:
    # Both grey: SL at the mean lightness of 50 is 1, so the difference is that of lightness.
    assert ciede2000(Lab(100, 0, 0), Lab(0, 0, 0)) == pytest.approx(100)


def test_casts_are_compared_with_the_first_by_the_mean_of_their_readings() -> None:
    cast = [read_cast(t) for t in ("1/8=42,8,12", "1/8=44,8,12", "2/8=43,8,12", "3/8=35,9,12")]
    found = drift(cast)
    assert found.reference == "1/8"
    assert [(one.cast, one.readings) for one in found.casts] == [("1/8", 2), ("2/8", 1), ("3/8", 1)]
    assert [str(one.difference) for one in found.casts[:2]] == ["0.00", "0.00"]
    assert [one.says for one in found.casts[:2]] == ["reference", "not seen"]
    assert found.casts[2].says == "another colour: darker, redder"
    assert found.between == ("2/8", "3/8")
    assert found.widest == found.casts[2].difference


def test_the_widest_difference_need_not_be_from_the_first() -> None:
    found = drift([("a", Lab(50, 0, 0)), ("b", Lab(45, 0, 0)), ("c", Lab(55, 0, 0))])
    assert found.between == ("b", "c")
    assert found.casts[1].says.endswith("darker")
    assert found.casts[2].says.endswith("lighter")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("42,8", "is not L*, a*, b*"),
        ("42,1 8,3 12,5", "is not L*, a*, b*"),
        ("brown", "is not L*, a*, b*"),
        ("142,8,12", "no colour of a surface"),
        ("-1,8,12", "no colour of a surface"),
        ("42,8,300", "no colour of a surface"),
        ("42,8,nan", "is not L*, a*, b*"),
    ],
)
def test_what_is_no_measured_colour_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says.replace("*", r"\*")):
        read_lab(text)


@pytest.mark.parametrize("text", ["42,8,12", "=42,8,12", "1/8"])
def test_a_cast_without_a_name_or_values_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_cast(text)


def test_one_cast_alone_does_not_drift() -> None:
    with pytest.raises(Refused, match="One cast"):
        drift([("1/8", Lab(50, 0, 0)), ("1/8", Lab(51, 0, 0))])
