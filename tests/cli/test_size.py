"""``bronzebook size``: from model to wax to bronze and back, and a first cast's reference."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from editions.registry import Registry
from editions.registry.acts.works import measure_model
from editions.trade.stations import read_station, station_text
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import state

CAST = ("tail=293.7mm±0.2mm", "beak=205.6mm±0.2mm", "foot=148.8mm±0.2mm", "knee=82.7mm±0.2mm")


@pytest.fixture
def model(registry: Registry, shop: Shop) -> str:
    """The run's model, D-0001, measured."""
    code = str(state(registry, shop.run).declared.model)
    texts = ("tail=300mm", "beak=210mm", "foot=152mm", "knee=84.5mm")
    with registry.writing() as w:
        measure_model(w, code, [read_station(text) for text in texts])
    return code


def test_a_length_is_reckoned_through_every_stage(call: Call) -> None:
    # 450 × .988 × .982, and once more: by hand.
    done = call("size", "450mm", "--wax", "1.2%", "--metal", "1.8%")
    assert done.exit_code == 0
    assert done.stdout.startswith(
        "model\t450.0 mm\nwax\t444.6 mm\nbronze\t436.6 mm\nan aftercast of it\t423.6 mm\n"
    )
    assert "2.978 % of the pattern: casting = pattern × (1 - s)" in done.stdout


def test_json_carries_every_figure(call: Call) -> None:
    done = call("size", "450mm", "--wax", "1.2", "--metal", "1.8", "--of", "bronze", "--json")
    told = json.loads(done.stdout)
    assert told["model"] == {"value": "463.814", "unit": "mm"}
    assert told["stages"][0]["rate"]["text"] == "1.2 %"


def test_without_stages_the_published_range_is_told(call: Call) -> None:
    assert (
        "model\t459.7 mm (456.9 mm to 462.5 mm)" in call("size", "450mm", "--of", "bronze").stdout
    )
    assert "bronze\t440.6 mm (437.8 mm to 443.2 mm)" in call("size", "450 mm").stdout


def test_inches_are_told_as_a_rule_is_marked(call: Call) -> None:
    done = call("size", '17 3/4"', "--metal", "1/4in/ft", "--explain")
    # 17.75 × (1 - 1/48), by hand.
    assert "bronze\t17.380 in (17 3/8 in)" in done.stdout
    assert "formula\tbronze = model × (1 - 1/4 in/ft metal)" in done.stdout
    feet = call("size", "1 ft", "--metal", "3/16 in/ft")
    assert "bronze\t11.812 in (11 13/16 in)" in feet.stdout
    assert "outside the 1.8 to 2.5 % published" in feet.stderr


def test_an_investment_that_grows_is_reckoned(call: Call) -> None:
    done = call("size", "1000mm", "--wax", "1.2", "--investment", "0.5", "--metal", "1.8", "--json")
    assert json.loads(done.stdout)["bronze"]["value"] == "975.067"


def test_an_alloy_brings_the_contraction_of_its_metal(call: Call) -> None:
    done = call("size", "1000mm", "--wax", "1.2", "--alloy", "C90500", "--explain")
    # 1000 × .988 × .984, by hand.
    assert "bronze\t972.2 mm" in done.stdout
    assert "source\tContraction of C90500: CDA data sheet" in done.stdout


def test_a_rate_is_told_in_the_trades_other_words(call: Call) -> None:
    done = call("size", "--rate", "3/16in/ft")
    assert done.stdout == (
        "contraction\t3/16 in/ft\nof the pattern\t1.5625 %\n"
        "inches to the foot\t0.1875, a rule of 3/16 in/ft is nearest\n"
        "of the casting\t1.5873 %, as a shrink rule is laid out\n"
    )


