"""Measured stations as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.stations import read_station, station_text

LENGTHS = st.builds(
    Quantity,
    st.one_of(
        st.integers(1, 99999).map(str),
        st.tuples(st.integers(1, 999), st.integers(1, 999)).map(lambda p: f"{p[0]}.{p[1]}"),
        st.tuples(st.integers(1, 30), st.integers(1, 7)).map(lambda p: f"{p[0]} {p[1]}/8"),
        st.integers(1, 15).map(lambda top: f"{top}/16"),
    ),
    st.sampled_from(["mm", "cm", "m", "in", "ft"]),
)
NAMES = st.text("abcdefghijk éß-/", min_size=1, max_size=20).filter(
    lambda name: name == name.strip()
)
STATIONS = st.builds(
    Station,
    name=NAMES.filter(bool),
    length=LENGTHS,
    base=st.sampled_from(["with", "without", ""]),
    uncertainty=st.none() | LENGTHS,
)


@given(STATIONS)
def test_a_station_written_is_read_back_the_same(station: Station) -> None:
    assert read_station(station_text(station)) == station


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("height=450mm", "height=450 mm"),
        ("height = 450 mm / with", "height=450 mm/with"),
        ("Height=17 3/4in/Without Base", "Height=17 3/4 in/without"),
        ("span=3/4in", "span=3/4 in"),
        ("span=450mm+-2mm/with", "span=450 mm ± 2 mm/with"),
        ("span=450mm +/- 1/8in", "span=450 mm ± 1/8 in"),
        ("left wing tip=20cm±1mm", "left wing tip=20 cm ± 1 mm"),
        ("head/neck=20cm/with base", "head/neck=20 cm/with"),
    ],
)
def test_a_station_is_read_as_shops_write_it(typed: str, written: str) -> None:
    assert station_text(read_station(typed)) == written


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "not a measured station"),
        ("450mm", "not a measured station"),
        ("=450mm", "not a measured station"),
        (" =450mm", "not a measured station"),
        ("height=", "does not begin with a number"),
        ("height=tall", "does not begin with a number"),
        ("height=450", "has no unit"),
        ("height=4kg", "not a length"),
        ("height=45,5mm", "comma"),
        ("height=450mm/base", "whether the base was on"),
        ("height=450mm±", "does not begin with a number"),
        ("height=450mm±2kg", "not a length"),
        ("height=450mm±2mm±3mm", "unit"),
        ("hei\u202eght=450mm", "reading direction"),
        ("h" * 61 + "=450mm", "61 characters"),
    ],
)
def test_what_is_no_station_is_refused_in_words(typed: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read_station(typed)


@given(st.text(max_size=40))
def test_any_text_is_a_station_or_unreadable(text: str) -> None:
    try:
        station = read_station(text)
    except Unreadable:
        return
    assert read_station(station_text(station)) == station
