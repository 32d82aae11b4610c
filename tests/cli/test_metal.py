"""``bronzebook metal`` and ``heat sheet``: bronze for a wax, a pour, and what came of it."""

from __future__ import annotations

import json

import pytest

from editions.registry import Registry
from editions.registry.acts.heats import open_heat, pour_heat
from editions.registry.acts.metal import limits_stated, read_limit, state_alloy
from editions.registry.acts.pieces import measure_piece, start_piece, take_wax
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.trade.quantities import Quantity, read_quantity
from tests.cli.conftest import Call, Shop
from tests.registry import builders

DENSITY = ("--density", "0.302 lb/in3")  # CDA data sheet of C87300


@pytest.fixture
def weighed(registry: Registry, shop: Shop) -> str:
    """A piece of two sections, T-0200, whose waxes were weighed."""
    mold = builders.a_mold(registry, builders.a_model(registry, shop.work), "head", "body")
    with registry.writing() as w:
        piece = start_piece(w, shop.run, tag="T-0200", sections=("head", "body")).code
        for section, mass in (("head", "1.05 kg"), ("body", "2.10 kg")):
            wax = pull_wax(w, mold, section, run=shop.run, mass=read_quantity(mass, "mass")).code
            take_wax(w, piece, wax)
    return piece


def test_the_metal_for_a_wax_is_told_with_a_caution_last(call: Call) -> None:
    done = call("metal", "--part", "1.05kg", "--gating", "0.30kg", *DENSITY)
    assert done.exit_code == 0
    # 12.1345 kg, 77.78 % and 13.6204 kg: worked by hand from the densities.
    assert "poured\t12.13 kg\nyield\t77.78 %\n" in done.stdout
    assert "charge\t13.62 kg, with 10 % reserve and 2 % loss" in done.stdout
    assert done.stderr.startswith("caution: Molten metal")


def test_both_densities_are_told_in_one_unit_and_to_the_precision_of_a_scale(call: Call) -> None:
    done = call("metal", "--part", "1.05kg", *DENSITY)
    # 0.302 lb/in3 is 8.36 g/cm3 (CDA data sheet of C87300); 8.36 / 0.93 = 8.99.
    assert (
        "bronze to wax\t8.99 to 1, by densities of 8.36 g/cm3 (0.302 lb/in3) and 0.93 g/cm3\n"
    ) in done.stdout


def test_json_carries_every_figure_with_formula_and_sources(call: Call) -> None:
    done = call("metal", "--part", "1.05kg", "--gating", "0.30kg", *DENSITY, "--json")
    told = json.loads(done.stdout)
    assert told["check"] is None
    assert told["need"]["poured"] == {"value": "12.1345", "unit": "kg"}
    assert told["need"]["factor"] == "8.98853"
    assert list(told["need"])[-2:] == ["formula", "sources"]


def test_the_formula_is_explained_when_asked(call: Call) -> None:
    words = ("metal", "--part", "1kg", "--alloy", "C87300")
    assert "formula" not in call(*words).stdout
    explained = call(*words, "--explain").stdout
    assert "formula\tfactor = density of bronze / density of wax" in explained
    assert "source\tDensity of the alloy" in explained


def test_pounds_are_told_in_pounds(call: Call) -> None:
    done = call("metal", "--part", "12 oz", *DENSITY, "--reserve", "0", "--loss", "0")
    assert "wax\t12 oz\n" in done.stdout
    assert "poured\t6.74 lb" in done.stdout
    assert "remark: The gating was not weighed apart" in done.stderr


def test_waxes_of_the_book_bring_what_they_weigh(call: Call, weighed: str) -> None:
    done = call("metal", "t-0200", "--gating", "0.6kg", *DENSITY)
    assert (done.exit_code, "wax\t3.15 kg + 0.6 kg gating" in done.stdout) == (0, True)
    one = call("metal", "T-0200/head", *DENSITY)
    assert "wax\t1.05 kg\n" in one.stdout


