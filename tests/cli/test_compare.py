"""``bronzebook compare``: a bronze against a reference, typed, from a file, or from the book."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from editions.registry import Registry
from editions.registry.acts.marks import record_mark
from editions.registry.acts.molds import make_mold
from editions.registry.acts.pieces import measure_piece, register_cast
from editions.registry.acts.works import measure_model
from editions.trade.quantities import Quantity
from editions.trade.stations import read_station
from tests.cli.conftest import Call, Shop, Shown
from tests.registry import builders

REGISTERED = {"tail": "300", "beak": "210", "foot": "152", "knee": "84.5", "eye": "61.2"}
AFTERCAST = {"tail": "292.6", "beak": "204.5", "foot": "148.4", "knee": "82.3", "eye": "59.7"}
SURE = ("--uncertainty", "0.15mm")
CAST = ("--kind", "documented-cast")
PAIRS = tuple(f"{name}={REGISTERED[name]}mm:{AFTERCAST[name]}mm" for name in REGISTERED)


def measure(
    registry: Registry, piece: str, lengths: dict[str, str], mass: str | None = None
) -> None:
    with registry.writing() as w:
        stations = [read_station(f"{name}={length}mm") for name, length in lengths.items()]
        measure_piece(w, piece, stations, mass=Quantity(mass, "kg") if mass else None)


@pytest.fixture
def measured(registry: Registry, shop: Shop) -> Shop:
    """The first poured piece measured as registered, the second as an aftercast would be."""
    measure(registry, shop.poured, REGISTERED, "10")
    measure(registry, shop.numbered, AFTERCAST, "9.5")
    return shop


def test_typed_pairs_are_compared_without_a_book(call: Call) -> None:
    done = call("compare", *PAIRS, *SURE, *CAST)
    assert done.exit_code == 0
    assert "stations\ttail\t\t300 mm\t292.6 mm\t0.9753 ± 0.0030\t" in done.stdout
    assert "generations\t1\t" in done.stdout
    assert "finding\tIt is consistent with generation 1: as small as" in done.stdout
    assert "cannot tell\tSize does not tell who cast it" in done.stdout


def test_json_carries_the_whole_comparison(call: Call) -> None:
    told = json.loads(call("compare", *PAIRS, *SURE, *CAST, "--json").stdout)
    assert told["of"] == "the bronze"
    assert told["estimate"]["consistent_with"] == [1]
    assert told["reference"]["name"] == "documented cast"
    assert list(told)[-2:] == ["formula", "sources"]


def test_formula_and_sources_are_explained_when_asked(call: Call) -> None:
    done = call("compare", *PAIRS, *SURE, *CAST, "--explain")
    assert "formula\tk is consistent where |z| < 1.96" in done.stdout
    assert "JAIC 23(1), 1983" in done.stdout


def test_the_contraction_can_be_set(call: Call) -> None:
    done = call(
        "compare", *PAIRS, *SURE, *CAST, "--contraction", "1.3%", "--spread", "0.2",
        "--cast-spread", "0.2", "--station-spread", "0.2", "--explain",
    )  # fmt: skip
    assert "consistent with generation 2" in done.stdout
    assert "1.3 %: set by hand" in done.stdout


def test_a_chain_through_a_master_bronze_is_compared_like_with_like(call: Call) -> None:
    done = call("compare", *PAIRS, *SURE, "--kind", "master bronze")
    assert "consistent with generation 0" in done.stdout
    assert "scanned and enlarged" in done.stdout


def test_weight_and_marks_stand_beside_as_weak_lines(call: Call) -> None:
    done = call(
        "compare", *PAIRS, *SURE, *CAST, "--mass", "9.5kg", "--reference-mass", "10kg",
        "--mark", "3/8", "--reference-mark", "3/8",
    )  # fmt: skip
    assert (
        "weight (weak)\t9.5 kg against 10 kg, 0.950; at this scale 0.951 at equal wall"
        in done.stdout
    )
    assert "marks (weak)\ton both 3/8: " in done.stdout


def test_thirty_stations_come_from_a_file(call: Call, tmp_path: Path) -> None:
    file = tmp_path / "stations.csv"
    rows = [f"s{n};{100 + n} mm;{(100 + n) * 0.975:.2f} mm;0.2 mm;without" for n in range(30)]
    file.write_text("\n".join(["Station;Reference;Bronze;Uncertainty;Base", *rows]))
    told = json.loads(call("compare", "--file", str(file), *CAST, "--json").stdout)
    assert told["estimate"]["stations"] == 30
    assert told["stations"][0]["base"] == "without"
    assert told["estimate"]["consistent_with"] == [1]


def test_a_fault_in_a_file_names_its_row(call: Call, tmp_path: Path) -> None:
    file = tmp_path / "stations.csv"
    file.write_text('station,reference,bronze\ntail,300 mm,292.6 mm\nbeak,210 mm,"204,5 mm"\n')
    done = call("compare", "--file", str(file), *SURE, *CAST)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "Row 3: " in done.stderr
    assert "comma" in done.stderr


# --- from the book ---


def test_a_piece_is_compared_with_the_first_measured_cast_of_its_run(
    call: Call, measured: Shop
) -> None:
    done = call("compare", "T-0102", *SURE)
    assert done.exit_code == 0
    assert (
        f"compared\t{measured.numbered} (T-0102) against {measured.poured} (T-0101)" in done.stdout
    )
    assert "consistent with generation 1" in done.stdout
    assert "weight (weak)\t9.5 kg against 10 kg" in done.stdout


def test_a_bronze_at_hand_is_compared_with_a_cast_of_the_book(
    call: Call, registry: Registry, measured: Shop
) -> None:
    with registry.writing() as w:
        record_mark(w, measured.poured, "3/8")
    words = [f"{name}={length}mm" for name, length in AFTERCAST.items()]
    done = call("compare", *words, "--against", "T-0101", *SURE, "--mark", "3/8")
    assert "compared\tthe bronze against P-0001 (T-0101)" in done.stdout
    assert "marks (weak)\ton both 3/8" in done.stdout


def test_without_a_measured_cast_the_model_serves_and_says_that_it_is_weak(
    call: Call, registry: Registry, shop: Shop
) -> None:
    model = str(builders.state(registry, shop.run).declared.model)
    measure(registry, shop.poured, AFTERCAST)
    with registry.writing() as w:
        measure_model(w, model, [read_station(f"{n}={v}mm") for n, v in REGISTERED.items()])
    done = call("compare", shop.poured, *SURE)
    assert f"against {model}, original" in done.stdout
    assert "consistent with generation 0" in done.stdout
    assert "a model is a weak reference" in done.stdout


def test_an_earlier_cast_registered_from_the_object_finds_the_run_of_its_work(
    call: Call, registry: Registry, measured: Shop
) -> None:
    with registry.writing() as w:
        found = register_cast(w, measured.work).code
    measure(registry, found, AFTERCAST)
    done = call("compare", found, *SURE)
    assert f"compared\t{found} against {measured.poured} (T-0101)" in done.stdout
    # As a reference it has no history here: whoever knows it must say what it is.
    against = call("compare", "T-0101", "--against", found, *SURE)
    assert (against.exit_code, "the book does not tell" in against.stderr) == (2, True)
    assert call("compare", "T-0101", "--against", found, *SURE, *CAST).exit_code == 0


def test_what_the_book_knows_of_both_chains_is_remarked(
    call: Call, registry: Registry, measured: Shop
) -> None:
    mold = make_mold_from(registry, measured.poured)
    copy = builders.a_piece(registry, measured.run, to="poured", mold=mold, tag="T-0500")
    measure(registry, copy, AFTERCAST)
    done = call("compare", "T-0500", "--against", "T-0101", *SURE)
    assert "generation 1 is expected" in done.stderr
    other = builders.a_model(registry, measured.work, "plaster")
    with registry.writing() as w:
        measure_model(w, other, [read_station(f"{n}={v}mm") for n, v in REGISTERED.items()])
    done = call("compare", "T-0102", "--against", other, *SURE)
    assert "like is not compared with like" in done.stderr


def make_mold_from(registry: Registry, piece: str) -> str:
    with registry.writing() as w:
        return make_mold(w, piece, ["body"], material="silicone").code


def test_a_comparison_is_drawn(call: Call, measured: Shop, tmp_path: Path) -> None:
    place = tmp_path / "size.svg"
    done = call("compare", "T-0102", *SURE, "--plot", str(place))
    assert f"Drawn: {place}" in done.stderr
    root = ET.fromstring(place.read_text())
    words = "".join(root.itertext())
    assert "Size of P-0002 (T-0102) against P-0001 (T-0101)" in words
    assert "generation 1" in words
    assert "Finding: consistent with generation 1." in words


def test_a_bent_limb_is_named_and_drawn_apart(call: Call, tmp_path: Path) -> None:
    bent = [f"{n}={v}mm:{v}mm" for n, v in REGISTERED.items()][1:]
    done = call(
        "compare", "tail=300mm:306mm", *bent, *SURE, *CAST, "--plot", str(tmp_path / "a.svg")
    )
    assert "tail lies apart from the other stations: a joint, a bent limb" in done.stdout
    assert "Without it the bronze is consistent with generation 0." in done.stdout
    assert "without those apart" in (tmp_path / "a.svg").read_text()


def test_a_terminal_shows_tables_under_their_names(at_terminal: Callable[..., Shown]) -> None:
    shown = at_terminal("compare", *PAIRS, *SURE, *CAST)
    assert shown.status == 0
    for heading in ("stations", "generations", "deviations", "95 in 100", "Bayes"):
        assert heading in shown.text


def test_on_a_terminal_the_kind_of_reference_is_asked_until_it_is_read(
    at_terminal: Callable[..., Shown],
) -> None:
    shown = at_terminal("compare", *PAIRS, *SURE, answers="\nphotograph\nmaster bronze\n")
    assert "What is the reference: documented cast, master bronze or model" in shown.text
    assert "no reference that a bronze can be compared with" in shown.text
    assert "consistent with generation 0" in shown.text


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "nothing to compare with"),
        ([*CAST], 2, "nothing to compare with"),
        (["tail=292.6mm", "eye=9mm", *SURE, *CAST], 2, "nothing to compare with"),
        ([*PAIRS, *SURE], 2, "What the reference is was not said"),
        ([*PAIRS, *SURE, "--kind", "photograph"], 2, "no reference that a bronze"),
        ([*PAIRS, *CAST], 2, "does not say how sure it is"),
        ([*PAIRS, *CAST, "--uncertainty", "0mm"], 2, "no calliper is that sure"),
        ([PAIRS[0], *SURE, *CAST], 2, "One station cannot tell"),
        ([*PAIRS, PAIRS[0], *SURE, *CAST], 2, "“tail” is given twice"),
        (["tail=300mm:292,6mm", *PAIRS[1:], *SURE, *CAST], 2, "comma"),
        ([*PAIRS, *SURE, *CAST, "--contraction", "0"], 2, "no generation can be told"),
        ([*PAIRS, *SURE, *CAST, "--contraction", "120"], 2, "more than 100 %"),
        ([*PAIRS, *SURE, *CAST, "--mass", "-3kg"], 2, "not a number of kg"),
        ([*PAIRS, *SURE, *CAST, "--plot", "size.png"], 9, "Name it FILE.svg"),
        (["--file", "none.csv", *CAST], 9, "does not exist"),
        (["T-0101", "T-0102", *SURE], 2, "a second bronze"),
        (["T-0999", *SURE], 4, "T-0999"),
        (["D-0001", *SURE], 4, "D-0001 is not a piece"),
        (["T-0101", "--against", "H-0001", *SURE], 4, "H-0001 is not a piece"),
        (["T-0103", *SURE], 4, "was measured"),
        (["--against", "T-0101", *SURE], 2, "Nothing was measured on the bronze"),
        (["T-0101", "--against", "T-0101", *SURE], 2, "compared with itself"),
        (["T-0102", "--against", "D-0001", *SURE, *CAST], 2, "the book has it as a model"),
    ],
)
def test_a_comparison_that_cannot_be_made_is_said_in_a_line(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("compare", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_casts_of_two_works_are_not_compared(
    call: Call, registry: Registry, measured: Shop
) -> None:
    other = builders.a_model(registry, builders.a_work(registry, measured.artist, "Wren"))
    done = call("compare", "T-0101", "--against", other, *SURE)
    assert done.exit_code == 2
    assert "Compare casts of one work." in done.stderr


@pytest.mark.parametrize("typed", ["440mm/with:431mm/with", "440mm/with:431mm", "440mm:431mm/with"])
def test_the_base_may_stand_at_either_length_of_a_pair(call: Call, typed: str) -> None:
    done = call("compare", f"height={typed}", PAIRS[0], *SURE, *CAST)
    assert done.exit_code == 0, done.stderr
    assert "stations\theight\twith\t440 mm\t431 mm\t" in done.stdout


def test_a_pair_of_two_bases_is_refused(call: Call) -> None:
    done = call("compare", "height=440mm/with:431mm/without", PAIRS[0], *SURE, *CAST)
    assert done.exit_code == 2
    assert "with base on the reference and without on the bronze" in done.stderr
