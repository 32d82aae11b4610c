"""``bronzebook heat``: opened, analysed, poured."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import a_piece, state

# The melt computed in the foundry's figures, within ASTM B584-14 for C87300.
MELT = ("Cu=94.44", "Si=4.26", "Mn=.99", "Fe=.11", "Zn=.07", "Pb=.02")


def test_a_heat_is_opened_with_its_charge(call: Call, registry: Registry, tmp_path: Path) -> None:
    paper = tmp_path / "lot.pdf"
    paper.write_bytes(b"certificate of lot 881")
    done = call(
        "heat", "open", "24-117", "--alloy", "c87300", "--ingot", "LOT 881=60kg",
        "--returns", "26-0001=40kg", "--add", "silicon=0.5kg", "--crucible", "A 60",
        "--certificate", f"LOT 881={paper}", "--note", "damp morning",
    )  # fmt: skip
    assert done.exit_code == 0
    code = done.stdout.split()[0]
    assert done.stdout.startswith(f"{code}  heat charged  24-117, c87300")
    assert done.stderr == ""
    heat = state(registry, code)
    assert [line.name for line in heat.charge] == ["LOT 881", "26-0001", "silicon"]
    assert heat.charge[0].certificate == sha256(b"certificate of lot 881").hexdigest()
    assert heat.charge[1].certificate is None
    assert heat.crucible == "A 60"


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["24-117"], 2, "--alloy is missing"),
        (["26-0001", "--alloy", "C87300"], 6, "has the heat number 26-0001"),
        (["24-117", "--alloy", "C87300", "--ingot", "LOT=60"], 2, "has no unit"),
        (["24-117", "--alloy", "C87300", "--returns", "23-9"], 4, "23-9"),
        (["24-117", "--alloy", "C87300", "--certificate", "LOT 1"], 2, "not a pair"),
        (["24-117", "--alloy", "C87300", "--certificate", "LOT 1=x.pdf"], 4, "No lot"),
        (
            ["24-117", "--alloy", "C87300", "--ingot", "LOT 1", "--certificate", "LOT 1=no.pdf"],
            9,
            "no.pdf” does not exist",
        ),
    ],
)
def test_a_heat_that_cannot_be_opened_is_said_in_a_line_and_not_written(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    with registry.reading() as reading:
        before = reading.size
    done = call("heat", "open", *words)
    assert done.exit_code == status
    assert says in done.stderr
    assert done.stdout == ""
    with registry.reading() as reading:
        assert reading.size == before


def test_an_analysis_prints_the_verdict_with_every_finding(
    call: Call, registry: Registry, shop: Shop, tmp_path: Path
) -> None:
    (tmp_path / "report.pdf").write_bytes(b"report")
    done = call(
        "heat", "analyse", "26-0001", *MELT, "--method", "spark OES",
        "--laboratory", "Y-0001", "--report", str(tmp_path / "report.pdf"),
    )  # fmt: skip
    assert done.exit_code == 0
    first, *findings = done.stdout.splitlines()
    assert first.startswith(f"{shop.heat}  heat analysed  26-0001, within, ASTM B584-14")
    assert "  Si 4.26 (3.5 to 4.5): within; counts as 4.3" in findings
    assert len(findings) == 7
    assert state(registry, shop.heat).verdict == "within"


def test_a_verdict_as_json_says_what_it_was_judged_by(call: Call, shop: Shop) -> None:
    done = call(
        "heat", "analyse", shop.heat, *MELT[:-1], "Pb=0.15", "--method", "OES", "--json",
        "--edition", "2006",
    )  # fmt: skip
    (told,) = json.loads(done.stdout)
    assert (told["code"], told["verdict"], told["edition"]) == (shop.heat, "within", "CDA 2006")
    assert "Pb 0.15 (at most 0.20): within" in told["findings"]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["26-0001", "Cu=94"], 2, "--method is missing"),
        (["26-0001", "--method", "OES"], 2, "PERCENTAGES"),
        (["26-0001", "Cu94", "--method", "OES"], 2, "Write it as Cu=94.44"),
        (["26-0001", "Cu=94", "Cu=95", "--method", "OES"], 2, "given twice"),
        (["26-0001", "Cu=94,4", "--method", "OES"], 2, "not a percentage"),
        (["26-0009", "Cu=94", "--method", "OES"], 4, "26-0009"),
        (["26-0001", "Cu=94", "--method", "OES", "--report", "."], 9, "not a file"),
    ],
)
def test_an_analysis_that_cannot_be_read_is_not_entered(
    call: Call, registry: Registry, shop: Shop, words: list[str], status: int, says: str
) -> None:
    done = call("heat", "analyse", *words)
    assert (done.exit_code, says in done.stderr) == (status, True)
    assert state(registry, shop.heat).verdict == "not analysed"


def test_shells_are_poured_from_a_range(call: Call, registry: Registry, shop: Shop) -> None:
    for tag in ("T-0201", "T-0202"):
        a_piece(registry, shop.run, to="fired", mold=shop.mold, tag=tag)
    call("heat", "open", "24-117", "--alloy", "C87300")
    done = call("heat", "pour", "24-117", "T-0201..T-0202", "--metal", "2000F", "--shell", "1300F")
    assert done.exit_code == 0
    assert "heat poured  24-117, 2 shells" in done.stdout
    assert "Molten metal" in done.stderr
    with registry.reading() as reading:
        assert all(reading.state(reading.resolve(t)).poured for t in ("T-0201", "T-0202"))  # type: ignore[union-attr]


def test_one_section_is_poured_by_its_name(call: Call, registry: Registry, shop: Shop) -> None:
    a_piece(registry, shop.run, to="fired", mold=shop.mold, tag="T-0201")
    call("heat", "open", "24-117", "--alloy", "C87300")
    done = call("heat", "pour", "24-117", "T-0201/Body")
    assert "24-117, 1 shell  " in done.stdout


@pytest.mark.parametrize(
    ("shells", "status", "says"),
    [
        (["T-0103"], 6, "no wax"),
        (["T-0101"], 6, "no section left to pour"),
        (["T-0103", "T-0103"], 2, "named twice"),
        (["T-0109..T-0101"], 2, "runs backwards"),
        (["T-0103/wing"], 4, "no section"),
        ([" "], 2, "not a tag"),
        ([], 2, "SHELLS"),
    ],
)
def test_shells_that_cannot_be_poured_are_not(
    call: Call, registry: Registry, shells: list[str], status: int, says: str
) -> None:
    call("heat", "open", "24-117", "--alloy", "C87300")
    done = call("heat", "pour", "24-117", *shells, "--metal", "2000F")
    assert done.exit_code == status
    assert says in done.stderr
    with registry.reading() as reading:
        heat: Any = reading.state(reading.resolve("24-117"))
    assert heat.shells == ()


def test_a_missing_alloy_is_asked_for_with_that_of_the_last_heat(
    at_terminal: Any, registry: Registry
) -> None:
    shown = at_terminal("heat", "open", "24-117", answers="\n")
    assert shown.status == 0
    assert "Which alloy [C87300]:" in shown.text
    with registry.reading() as reading:
        heat: Any = reading.state(reading.resolve("24-117"))
    assert heat.alloy == "C87300"


def test_in_a_day_sheet_the_verdict_waits_for_the_seal(
    call: Call, registry: Registry, shop: Shop, tmp_path: Path
) -> None:
    sheet = tmp_path / "day.txt"
    sheet.write_text(f"heat analyse 26-0001 {' '.join(MELT)} --method OES\n")
    checked = call("sheet", "check", str(sheet))
    assert checked.exit_code == 0, checked.stderr
    assert "Si 4.26" not in checked.stdout
    assert state(registry, shop.heat).verdict == "not analysed"
    sealed = call("sheet", "seal", str(sheet))
    assert sealed.exit_code == 0, sealed.stderr
    assert state(registry, shop.heat).verdict == "within"


def test_a_figure_is_typed_as_reports_write_it(call: Call, shop: Shop) -> None:
    done = call("heat", "analyse", shop.heat, *MELT[:-1], "Pb<0.005", "--method", "OES")
    assert done.exit_code == 0, done.stderr
    assert "analysed\tPb\t<0.005" in call("show", shop.heat).stdout