def test_the_alloy_that_a_run_declares_is_the_likely_one(
    call: Call, registry: Registry, shop: Shop
) -> None:
    for alloy, told in (("C87300", "0.302 lb/in3"), ("the house's own", "")):
        run = builders.a_run(registry, shop.work, alloy=alloy)
        with registry.writing() as w:
            wax = pull_wax(w, shop.mold, run=run, mass=Quantity("1.05", "kg")).code
        done = call("metal", wax, "--gating", "0.3kg")
        assert told in done.stdout
        assert (done.exit_code, "missing" in done.stderr) == ((0, False) if told else (2, True))


def test_an_alloy_of_the_foundrys_own_brings_its_density(call: Call, registry: Registry) -> None:
    with registry.writing() as w:
        state_alloy(w, "KILN 4", limits_stated([read_limit("Cu=90..")], density="8.5"))
    done = call("metal", "--part", "0.93kg", "--alloy", "kiln 4", "--explain")
    # 0.93 kg at 0.93 is one litre: 8.5 kg.
    assert "poured\t8.50 kg" in done.stdout
    assert "KILN 4, the foundry's own limits" in done.stdout


def test_a_surface_is_told_by_metal_and_wall(call: Call) -> None:
    done = call("metal", *DENSITY, "--mass", "9.6kg", "--wall", "4.594mm")
    assert done.stdout == "surface by metal and wall\t0.2500 m2\n"


