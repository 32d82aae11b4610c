"""``bronzebook mix`` and ``bronzebook drift`` at the patina bench."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from tests.cli.conftest import Call


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Call:
    """Call the command line where no registry is named and none lies."""
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    monkeypatch.chdir(tmp_path)

    def run(*words: str, **options: object) -> Result:
        return CliRunner().invoke(bronzebook, list(words), **options)  # type: ignore[arg-type]

    return run


# Foundry facts, known answer 8.
def test_a_solution_is_weighed_out_without_a_registry(bare: Call) -> None:
    done = bare("mix", "Fe(NO3)3.9H2O=25 g", "--make-up-to", "500ml")
    assert done.exit_code == 0
    head, line = done.stdout.splitlines()
    assert head == "made up to 500 ml"
    assert line.split("\t")[:6] == [
        "ferric nitrate nonahydrate, Fe(NO3)3·9H2O", "25 g", "25 g", "", "5 %", "0.12376",
    ]  # fmt: skip
    assert "caution: Acids and salts" in done.stderr
    assert "hazards: ferric nitrate nonahydrate: H272 H315 H319" in done.stderr
    assert "safety data sheet" in done.stderr


def test_ounces_are_answered_in_ounces_too(bare: Call) -> None:
    done = bare("mix", "ferric nitrate=2 oz/gal", "NH4Cl=1 oz", "--make-up-to", "1l")
    # 2 avoirdupois ounces in a US gallon of 3.785411784 l.
    assert "14.978 g (0.528 oz)" in done.stdout
    assert "28.35 g (1 oz)" in done.stdout


def test_json_carries_all_with_formula_and_sources_last(bare: Call) -> None:
    done = bare(
        "mix", "solution", "NH4Cl=40 g/l", "hypo=2 % w/v", "--make-up-to", "1l",
        "--price", "NH4Cl=9/kg", "--json",
    )  # fmt: skip
    found = json.loads(done.stdout)
    assert [portion["grams"] for portion in found["portions"]] == ["40.000", "20.000"]
    assert found["cost"]["total"] == "0.36"
    assert list(found)[-3:] == ["formula", "sources", "cost"]
    assert "Prohaska" in found["sources"][0]


def test_stock_bulk_price_and_explanation(bare: Call) -> None:
    done = bare(
        "mix", "solution", "nitric acid=0.5 mol/l", "TiO2=2 tsp", "--make-up-to", "1l",
        "--stock", "nitric acid=68 % w/w at 1.405", "--bulk", "TiO2=0.8", "--explain",
        "--price", "TiO2=20/kg",
    )  # fmt: skip
    lines = done.stdout.splitlines()
    assert lines[1].split("\t")[2:5] == ["", "32.98 ml", "3.151 %"]
    assert lines[2].split("\t")[2] == "8 g"
    assert "cost 0.16" in done.stdout
    assert "No price is given of nitric acid" in done.stderr
    assert any(line.startswith("source\t") for line in lines)


def test_added_to_water_says_so(bare: Call) -> None:
    done = bare("mix", "ferric nitrate=5 % w/w", "--added-to", "1l")
    assert done.stdout.startswith("added to 1 l of water\n")
    assert "52.526 g" in done.stdout


# Foundry facts, known answer 8: 10 % to 3 %, 750 ml; trihydrate to 2.5-hydrate.
def test_dilution_and_another_hydrate(bare: Call) -> None:
    done = bare("mix", "dilute", "10 % w/v", "3 % w/v", "--to", "750ml")
    assert done.stdout == "stock\t225.00 ml\nwater\t525.00 ml\n"
    assert "caution: Acids" in done.stderr
    done = bare("mix", "dilute", "20 % w/w", "5 % w/w", "--to", "1kg", "--json")
    assert json.loads(done.stdout)["unit"] == "g"
    done = bare("mix", "swap", "40g", "copper nitrate trihydrate", "copper nitrate 2.5-hydrate")
    assert "weigh\t38.509 g of copper nitrate hemipentahydrate" in done.stdout


def test_us_measures_are_read_and_answered(bare: Call) -> None:
    done = bare("mix", "ferric nitrate=2 oz/gal", "--make-up-to", "1 quart")
    # Half an ounce to a quart.
    assert done.stdout.startswith("made up to 1 qt\n")
    assert "14.175 g (0.5 oz)" in done.stdout
    done = bare("mix", "dilute", "10 % w/v", "3 % w/v", "--to", "1/2 gal")
    assert done.stdout == "stock\t0.150 gal\nwater\t0.350 gal\n"


def test_a_recipe_of_the_book_is_scaled_to_a_surface(call: Call) -> None:
    call(
        "recipe", "write", "Green", "--words", "green",
        "--layer", "copper nitrate + ammonium chloride; 40 g/l each; sprayed; 350 °F",
        "--layer", "liver of sulfur; 2 % w/v", "--layer", "ferric nitrate; 5 % w/v",
        "--layer", "moon dust; weak",
    )  # fmt: skip
    done = call("mix", "recipe", "C-0001", "--area", "0.8m2", "--spread", "60ml/m2", "--coats", "3")
    assert done.exit_code == 0
    assert done.stdout.startswith("surface\t0.8000 m²\neach layer\t144.0 ml\n")
    assert "layers\t1\tammonium chloride, NH4Cl\t5.76 g\t\t350 °F" in done.stdout
    assert "not worked out" in done.stdout
    assert "hydrogen sulfide" in done.stderr
    assert "caution: Sulfide fumes" in done.stderr
    assert "caution: Ammonia fumes" in done.stderr
    weighed = call(
        "mix", "recipe", "C-0001", "--mass", "12kg", "--wall", "3/16in", "--density", "8.359",
        "--spread", "60ml/m2", "--json",
    )  # fmt: skip
    # 12 kg / (8.359 g/cm³ · 4.7625 mm).
    assert json.loads(weighed.stdout)["area_m2"] == "0.3014"
    explained = call("mix", "recipe", "C-0001", "--area", "1m2", "--spread", "60ml/m2", "--explain")
    assert "formula\t1.0000 m² · 1 coats · 60.0 ml/m² = 60.0 ml" in explained.stdout


def test_a_recipe_written_of_what_may_not_meet_is_remarked_on(call: Call) -> None:
    done = call(
        "recipe", "write", "Bad", "--words", "black",
        "--layer", "liver of sulfur with a drop of nitric acid",
    )  # fmt: skip
    assert done.exit_code == 0
    assert "Layer 1: liver of sulfur with nitric acid gives hydrogen sulfide" in done.stderr


def test_whether_things_may_meet_is_answered(bare: Call) -> None:
    done = bare("mix", "together", "liver of sulfur", "vinegar")
    assert (done.exit_code, done.stdout) == (6, "")
    assert "Never together" in done.stderr
    done = bare("mix", "together", "hypo", "ferric nitrate")
    assert (done.exit_code, done.stdout) == (0, "Not refused; see the remarks.\n")
    assert "sulfur dioxide" in done.stderr
    done = bare("mix", "together", "salt", "TiO2")
    assert "not therefore safe" in done.stdout
    done = bare("mix", "together", "hypo", "ferric nitrate", "--json")
    assert json.loads(done.stdout)[0]["then"] == "remarked"


def test_substances_are_listed(bare: Call) -> None:
    rows = {row["name"]: row for row in json.loads(bare("mix", "list", "--json").stdout)}
    assert rows["silver nitrate"]["g/mol"] == "169.872"
    assert rows["liver of sulfur"]["g/mol"] is None


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["ferric nitrate=5 %", "--make-up-to", "1l"], 2, "does not say of what"),
        (["ferric nitrate=5 % w/v"], 2, "Made up to how much"),
        (["NaCl=5 g", "--make-up-to", "1l", "--added-to", "1l"], 2, "Made up to how much"),
        (["ferric nitrate=1,5 % w/v", "--make-up-to", "1l"], 2, "comma"),
        (["ferric nitrate=5 % w/v", "--make-up-to", "1 kg"], 2, "not a volume"),
        (["ferric nitrate=105 % w/v", "--make-up-to", "1l"], 2, "more than 100"),
        (["Xx2=5 g", "--make-up-to", "1l"], 2, "not a substance"),
        (["liver of sulfur=1 mol/l", "--make-up-to", "1l"], 6, "no molar mass"),
        (["liver of sulfur=1 tsp", "--make-up-to", "1l"], 6, "powders"),
        (["bleach=1 % v/v", "ammonia=1 % v/v", "--make-up-to", "1l"], 6, "chloramine"),
        (["NaCl=5 g", "--make-up-to", "1l", "--bulk", "TiO2=0.8"], 4, "No titanium dioxide"),
        (["solution"], 2, "Missing argument"),
        (["dilute", "3 % w/v", "10 % w/v", "--to", "750ml"], 6, "stronger"),
        (["dilute", "10 % w/v", "3 % w/v"], 2, "--to"),
        (["swap", "40g", "salt", "copper nitrate trihydrate"], 6, "not hydrates of one salt"),
        (["recipe", "C-0099", "--area", "1m2", "--spread", "60ml/m2"], 4, "C-0099"),
        (["recipe", "C-0001", "--spread", "60ml/m2"], 2, "surface is not said"),
        (["recipe", "C-0001", "--area", "1kg", "--spread", "60ml/m2"], 2, "not an area"),
        (["together", "moon dust"], 2, "not a substance"),
        (["dilutee", "1", "2"], 2, "dilute"),
    ],
)
def test_what_cannot_be_mixed_is_said(call: Call, words: list[str], status: int, says: str) -> None:
    done = call("mix", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_the_colour_of_casts_is_compared(bare: Call) -> None:
    done = bare("drift", "1/8=42.1,8.3,12.5", "2/8=41.0,8.9,13.4", "3/8=35,9,12", "--explain")
    rows = [line.split("\t") for line in done.stdout.splitlines()]
    assert [row[5] for row in rows[:3]] == ["0.00", "1.20", "6.19"]
    assert "Widest: 6.19, between 1/8 and 3/8." in done.stderr
    assert any("Sharma" in " ".join(row) for row in rows)


def test_measured_colours_come_from_a_file_too(bare: Call, tmp_path: Path) -> None:
    plain, german = tmp_path / "a.csv", tmp_path / "b.csv"
    plain.write_text("cast,L,a,b\n1/8,42.1,8.3,12.5\n\n2/8,41.0,8.9,13.4\n", encoding="utf-8")
    german.write_text("1/8;42.1;8.3;12.5\n2/8;41.0;8.9;-3\n", encoding="utf-8-sig")
    found = json.loads(bare("drift", "--from", "a.csv", "--json").stdout)
    assert [cast["difference"] for cast in found["casts"]] == ["0.00", "1.20"]
    assert bare("drift", "9/9=40,1,1", "--from", "b.csv").exit_code == 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1/8,42.1,8.3\n", "row 1"),
        ("cast,L,a,b\n1/8;42\n", "row 2"),
        ("1/8;42,1;8,3;12,5\n", "row 1"),
    ],
)
def test_a_row_that_is_no_colour_is_named(bare: Call, tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "bad.csv").write_text(text, encoding="utf-8")
    done = bare("drift", "--from", "bad.csv")
    assert (done.exit_code, done.stdout) == (9, "")
    assert says in done.stderr


def test_a_file_that_is_none_and_one_cast_alone_are_refused(bare: Call, tmp_path: Path) -> None:
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00")
    assert bare("drift", "--from", "none.csv").exit_code == 9
    assert bare("drift", "--from", "bytes.csv").exit_code == 9
    assert bare("drift", "1/8=42,8,12").exit_code == 6
    assert bare("drift", "1/8").exit_code == 2


def test_a_work_is_counted_from_the_book(call: Call, shop: object) -> None:
    done = call("run", "count", "K-0001")
    assert done.exit_code == 0
    assert "exist\t2" in done.stdout
    assert "can exist\t12" in done.stdout
    assert "counted by\tlife\tlifetime\t2" in done.stdout
    found = json.loads(call("run", "count", "R-0001", "--json").stdout)
    assert (found["work"], found["exist"]) == ("K-0001", 2)
    assert "formula\t" in call("run", "count", "K-0001", "--explain").stdout
    assert call("run", "count", "K-0099").exit_code == 4


def test_a_run_of_no_size_is_said_to_be_unbounded(call: Call) -> None:
    call("run", "declare", "K-0001", "--size", "none", "--proofs", "none")
    done = call("run", "count", "K-0001")
    assert "can exist\tnot bounded" in done.stdout
    assert "declares no size" in done.stderr
