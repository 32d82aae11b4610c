"""``bronzebook heat`` at the crucible, without a registry: charge, trim, judge.

The figures are the foundry's known answers 1, 2 and 3, computed by hand.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from tests.cli.conftest import Call

FLOOR = """lot,kind,mass,price,Cu,Si,Mn,Fe,Zn,Pb
LOT 881,ingot,250 kg,9.20,94.60,4.10,1.10,.08,.05,.01
26-014,returns,80 kg,0,94.90,3.70,.95,.15,.10,.03
copper,addition,50 kg,8.10,99.95,,,.01,.01,.01
silicon,addition,5 kg,4.50,,98.5,,.5,,
manganese,addition,5 kg,4.50,,,99.0,.5,,
"""
CHARGE = ("--ingot", "LOT 881=60kg", "--returns", "26-014=40kg", "--add", "silicon=0.5kg")
LOSSES = [
    word
    for one in ("Cu=.5", "Si=4", "Mn=5", "Zn=3", "Pb=1", "Fe=0")
    for word in ("--loss", one.replace("=.", "=0."))
]
# Known answer 1, with nickel and every trace reported.
BRASS = (
    "Cu=83.7", "Ni=.6", "Sn=5.1", "Pb=5.0", "Zn=4.9", "Fe=.12", "Sb=.08", "P=.02", "S=.03",
    "Al=.002", "Si=.002",
)  # fmt: skip
CAUTION = "caution: Molten metal"


@pytest.fixture
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Call:
    """The command line in a folder that holds a file of the floor and no registry."""
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "floor.csv").write_text(FLOOR)

    def run(*words: str) -> Result:
        return CliRunner().invoke(bronzebook, list(words))

    return run


def test_a_charge_is_reckoned_without_a_registry_to_the_known_answer(alone: Call) -> None:
    done = alone("heat", "charge", "--alloy", "C87300", "--floor", "floor.csv", *CHARGE, *LOSSES)
    assert done.exit_code == 0, done.stderr
    lines = dict(line.split("\t")[1:3] for line in done.stdout.splitlines() if "expected" in line)
    assert lines == {
        "Cu": "94.4402", "Pb": "0.0179", "Zn": "0.0680", "Fe": "0.1107", "Mn": "0.9900",
        "Si": "4.2639", "sum": "99.8907",
    }  # fmt: skip
    assert "melt\t99.79 kg, 0.70 % lost" in done.stdout
    assert "verdict\twithin (ASTM B584-14)" in done.stdout
    assert CAUTION in done.stderr


def test_a_charge_is_explained_and_told_in_json(alone: Call) -> None:
    words = ("heat", "charge", "--floor", "floor.csv", *CHARGE, *LOSSES)
    explained = alone(*words, "--explain").stdout
    assert "formula\tper cent = melt of the element / melt x 100" in explained
    assert "source\tloss of Cu, Si, Mn, Fe, Zn, Pb: as given" in explained
    told = json.loads(alone(*words, "--json", "--alloy", "C87300").stdout)
    assert (told["expected"]["melt"], told["expected"]["loss_percent"]) == ("99.7948", "0.7017")
    assert told["judgement"]["verdict"] == "within"
    assert json.loads(alone(*words, "--json").stdout)["judgement"] is None


def test_the_cheapest_charge_is_planned_from_the_floor(alone: Call) -> None:
    done = alone(
        "heat", "charge", "--alloy", "C87300", "--melt", "100kg", "--floor", "floor.csv",
        "--explain",
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "charge\treturns\t26-014\t80.00 kg\t0.000 kg\t0.00" in done.stdout
    assert "held by\tCu at least 94.3, Si at most 4.45, stock of 26-014" in done.stdout
    assert "source\tscipy.optimize.linprog, HiGHS" in done.stdout
    recording = "heat open NUMBER --alloy C87300 --returns '26-014=80.000 kg'"
    assert f"To record it: bronzebook {recording}" in done.stderr
    assert CAUTION in done.stderr


def test_masses_named_bound_what_a_plan_takes_in_the_shops_unit(alone: Call) -> None:
    done = alone(
        "heat", "charge", "--alloy", "C87300", "--melt", "220lb", "--floor", "floor.csv",
        "--returns", "26-014=50lb", "--price", "copper=20", "--json",
    )  # fmt: skip
    told = json.loads(done.stdout)
    masses = {line["name"]: float(line["mass"]) for line in told["lines"]}
    assert masses["26-014"] == pytest.approx(22.680, abs=0.001)  # 50 lb
    assert float(told["expected"]["melt"]) == pytest.approx(99.790, abs=0.01)  # 220 lb
    assert "copper" not in masses


def test_what_stands_in_the_way_of_a_plan_is_named_and_the_status_says_so(alone: Call) -> None:
    done = alone("heat", "charge", "--alloy", "C87300", "--melt", "500kg", "--floor", "floor.csv")
    assert done.exit_code == 6
    assert "in the way\ta melt of 500 kg\t387.2" in done.stdout
    assert "largest melt within\t38" in done.stdout
    assert "No charge from this floor will do. In the way: a melt of 500 kg." in done.stderr


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "Nothing is charged"),
        (["--melt", "100kg"], 2, "--alloy is missing"),
        (["--melt", "100kg", "--alloy", "C87300"], 2, "Nothing lies on the floor"),
        (["--melt", "-1kg", "--alloy", "C87300"], 2, "is not a number of kg"),
        (["--melt", "100kg", "--alloy", "C99999", *CHARGE], 2, "No limits are held here"),
        (["--ingot", "LOT 1=60kg"], 4, "What LOT 1 is made of is not known"),
        (["--ingot", "LOT 881", "--floor", "floor.csv"], 2, "LOT 881 has no mass"),
        (["--ingot", "LOT 881=60", "--floor", "floor.csv"], 2, "has no unit"),
        (["--ingot", "LOT 881=-60kg", "--floor", "floor.csv"], 2, "is not a number of kg"),
        (
            ["--ingot", "LOT 881=200kg", "--ingot", "LOT 881=60kg", "--floor", "floor.csv"],
            6,
            "LOT 881 has 250 kg in stock; the charge takes 260 kg",
        ),
        (["--floor", "none.csv"], 9, "does not exist"),
        ([*CHARGE, "--floor", "floor.csv", "--loss", "Zn"], 2, "is not a loss"),
        ([*CHARGE, "--floor", "floor.csv", "--analysis", "Cu=94"], 2, "names no lot"),
        (["--ingot", "X=1kg", "--analysis", "X: Cu=94,6"], 2, "with a decimal comma"),
        (["--ingot", "X=1kg", "--analysis", "X: Cu=60"], 2, "The analysis of X adds to 60 %"),
        (["--ingot", "X=1kg", "--analysis", "X: Cu=160"], 2, "not a percentage"),
        (["--ingot", "X=1kg", "--analysis", "X: Qu=99"], 2, "is not an element"),
        (["--floor", "floor.csv", "--price", "copper=free"], 2, "has the price “free”"),
        (["--floor", "floor.csv", "--price", "copper"], 2, "is not a price"),
        (["--floor", "floor.csv", "--guard", "much"], 2, "much"),
    ],
)
def test_a_charge_that_cannot_be_meant_is_refused_in_a_line(
    alone: Call, words: list[str], status: int, says: str
) -> None:
    done = alone("heat", "charge", *words)
    assert (done.exit_code, says in done.stderr) == (status, True), done.stderr
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 2


def test_a_file_that_is_no_text_is_refused(alone: Call, tmp_path: Path) -> None:
    (tmp_path / "floor.csv").write_bytes(b"lot,Cu\nx,\xff\n")
    done = alone("heat", "charge", *CHARGE, "--floor", "floor.csv")
    assert (done.exit_code, "is not UTF-8 text" in done.stderr) == (9, True)


def test_zinc_that_was_lost_is_restored_by_the_known_answer(alone: Call) -> None:
    words = (
        "heat", "trim", "Cu=85.170341", "Zn=4.809619", "--melt", "99.8kg", "--to", "Zn=5",
        "--add", "zinc", "--analysis", "zinc: Zn=100", "--recovery", "Zn=96",
    )  # fmt: skip
    done = alone(*words, "--explain")
    assert done.exit_code == 0, done.stderr
    assert done.stdout.startswith("add\t0.208 kg of zinc\nthen\tZn 5.0000 %\nmelt\t100.00 kg\n")
    assert "source\tloss of Zn: recovery of 96 %, as given" in done.stdout
    assert CAUTION in done.stderr
    assert json.loads(alone(*words, "--json").stdout)["exact"][:7] == "0.20833"


DIRTY = ("Cu=94.0", "Si=4.6", "Mn=1.0", "Fe=.25", "Zn=.02", "Pb=.03")
TRIM = ("heat", "trim", *DIRTY, "--melt", "100kg", "--alloy", "C87300", "--floor", "floor.csv")


def test_a_melt_is_mended_with_the_least_metal(alone: Call, tmp_path: Path) -> None:
    (tmp_path / "floor.csv").write_text(FLOOR.replace("50 kg,8.10", "500 kg,8.10"))
    done = alone(*TRIM, "--explain")
    assert done.exit_code == 0, done.stderr
    assert "before\toutside (ASTM B584-14)" in done.stdout
    assert "dilutes\tFe, Si" in done.stdout
    assert "then\twithin (ASTM B584-14)" in done.stdout
    assert "formula\tleast metal added" in done.stdout
    assert json.loads(alone(*TRIM, "--json").stdout)["possible"] is True


def test_a_crucible_that_is_full_is_told_with_the_limits_in_the_way(alone: Call) -> None:
    done = alone(*TRIM, "--crucible", "110kg")
    assert done.exit_code == 6
    assert "in the way\tFe at most 0.19 (limit 0.20)" in done.stdout
    assert "These additions do not mend the melt. In the way: Fe at most 0.19" in done.stderr


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["--melt", "100kg"], 2, "SAMPLE"),
        (["Cu=94"], 2, "--melt"),
        (["Cu=94", "--melt", "100kg"], 2, "--alloy is missing"),
        (["Cu=94", "--melt", "100kg", "--alloy", "C87300"], 2, "Nothing is there to add"),
        (["Cu=94,0", "--melt", "100kg"], 2, "with a decimal comma"),
        (["Cu=94", "Sn=9", "--melt", "100kg"], 2, "adds to 103 %"),
        (["Zn=4", "--melt", "100kg", "--to", "Zn=5"], 2, "0 are named"),
        (["Zn=4", "--melt", "100kg", "--to", "Zn"], 2, "is not a pair"),
        (
            ["Zn=4", "--melt", "1kg", "--to", "Zn=5", "--add", "x", "--analysis", "x: Cu=99.9"],
            6,
            "No amount of x brings Zn to 5 %",
        ),
        (["Zn=4", "--melt", "0kg", "--to", "Zn=5", "--floor", "floor.csv"], 2, "5 are named"),
    ],
)
def test_what_cannot_be_trimmed_is_refused_in_a_line(
    alone: Call, words: list[str], status: int, says: str
) -> None:
    done = alone("heat", "trim", *words)
    assert (done.exit_code, says in done.stderr) == (status, True), done.stderr
    assert done.stdout == ""


def test_an_analysis_is_judged_without_a_registry(alone: Call) -> None:
    done = alone("heat", "judge", *BRASS, "--alloy", "C83600", "--explain")
    assert done.exit_code == 0, done.stderr
    assert "analysis\tsum\t99.554\tat least 99.3\twithin" in done.stdout
    assert "84.3 with nickel, which the note counts towards the minimum" in done.stdout
    assert "verdict\twithin (ASTM B584, edition not stated)" in done.stdout
    assert "source\tASTM E29, rounding method" in done.stdout
    spoiled = alone("heat", "judge", *BRASS[:-1], "Si=.02", "--alloy", "C83600").stdout
    assert "analysis\tSi\t0.02\tat most 0.005\toutside, 0.015 above" in spoiled


def test_another_edition_that_decides_otherwise_is_remarked_on(alone: Call) -> None:
    figures = ("Cu=94.4", "Si=4.1", "Mn=1.1", "Fe=.08", "Zn=.05", "Pb=.15")
    done = alone("heat", "judge", *figures, "--alloy", "C87300")
    assert "verdict\toutside (ASTM B584-14)" in done.stdout
    assert "remark: By CDA 2006 it is within." in done.stderr
    older = alone("heat", "judge", *figures, "--alloy", "C87300", "--edition", "2006")
    assert "verdict\twithin" in older.stdout
    assert "remark: By ASTM B584-14 it is outside." in older.stderr


def test_every_sample_of_a_file_is_judged(alone: Call, tmp_path: Path) -> None:
    (tmp_path / "lab.csv").write_text(
        "sample;Cu;Si;Mn;Fe;Zn;Pb ppm\na;94,6;4;1;,1;,1;50\nb;90;4;1;0;0;50\n"
    )
    words = ("heat", "judge", "--file", "lab.csv", "--alloy", "C87300")
    assert "Row 2: Cu has “94,6”, with a decimal comma" in alone(*words).stderr
    done = alone(*words, "--decimal-comma", "--json")
    assert [(x["sample"], x["verdict"]) for x in json.loads(done.stdout)] == [
        ("a", "within"), ("b", "outside"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["Cu=94"], 2, "--alloy is missing"),
        (["--alloy", "C87300"], 2, "names no element"),
        (["Cu=94", "--file", "floor.csv"], 2, "A file and figures were given"),
        (["--file", "none.csv", "--alloy", "C87300"], 9, "does not exist"),
        (["Cu=94", "--alloy", "C87300", "--edition", "1900"], 2, "has no edition"),
        (["26-1", "--alloy", "C87300"], 7, "No registry is named"),
    ],
)
def test_what_cannot_be_judged_is_refused_in_a_line(
    alone: Call, words: list[str], status: int, says: str
) -> None:
    done = alone("heat", "judge", *words)
    assert (done.exit_code, says in done.stderr) == (status, True), done.stderr
    assert done.stdout == ""


def _loaded(*words: str, folder: Path) -> set[str]:
    probe = (
        "import sys\nfrom editions.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert end.code in (0, None), end.code\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    own = {name: text for name, text in os.environ.items() if not name.startswith("BRONZEBOOK_")}
    path = {"PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(
        [sys.executable, "-c", probe, *words], env=own | path, cwd=folder,
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return {name.partition(".")[0] for name in done.stderr.splitlines()[-1].split()}


def test_only_what_needs_the_solver_loads_it(alone: Call, tmp_path: Path) -> None:
    floor = ("--floor", "floor.csv", "--alloy", "C87300")
    assert not _loaded("heat", "judge", *BRASS, "--alloy", "C83600", folder=tmp_path) & {
        "numpy",
        "scipy",
    }
    assert not _loaded("heat", "charge", *floor, *CHARGE, folder=tmp_path) & {"numpy", "scipy"}
    assert {"numpy", "scipy"} <= _loaded("heat", "charge", *floor, "--melt", "9kg", folder=tmp_path)
