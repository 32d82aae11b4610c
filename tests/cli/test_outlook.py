"""``bronzebook mold outlook``: with a mold of the book, and at the bench with figures alone."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result

from editions.cli import bronzebook
from tests.cli.conftest import Call, Shop, Shown

TEARS = "0:0 5:0.5 10:1.2 15:1.6 20:2.3"


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Call:
    """Call the command line where no registry is named and none lies."""
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    monkeypatch.chdir(tmp_path)

    def run(*words: str, **options: object) -> Result:
        return CliRunner().invoke(bronzebook, list(words), **options)  # type: ignore[arg-type]

    return run


# Foundry facts, known answer 7.
def test_figures_alone_need_no_registry(bare: Call) -> None:
    done = bare("mold", "outlook", "--tears", TEARS, "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    (section,) = json.loads(done.stdout)["sections"]
    (wear,) = section["wears"]
    assert (wear["slope"], wear["crossing"], wear["bound"]) == ("0.1140", "44.04", "40.40")
    assert (section["pulls"], section["retire_at"], section["answer"]) == (20, 40, "not asked")


def test_the_answer_stands_first_and_explained_last(bare: Call) -> None:
    done = bare(
        "mold", "outlook", "--tears", TEARS, "--wanted", "12", "--sound", "18", "--rejected", "2",
        "--cure", "tin", "--made", "2010", "--explain",
    )  # fmt: skip
    lines = done.stdout.splitlines()
    assert lines[0] == "can it finish\tdoubtful, chance 99.7 %"
    assert lines[1].startswith("age\tmade 2010")
    assert "at pull 35" in lines[2]
    assert any(line.startswith("formula\tbound = ") for line in lines)
    assert any(line.startswith("source\t") for line in lines)
    assert "never better than doubtful" in done.stderr


def test_no_failure_alone_is_told_by_its_bound(bare: Call) -> None:
    done = bare("mold", "outlook", "--pulls", "24", "--wanted", "8")
    assert "11.7 % a pull" in done.stdout
    assert "only that it has not failed" in done.stderr


def test_a_plot_is_written_as_svg(bare: Call, tmp_path: Path) -> None:
    done = bare("mold", "outlook", "--tears", TEARS, "--plot", "tears.svg")
    assert "Plot written: tears.svg" in done.stderr
    root = ET.fromstring((tmp_path / "tears.svg").read_text(encoding="utf-8"))
    assert root.get("role") == "img"
    two = ("--registration", "0:0.1 5:0.2 9:0.4")
    done = bare("mold", "outlook", "--tears", TEARS, *two, "--plot", "both.svg")
    assert sorted(path.name for path in tmp_path.glob("both*")) == [
        "both-mold-registration.svg",
        "both-mold-tears.svg",
    ]


def test_a_mold_of_the_book_brings_its_pulls_readings_and_run(call: Call, shop: Shop) -> None:
    for pulls, gap in enumerate(("0.1", "0.4", "0.7")):
        call("mold", "inspect", shop.mold, "--tears", f"worn/{gap}mm")
        assert call("wax", "pull", shop.mold, "--count", str(pulls + 1)).exit_code == 0
    done = call("mold", "outlook", shop.mold.lower(), "--json")
    found = json.loads(done.stdout)
    assert (found["mold"], found["run"]) == (shop.mold, shop.run)
    (section,) = found["sections"]
    readings = section["wears"][0]["readings"]
    assert [reading[1] for reading in readings] == ["0.100", "0.400", "0.700"]
    assert section["pulls"] == int(float(readings[-1][0])) + 3
    assert section["wanted"] < 12


def test_on_a_terminal_it_is_a_table(at_terminal: Callable[..., Shown], shop: Shop) -> None:
    shown = at_terminal("mold", "outlook", shop.mold, "--threshold", "tears=4mm", "--lead", "3")
    assert "can it finish" in shown.text
    assert "fails at most" in shown.text


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "A mold is not named"),
        (["--run", "R-0001"], 2, "A mold is not named"),
        (["--tears", "0:0,5"], 2, "comma"),
        (["--tears", "0:0 5:-1"], 2, "below nothing"),
        (["--tears", "0:0 5"], 2, "not a reading"),
        (["--tears", TEARS, "--threshold", "holes=1mm"], 2, "no threshold"),
        (["--tears", TEARS, "--threshold", "tears=0mm"], 2, "threshold"),
        (["--tears", TEARS, "--cure", "oven"], 2, "not a cure"),
        (["--tears", TEARS, "--made", "24/11/2020"], 2, "two orders"),
        (["--pulls", "12", "--plot", "x.svg"], 6, "nothing to plot"),
        (["--pulls", "-3"], 2, "not a number"),
        (["M-0001", "--tears", TEARS], 2, "the book counts that"),
        (["M-0001", "--rejected", "2"], 2, "the book counts that"),
        (["M-0099"], 4, "No mold M-0099"),
        (["M-0001", "--run", "R-0099"], 4, "No run R-0099"),
    ],
)
def test_what_cannot_be_looked_out_for_is_said(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], status: int,
    says: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    done = call("mold", "outlook", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert not list(tmp_path.glob("*.svg"))