def test_every_station_of_a_model_is_reckoned(call: Call, model: str) -> None:
    done = call("size", model.lower())
    # 300 × (1 - .021), with the published range 1.5 to 2.7 %: by hand.
    assert done.stdout.splitlines()[0] == ("tail\t\t300 mm\t\t293.7 mm\t291.9 mm to 295.5 mm")
    told = json.loads(call("size", model, "--wax", "1", "--metal", "2", "--json").stdout)
    assert [one["station"] for one in told] == ["tail", "beak", "foot", "knee"]
    assert told[0]["bronze"]["value"] == "291.060"
    odd = call("size", model, "--metal", "5", "--explain")
    assert "metal 5 % is outside" in odd.stderr
    assert "formula" in odd.stdout


def test_a_first_cast_is_proposed_and_nothing_is_entered_unasked(
    call: Call, model: str, registry: Registry, shop: Shop
) -> None:
    done = call("size", "T-0101", *CAST)
    assert done.exit_code == 0
    assert "tail\t\t293.7 mm\t± 0.2 mm\t300 mm\t2.10 %\tas published" in done.stdout
    assert "contraction of the run\t2.10 %" in done.stdout
    assert "4 stations: at least 5" in done.stderr
    assert "Nothing was entered. To enter them, add --enter." in done.stderr
    assert state(registry, shop.poured).stations == ()


def test_a_proposal_is_entered_when_told(
    call: Call, model: str, registry: Registry, shop: Shop
) -> None:
    done = call("size", "T-0101", *CAST, "--enter")
    assert "piece measured" in done.stdout
    kept = [station_text(station) for station in state(registry, shop.poured).stations]
    assert kept[0] == "tail=293.7 mm ± 0.2 mm"
    again = json.loads(call("size", "T-0101", "--json").stdout)
    assert again["contraction_percent"] == "2.10"
    entered = json.loads(call("size", "T-0101", *CAST, "--enter", "--json").stdout)
    assert entered[0]["kind"] == "piece_measured"


@pytest.mark.parametrize(("answer", "kept"), [("y", 4), ("n", 0)])
def test_on_a_terminal_the_one_who_measured_is_asked(
    at_terminal: Callable[..., Shown], model: str, registry: Registry, shop: Shop, answer: str,
    kept: int,
) -> None:  # fmt: skip
    shown = at_terminal("size", "T-0101", *CAST, answers=f"{answer}\n")
    assert "Proposed as the reference of its run" in shown.text
    assert f"Enter these as measured on {shop.poured}?" in shown.text
    assert len(state(registry, shop.poured).stations) == kept


def test_a_misread_figure_is_doubted(call: Call, model: str) -> None:
    done = call("size", "T-0101", "tail=239.7mm±0.2mm")
    assert "outside 1.5 to 2.7 %: measure again" in done.stdout


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "No length is given"),
        (["450"], 2, "has no unit"),
        (["450kg"], 2, "not a length"),
        (["0mm"], 2, "no size"),
        (["450,5mm"], 2, "comma"),
        (["450mm", "--wax", "1,2%"], 2, "comma"),
        (["450mm", "--wax", "20%"], 2, "no bronze contracts"),
        (["450mm", "--of", "plaster"], 2, "not one of"),
        (["450mm", "--of", "wax"], 2, "How much the wax contracts"),
        (["450mm", "--whole", "2", "--wax", "1"], 2, "both given"),
        (["450mm", "--metal", "2", "--alloy", "C90500"], 2, "both say how the metal"),
        (["450mm", "--alloy", "C95400"], 2, "No contraction of C95400"),
        (["D-0099"], 4, "No model D-0099"),
        (["D-0001"], 4, "was not measured"),
        (["T-0999"], 4, "T-0999"),
        (["T-0101"], 2, "no stations"),
        (["T-0101", "tail"], 2, "not a measured station"),
        (["T-0101", "tail=0mm"], 2, "length of zero"),
    ],
)
def test_a_size_that_cannot_be_reckoned_is_said_in_a_line(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("size", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