def test_a_hollow_bronze_is_checked_against_itself(call: Call) -> None:
    done = call(
        "metal", *DENSITY, "--mass", "9.6kg", "--volume", "1.2l", "--wall", "3/16in",
        "--surface", "0.25m2",
    )  # fmt: skip
    assert done.exit_code == 0
    assert done.stdout.startswith("mass\t9.6 kg, 10.031 kg by 1.2 l × 0.302 lb/in3: -4.3 %")
    assert "wall\t3/16 in, 0.189 in by metal / 0.25 m2: -0.8 %, they agree" in done.stdout
    wall = call("metal", *DENSITY, "--mass", "9.6kg", "--surface", "0.25m2", "--part", "1kg")
    assert "wall by metal and surface\t4.594 mm" in wall.stdout
    assert "poured\t8.99 kg" in wall.stdout


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["--part", "1kg"], 2, "--alloy or --density is missing"),
        (["--alloy", "C87300"], 2, "No wax is named"),
        (["--part", "-1kg", *DENSITY], 2, "not a number of kg"),
        (["--part", "1,05kg", *DENSITY], 2, "comma"),
        (["--part", "0kg", *DENSITY], 2, "weighs nothing"),
        (["--part", "1kg", *DENSITY, "--reserve", "120"], 2, "more than 100 %"),
        (["--part", "1kg", *DENSITY, "--loss", "100"], 2, "leaves nothing"),
        (["--part", "1kg", "--density", "8,36"], 2, "comma"),
        (["--part", "1kg", "--alloy", "C00001"], 2, "No limits are held"),
        (["--part", "1kg", "--alloy", "C87600"], 2, "No density of C87600"),
        (["--mass", "1kg", *DENSITY], 2, "One figure cannot"),
        (["--surface", "1", *DENSITY], 2, "not an area"),
        (["W-0099", *DENSITY], 4, "No wax W-0099"),
        (["T-0101", *DENSITY], 4, "was not weighed"),
        (["T-0103", *DENSITY], 4, "has no wax yet"),
    ],
)
def test_a_wax_that_cannot_be_reckoned_is_said_in_a_line(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("metal", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


# --- the sheet of a pour ---


def test_a_sheet_stands_in_pour_order_against_the_crucible(call: Call) -> None:
    done = call(
        "heat", "sheet", "head=1.05kg+0.3kg", "torso=2.1kg+0.5kg", "arm=0.4kg", *DENSITY,
        "--gating-share", "25", "--crucible", "40kg", "--weighed", "head=9.6kg",
    )  # fmt: skip
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert lines[0] == ("shells\thead\t1\t12.13 kg\t12.13 kg\t27.87 kg\t9.44 kg\t9.6 kg\t79.11 %")
    assert [line.split("\t")[2] for line in lines[:3]] == ["1", "1", "2"]
    assert lines[3].startswith("melts\t1\t2\t35.50 kg")
    assert "25 % of the part is counted: arm." in done.stderr
    assert "caution: Molten metal" in done.stderr


def test_shells_of_the_book_bring_their_waxes_and_take_a_gating(call: Call, weighed: str) -> None:
    done = call("heat", "sheet", "T-0200", "T-0200x=1kg", *DENSITY, "--json")
    told = json.loads(done.stdout)
    assert [line["name"] for line in told["lines"]] == ["T-0200/head", "T-0200/body", "T-0200x"]
    gated = call("heat", "sheet", "T-0200/head+0.3kg", *DENSITY, "--json")
    assert json.loads(gated.stdout)["poured"]["value"] == "12.1345"


def _two_poured(registry: Registry, shop: Shop) -> str:
    """A heat with its charge weighed, two shells poured, one of them scrapped since."""
    mold = builders.a_mold(registry, builders.a_model(registry, shop.work))
    with registry.writing() as w:
        from editions.registry.acts.heats import charge_line

        pieces = []
        for tag in ("T-0301", "T-0302"):
            piece = start_piece(w, shop.run, tag=tag).code
            wax = pull_wax(w, mold, run=shop.run, mass=Quantity("1.05", "kg")).code
            take_wax(w, piece, wax)
            pieces.append(piece)
        for step in ("shelled", "dewaxed", "fired"):
            record_step(w, step, pieces)
        charge = [charge_line("ingot", "LOT 1=15kg"), charge_line("ingot", "LOT 2=12kg")]
        heat = open_heat(w, "26-0300", alloy="C87300", charge=charge).code
        pour_heat(w, heat, pieces)
        for piece in pieces:
            measure_piece(w, piece, mass=Quantity("9.5", "kg"))
    return heat


def test_a_heat_brings_its_shells_its_charge_its_alloy_and_what_was_weighed(
    call: Call, registry: Registry, shop: Shop
) -> None:
    _two_poured(registry, shop)
    done = call("heat", "sheet", "--heat", "26-0300", "--gating-share", "30", "--json")
    told = json.loads(done.stdout)
    assert [line["name"] for line in told["lines"]] == ["T-0301", "T-0302"]
    assert told["charged"] == {"value": "27", "unit": "kg"}
    assert told["weighed"]["value"] == "19.0000"
    # 19 / 27, by hand.
    assert told["yield_of_charge_percent"] == "70.37"
    assert "0.302 lb/in3" in told["formula"][0]


def test_a_section_scrapped_since_still_stands_on_the_sheet_of_its_heat(
    call: Call, registry: Registry, shop: Shop
) -> None:
    from editions.registry.acts.pieces import scrap_piece

    _two_poured(registry, shop)
    with registry.writing() as w:
        scrap_piece(w, "T-0301", evidence="sawn through", section="body")
    told = json.loads(call("heat", "sheet", "--heat", "26-0300", "--json").stdout)
    assert [line["name"] for line in told["lines"]] == ["T-0301", "T-0302"]
    assert told["lines"][0]["weighed"] is None


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([*DENSITY], 2, "No shell is on the sheet"),
        (["a=1kg", "a=1kg", *DENSITY], 2, "on the sheet twice"),
        (["a=1kg+x", *DENSITY], 2, "does not begin with a number"),
        (["a=0kg", *DENSITY], 2, "weighs nothing"),
        (["a=1kg", *DENSITY, "--weighed", "b=9kg"], 4, "“b” is not on the sheet"),
        (["a=1kg", *DENSITY, "--crucible", "0kg"], 2, "holds nothing"),
        (["a=1kg", *DENSITY, "--gating-share", "101"], 2, "more than 100"),
        (["a=1kg"], 2, "--alloy or --density is missing"),
        (["T-0101", *DENSITY], 4, "was not weighed"),
        (["--heat", "99-1", *DENSITY], 4, "99-1"),
        (["--heat", "26-0001", *DENSITY], 4, "was not weighed"),
    ],
)
def test_a_sheet_that_cannot_be_made_is_said_in_a_line(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("heat", "sheet", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_one_gating_for_a_piece_of_two_shells_is_refused(call: Call, weighed: str) -> None:
    done = call("heat", "sheet", "T-0200+0.3kg", *DENSITY)
    assert done.exit_code == 2
    assert "has 2 shells and one gating" in done.stderr
