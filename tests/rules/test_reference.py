"""Reference measurements proposed from the first cast."""

from __future__ import annotations

import pytest

from editions.errors import Unreadable
from editions.rules.reference import is_overall, propose_reference
from editions.trade.statement import Station
from editions.trade.stations import read_station


def stations(*texts: str) -> list[Station]:
    return [read_station(text) for text in texts]


MODEL = stations("tail=300mm", "beak=210 mm", "foot=152mm", "knee=84.5mm", "eye=61.2mm")
# Each 2.1 % smaller: the middle of the whole contraction published, 1.5 to 2.7 %.
CAST = stations(
    "tail=293.7mm±0.2mm", "Beak=205.6mm±0.2mm", "foot=148.8mm±0.2mm", "knee=82.7mm±0.2mm",
    "eye=59.9mm±0.2mm",
)  # fmt: skip


def test_a_first_cast_as_small_as_bronze_is_proposed_without_a_remark() -> None:
    proposed = propose_reference(CAST, MODEL)
    assert [line.says for line in proposed.lines] == ["as published"] * 5
    assert proposed.remarks == ()
    # The median of 2.10, 2.10, 2.11, 2.13 and 2.12 per cent, by hand.
    assert str(proposed.contraction_percent) == "2.11"
    assert str(proposed.lines[1].model) == "210 mm"


def test_a_figure_misread_is_doubted_and_not_thrown_away() -> None:
    proposed = propose_reference([*CAST[1:], *stations("tail=239.7mm±0.2mm")], MODEL)
    assert [line.name for line in proposed.lines if line.doubtful] == ["tail"]
    assert "measure again" in proposed.lines[-1].says
    # One misread figure does not move the median.
    assert str(proposed.contraction_percent) == "2.12"


def test_doubt_allows_for_how_sure_the_measurements_are() -> None:
    model = stations("eye=61.2mm±0.5mm")
    assert not propose_reference(stations("eye=59mm±0.5mm"), model).lines[0].doubtful
    assert propose_reference(stations("eye=59mm±0.1mm"), MODEL).lines[0].doubtful


def test_a_base_on_one_and_off_the_other_is_not_the_same_station() -> None:
    proposed = propose_reference(
        stations("height=440mm±1mm/with"), stations("height=450mm/without")
    )
    assert proposed.lines[0].model is None
    assert proposed.lines[0].says == "the model was not measured there"
    assert proposed.contraction_percent is None


def test_the_last_measurement_of_the_model_counts() -> None:
    proposed = propose_reference(stations("tail=293.7mm"), stations("tail=3000mm", "tail=300mm"))
    assert str(proposed.lines[0].model) == "300 mm"


def test_what_is_still_to_be_mended_is_said() -> None:
    remarks = propose_reference(stations("overall height=440mm", "tail=293.7mm±0.2mm")).remarks
    assert "2 stations" in remarks[0]
    assert "No uncertainty is said of overall height" in remarks[1]
    assert "overall height is an overall height" in remarks[2]
    assert len(remarks) == 3


@pytest.mark.parametrize(
    ("name", "overall"),
    [
        ("height", True),
        ("Overall Height", True),
        ("total height", True),
        ("height of the knee", False),
        ("tail", False),
    ],
)
def test_an_overall_height_is_known_by_its_name(name: str, overall: bool) -> None:
    assert is_overall(name) is overall


@pytest.mark.parametrize(
    ("cast", "says"),
    [
        ([], "no stations"),
        (["tail=0mm"], "length of zero"),
        (["tail=300mm", "TAIL=301mm"], "named twice"),
    ],
)
def test_a_cast_that_offers_no_reference_is_refused(cast: list[str], says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        propose_reference(stations(*cast), MODEL)
