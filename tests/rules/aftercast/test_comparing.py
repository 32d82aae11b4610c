"""A comparison as people read it: pairs, kinds of reference, words, weight, marks, refusals."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import msgspec
import pytest

from editions.errors import Unreadable
from editions.rules.aftercast import Assumptions, Comparison, Measured, compare, reference_kind
from editions.rules.aftercast.beside import compare_marks, weigh
from editions.rules.aftercast.pairs import pair_stations
from editions.rules.explaining import rounded
from editions.trade.quantities import Quantity
from editions.trade.stations import read_station
from tests.rules.aftercast.bronzes import AFTERCAST, REGISTERED, compared, measured, scaled

ENLARGED = "scanned and enlarged"


def stations(*texts: str) -> Measured:
    return Measured(stations=tuple(read_station(text) for text in texts))


def words_of(told: Comparison) -> str:
    return " ".join((*told.says, *told.cannot_see, *told.sources, *told.formula, *told.remarks))


def test_an_aftercast_is_consistent_with_one_generation_and_the_words_can_be_quoted() -> None:
    told = compared(AFTERCAST)
    measured_as = "0.9749 of the reference (95 %: 0.9711 to 0.9787), 2.51 % smaller"
    assert told.says[:2] == (
        f"By 6 stations the bronze is {measured_as}.",
        "It is consistent with generation 1: as small as a bronze cast from a mold of a bronze.",
    )
    assert told.says[2] == "It is inconsistent with generations 0, 2, 3 and 4."
    assert "deliberate reduction" in told.cannot_see[0]
    assert told.cannot_see[-1].startswith("Size does not tell who cast it")


def test_beside_every_generation_0_stands_what_the_method_cannot_see() -> None:
    told = scaled(1.0)
    assert told.estimate.verdict == "consistent with generation 0"
    assert ENLARGED in told.cannot_see[0]


@pytest.mark.parametrize(
    ("factor", "fits", "says"),
    [
        (0.9506, (2,), "consistent with generation 2"),
        (0.9269, (3,), "consistent with generation 3"),
        (1.02, (), "larger than a legitimate cast"),
        (0.80, (), "smaller than generations explain"),
        (0.9890, (), "between two of them"),
    ],
)
def test_a_scale_tells_its_generations(factor: float, fits: tuple[int, ...], says: str) -> None:
    told = scaled(factor, "0.02")
    assert told.estimate.consistent_with == fits
    assert says in told.says[1]
    assert bool(fits) != any(ENLARGED in line for line in told.cannot_see)


def test_stations_too_few_and_unsure_are_inconclusive() -> None:
    told = compare(
        stations("tail=197mm±2mm", "beak=118mm±2mm"),
        stations("tail=200mm±2mm", "beak=120mm±2mm"),
        "documented cast",
    )
    assert told.estimate.consistent_with[:2] == (0, 1)
    assert told.estimate.verdict.startswith("inconclusive: consistent with generations 0")
    assert "too uncertain" in told.says[1]
    assert any("2 stations are few" in line for line in told.cannot_see)
    assert any(ENLARGED in line for line in told.cannot_see)


def test_no_text_says_authentic_or_genuine_or_fake() -> None:
    for told in (compared(AFTERCAST), scaled(1.0), scaled(1.02), scaled(0.8)):
        for word in ("authentic", "genuine", "fake", "forg"):
            assert word not in words_of(told).casefold()


def test_an_outlying_station_is_named_and_the_rest_is_told_beside_it() -> None:
    bent = ("306", *REGISTERED[1:])
    told = compared(bent)
    assert told.outlying == ("tail",)
    assert [one.outlying for one in told.stations] == [True] + [False] * 5
    assert told.without_outlying is not None
    assert told.without_outlying.consistent_with == (0,)
    assert told.estimate.stations == 6
    assert "a bent limb" in told.says[-1]
    assert told.says[-1].endswith("Without it the bronze is consistent with generation 0.")


def test_stations_that_disagree_widen_the_interval_and_it_is_said() -> None:
    told = compared(("297", "212", "150.5", "85.5", "60.4", "45.4"))
    assert told.estimate.birge > 1
    assert told.estimate.chance < 0.05
    assert any("disagree more than their uncertainties allow" in line for line in told.says)
    quiet = compared(AFTERCAST)
    assert quiet.estimate.birge < 1
    assert not any("disagree" in line for line in quiet.says)


# --- the reference ---


def test_a_master_bronze_is_compared_like_with_like() -> None:
    # A legitimate cast of a master bronze is as small as an aftercast of a documented cast.
    assert compared(AFTERCAST, "master bronze").estimate.consistent_with == (0,)
    twice = [f"{float(length) * 0.975:.2f}" for length in AFTERCAST]
    assert compared(twice, "Master-Bronze").estimate.consistent_with == (1,)
    as_large = compared(REGISTERED, "master bronze")
    assert as_large.estimate.consistent_with == ()
    assert "larger than a legitimate cast" in as_large.says[1]


def test_a_model_is_a_weak_reference_and_says_so() -> None:
    told = compared(AFTERCAST, "original model")
    assert 0 in told.estimate.consistent_with
    assert told.reference.name == "model"
    assert any("weak reference" in line for line in told.cannot_see)
    assert any("1.5 to 2.7 %" in line for line in told.sources)


@pytest.mark.parametrize("kind", ["plaster", "original", "scan", "PRINT", "enlargement"])
def test_every_stage_of_the_chain_is_a_model(kind: str) -> None:
    assert reference_kind(kind).name == "model"


@pytest.mark.parametrize("kind", ["photograph", "undocumented cast", "", "wax"])
def test_a_reference_of_another_kind_is_refused(kind: str) -> None:
    with pytest.raises(Unreadable, match="no reference that a bronze can be compared with"):
        compared(AFTERCAST, kind)


# --- contraction and spreads ---


def test_the_default_contraction_is_explained_and_another_says_it_was_set() -> None:
    assert "JAIC 23(1), 1983" in compared(AFTERCAST).sources[0]
    assert "not published" in compared(AFTERCAST).sources[1]
    own = Assumptions(contraction=Decimal("1.3"), spread=Decimal("0.2"))
    told = compared(AFTERCAST, assumed=own)
    assert told.sources[0] == "Contraction of a generation, 1.3 %: set by hand."
    assert "generations 0.2 %" in told.sources[1]
    assert told.estimate.consistent_with == (2,)


@pytest.mark.parametrize(
    ("figures", "says"),
    [
        ({"contraction": Decimal(0)}, "no generation can be told"),
        ({"contraction": Decimal(16)}, "outside 0 to 15"),
        ({"spread": Decimal(-1)}, "outside 0 to 15"),
        ({"most_generations": 0}, "from 1 to 12"),
        ({"most_generations": 13}, "from 1 to 12"),
    ],
)
def test_assumptions_that_cannot_hold_are_refused(figures: dict[str, object], says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        compared(AFTERCAST, assumed=Assumptions(**figures))  # type: ignore[arg-type]


def test_more_generations_can_be_looked_for() -> None:
    told = compared(
        [f"{float(length) * 0.975**6:.2f}" for length in REGISTERED],
        assumed=Assumptions(most_generations=8, spread=Decimal("0.1"), cast_spread=Decimal("0.1")),
    )
    assert told.estimate.verdict == "consistent with generation 6"


# --- pairs ---


def test_a_length_with_the_base_is_never_set_against_one_without() -> None:
    bronze = stations("height=440mm/with", "tail=293mm", "beak=205mm").stations
    reference = stations("height=450mm/without", "tail=300mm", "beak=210mm", "foot=152mm").stations
    pairs, alone = pair_stations(bronze, reference, Quantity("0.2", "mm"))
    assert [pair.name for pair in pairs] == ["tail", "beak"]
    assert alone == (
        "height: with the base on the bronze, without the base on the reference",
        "foot: not measured on the bronze",
    )


def test_a_station_of_the_bronze_that_the_reference_lacks_is_named() -> None:
    _, alone = pair_stations(
        stations("wing=9mm/with", "tail=293mm", "beak=205mm").stations,
        stations("tail=300mm", "beak=210mm").stations,
        Quantity("0.2", "mm"),
    )
    assert alone == ("wing, with the base: not measured on the reference",)


def test_the_last_measurement_of_a_station_counts() -> None:
    pairs, _ = pair_stations(
        stations("tail=1mm", "tail=293mm", "beak=205mm").stations,
        stations("tail=300mm", "beak=210mm").stations,
        Quantity("0.2", "mm"),
    )
    assert pairs[0].measured == Quantity("293", "mm")


def test_an_overall_height_is_remarked() -> None:
    told = compare(
        stations("overall height=440mm±1mm", "tail=293mm±1mm"),
        stations("overall height=450mm±1mm", "tail=300mm±1mm"),
        "documented cast",
    )
    assert told.remarks == ("overall height is an overall height: unreliable (JAIC; Getty).",)


@pytest.mark.parametrize(
    ("bronze", "reference", "says"),
    [
        (["tail=293mm±1mm"], ["tail=300mm±1mm"], "One station cannot tell"),
        (["tail=293mm±1mm"], ["beak=210mm±1mm"], "No station was measured alike"),
        ([], ["beak=210mm±1mm"], "Nothing was measured on the bronze"),
        (["tail=293mm±1mm"], [], "Nothing was measured on the reference"),
        (["tail=293mm±0mm", "eye=9mm±1mm"], ["tail=300mm±1mm", "eye=9mm±1mm"], "is zero on the b"),
        (["tail=293mm±1mm", "eye=9mm±1mm"], ["tail=300mm±0mm", "eye=9mm±1mm"], "is zero on the r"),
        (["tail=293mm", "eye=9mm±1mm"], ["tail=300mm±1mm", "eye=9mm±1mm"], "how sure it is on the"),
        (["tail=0mm±1mm", "eye=9mm±1mm"], ["tail=300mm±1mm", "eye=9mm±1mm"], "length of zero on"),
        (["tail=2mm±3mm", "eye=9mm±1mm"], ["tail=3mm±1mm", "eye=9mm±1mm"], "less sure than it is"),
        (["tail=293in±1mm", "eye=9mm±1mm"], ["tail=300mm±1mm", "eye=9mm±1mm"], "293 in against"),
    ],
)
def test_stations_that_cannot_be_compared_are_refused(
    bronze: list[str], reference: list[str], says: str
) -> None:
    with pytest.raises(Unreadable, match=says):
        compare(stations(*bronze), stations(*reference), "documented cast")


def test_a_decimal_comma_is_refused_where_the_length_is_read() -> None:
    with pytest.raises(Unreadable, match="comma"):
        stations("tail=292,6mm")


# --- weight and marks ---


# JAIC 23(1), 1983, gives 2.5 to 3.18 %; the factors are computed from them.
@pytest.mark.parametrize(
    ("smaller", "equal", "shrunk"), [("2.5", "0.951", "0.927"), ("3.18", "0.937", "0.908")]
)
def test_a_recast_at_equal_wall_weighs_by_the_square(smaller: str, equal: str, shrunk: str) -> None:
    scale = 1 - Fraction(smaller) / 100
    told = weigh(Quantity("9.5", "kg"), Quantity("10", "kg"), float(scale))
    assert (str(told.equal_wall), str(told.wall_shrunk)) == (equal, shrunk)
    # The wall that .95 of the mass implies, by hand.
    assert told.wall_ratio == rounded(Fraction("0.95") / scale**2, 3)


@pytest.mark.parametrize(
    ("mass", "says"), [("9.5", "neither supports nor opposes"), ("14", "core left in")]
)
def test_a_weight_is_a_weak_line(mass: str, says: str) -> None:
    assert says in weigh(Quantity(mass, "kg"), Quantity("10", "kg"), 0.975).says


def test_a_weight_of_nothing_is_refused() -> None:
    with pytest.raises(Unreadable, match="mass of zero"):
        weigh(Quantity("0", "kg"), Quantity("10", "kg"), 0.975)


def test_marks_on_both_must_be_explained_and_others_tell_little() -> None:
    told = compare_marks(["I.V.  3/8", "KILN LANE"], ["i.v. 3/8", "1994"])
    assert told.both == ("I.V.  3/8",)
    assert (told.bronze_alone, told.reference_alone) == (("KILN LANE",), ("1994",))
    assert "must be explained" in told.says
    assert "tell little" in compare_marks(["a"], ["b"]).says


def test_weight_and_marks_stand_beside_the_stations_and_change_nothing_of_them() -> None:
    plain = compared(AFTERCAST)
    assert (plain.weight, plain.marks) == (None, None)
    more = msgspec.structs.replace(measured(AFTERCAST), mass=Quantity("9.5", "kg"), marks=("3/8",))
    like = msgspec.structs.replace(measured(REGISTERED), mass=Quantity("10", "kg"), marks=("3/8",))
    told = compare(more, like, "documented cast")
    assert told.estimate == plain.estimate
    assert told.weight is not None
    assert told.marks is not None


def test_the_answer_is_plain_values_with_formula_and_sources() -> None:
    plain = msgspec.to_builtins(compared(AFTERCAST))
    assert plain["estimate"]["consistent_with"] == (1,)
    assert plain["stations"][0]["reference"] == {"value": "300", "unit": "mm"}
    assert plain["assumptions"]["contraction"] == "2.5"
    assert any("1.96" in line for line in plain["formula"])
