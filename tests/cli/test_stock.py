"""``bronzebook alloy`` and ``bronzebook lot``."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call
from tests.registry.builders import state

LIMITS = ("Cu=94..", "Si=3.8..4.4", "Ni+Co=..1.0")


def test_an_alloy_is_stated_listed_and_shown(call: Call, registry: Registry) -> None:
    done = call("alloy", "state", "Lane bronze", *LIMITS, "--sum", "99.0", "--source", "own casts")
    assert done.exit_code == 0, done.stderr
    assert done.stdout.startswith("A-0001  alloy stated  Lane bronze, version 1")
    assert state(registry, "A-0001").versions[0].source == "own casts"
    listed = call("alloy", "list").stdout
    assert "Lane bronze\town\t\tversion 1" in listed
    assert "C87300\tUNS\tSilicon bronze, 95-4-1\tCDA 2006, ASTM B584-14" in listed
    shown = call("alloy", "show", "lane bronze").stdout
    assert "limits\tNi\tat most 1.0\tCo\tthe foundry's own limits\tstated by the foundry" in shown
    assert "limits\tsum\tat least 99.0" in shown
    again = call("show", "A-0001").stdout
    assert "limits\tSi\t3.8\t4.4" in again


def test_a_published_alloy_is_shown_with_its_sources_by_edition(call: Call) -> None:
    newest = call("alloy", "show", "C87300").stdout
    assert "limits\tPb\tat most 0.09\t\tASTM B584-14\tseen" in newest
    assert "figures\tpour, heavy sections\t1850 to 1950 °F" in newest
    assert "other editions\tCDA 2006" in newest
    older = json.loads(call("alloy", "show", "C87300", "--edition", "2006", "--json").stdout)
    assert [x["high"] for x in older["limits"] if x["element"] == "Pb"] == ["0.20"]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["state", "Odd"], 2, "LIMITS"),
        (["state", "Odd", "Cu"], 2, "is not a limit"),
        (["state", "Odd", "Cu=96..94"], 6, "limited from 96 to 94"),
        (["state", "C87300", "Cu=94.."], 6, "is a published alloy"),
        (["state", "Odd", "Cu=94..", "--sum", "many"], 2, "“many” is no sum"),
        (["state", "Odd", "Cu=94..", "--density", "8,4"], 2, "“8,4” is no density"),
        (["show", "Odd"], 2, "No limits are held here"),
        (["show", "C87300", "--edition", "1900"], 2, "has no edition"),
    ],
)
def test_an_alloy_that_cannot_be_meant_is_not_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    with registry.reading() as reading:
        before = reading.size
    done = call("alloy", *words)
    assert (done.exit_code, says in done.stderr) == (status, True), done.stderr
    with registry.reading() as reading:
        assert reading.size == before


def test_a_lot_is_taken_in_and_what_is_left_of_it_told(
    call: Call, registry: Registry, tmp_path: Path
) -> None:
    (tmp_path / "881.pdf").write_bytes(b"certificate of lot 881")
    done = call(
        "lot", "receive", "LOT 881", "Cu=94.60", "Si=4.10", "Pb<50ppm", "--mass", "250kg",
        "--certificate", str(tmp_path / "881.pdf"),
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert done.stdout.startswith("L-0001  lot received  LOT 881, 250 kg")
    lot = state(registry, "L-0001")
    assert lot.percentages == {"Cu": "94.60", "Si": "4.10", "Pb": "<0.0050"}
    assert lot.certificate == sha256(b"certificate of lot 881").hexdigest()
    assert (
        call("heat", "open", "24-1", "--alloy", "C87300", "--ingot", "LOT 881=60kg").exit_code == 0
    )
    assert call("lot", "list").stdout == "L-0001\tingot\tLOT 881\t250 kg\t190 kg\n"
    shown = call("show", "L-0001").stdout
    assert "left\t190.000 kg" in shown
    assert "analysis\tPb\t<0.0050" in shown
    assert "heat 24-1" in shown
    assert "L-0001" in call("find", "881").stdout


def test_a_file_of_lots_is_taken_in_whole_or_not_at_all(
    call: Call, registry: Registry, tmp_path: Path
) -> None:
    file = tmp_path / "lots.csv"
    file.write_text("lot;kind;mass;Cu;Si\nLOT 1;;100 kg;94,6;4,1\nSi;addition;;0,5;98,5\n")
    assert call("lot", "read", str(file)).exit_code == 2
    done = call("lot", "read", str(file), "--decimal-comma")
    assert done.exit_code == 0, done.stderr
    assert [line.split()[0] for line in done.stdout.splitlines()] == ["L-0001", "L-0002"]
    assert state(registry, "L-0002").source == "addition"
    file.write_text("lot;kind;mass;Cu;Si\nLOT 7;;100 kg;94.6;4.1\nLOT 1;;;94.6;4.1\n")
    again = call("lot", "read", str(file))
    assert (again.exit_code, "is called LOT 1 already" in again.stderr) == (6, True)
    assert "LOT 7" not in call("lot", "list").stdout


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["LOT 1"], 2, "PERCENTAGES"),
        (["LOT 1", "Cu=94,6"], 2, "with a decimal comma"),
        (["LOT 1", "Cu=194"], 2, "not a percentage"),
        (["LOT 1", "Cu=94", "Sn=9"], 2, "adds to 103 %"),
        (["LOT 1", "Qu=94"], 2, "is not an element"),
        (["LOT 1", "Cu=94", "--mass", "-5kg"], 2, "is not a number of kg"),
        (["LOT 1", "Cu=94", "--kind", "scrap"], 2, "is not a kind"),
        (["LOT 1", "Cu=94", "--certificate", "no.pdf"], 9, "does not exist"),
    ],
)
def test_a_lot_that_cannot_be_meant_is_not_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("lot", "receive", *words)
    assert (done.exit_code, says in done.stderr) == (status, True), done.stderr
    assert state(registry, "L-0001") is None


def test_returns_are_no_lot(call: Call, tmp_path: Path) -> None:
    file = tmp_path / "lots.csv"
    file.write_text("lot,kind,Cu\n26-1,returns,99\n")
    done = call("lot", "read", str(file))
    assert (done.exit_code, "is of kind returns" in done.stderr) == (2, True)


@pytest.fixture
def charged(call: Call) -> Call:
    """A heat that took 55 kg of a lot of 60."""
    assert call("lot", "receive", "LOT 881", "Cu=95", "--mass", "60kg").exit_code == 0
    opened = call("heat", "open", "26-9", "--alloy", "C87300", "--ingot", "LOT 881=55kg")
    assert opened.exit_code == 0
    return call


def left(call: Call) -> str:
    """What the list of lots says is left of the only one."""
    return call("lot", "list").stdout


@pytest.mark.parametrize(
    ("charge", "says"),
    [
        ("ingot LOT 881 50kg; ingot LOT 882 5kg", "How much was charged of LOT 881 50kg"),
        ("ingot LOT 881", "How much was charged of LOT 881 is not said"),
        ("ingot LOT 881=60.5kg", "has 60.000 kg left; the charge takes 60.500 kg"),
        ("ingot LOT 881=60kg; ingot LOT 881=1g", "the charge takes 60.001 kg"),
        ("addition LOT 881=5kg", "is of kind ingot"),
    ],
)
def test_a_charge_is_corrected_by_lots_and_masses_only(
    charged: Call, charge: str, says: str
) -> None:
    before = left(charged)
    done = charged("correct", "26-9#1", f"charge={charge}", "--reason", "read wrong")
    assert done.exit_code == 6, done.stderr
    assert says in done.stderr
    assert left(charged) == before


def test_a_corrected_charge_takes_from_its_lot_what_it_says(charged: Call) -> None:
    done = charged(
        "correct", "26-9#1", "charge=ingot lot 881=60kg; ingot BIN=1kg", "--reason", "read wrong"
    )
    assert done.exit_code == 0, done.stderr
    assert "No lot of this book: BIN; its stock is not counted." in done.stderr
    assert "0 kg" in left(charged).split("60 kg", 1)[1]


def test_a_line_that_was_never_weighed_stays_as_it_is(call: Call) -> None:
    opened = ["heat", "open", "26-9", "--alloy", "C87300", "--ingot", "BIN", "--add", "Si=1kg"]
    assert call(*opened).exit_code == 0
    done = call("correct", "26-9#1", "charge=ingot BIN; addition Si=2kg", "--reason", "scale")
    assert done.exit_code == 0, done.stderr
