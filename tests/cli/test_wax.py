"""``bronzebook wax``: pulls and what becomes of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import a_mold, a_run, a_wax, state


def test_three_pulls_are_recorded_at_once(call: Call, registry: Registry) -> None:
    mold = a_mold(registry, "D-0001", "head", "torso")
    done = call("wax", "pull", mold, "head", "--count", "3", "--mass", "1.2kg", "--wall", "3/16 in")
    assert (done.exit_code, done.stderr) == (0, "")
    lines = [line.split("  ")[:4] for line in done.stdout.splitlines()]
    assert [line[2:] for line in lines] == [
        [f"pull {n} of {mold} head", "1.2 kg"] for n in (1, 2, 3)
    ]
    assert all(str(state(registry, line[0]).wall) == "3/16 in" for line in lines)


def test_pulls_are_given_as_json(call: Call, shop: Shop) -> None:
    done = call("wax", "pull", shop.mold, "--count", "2", "--run", shop.run, "--json")
    assert [entry["kind"] for entry in json.loads(done.stdout)] == ["wax_pulled"] * 2


def test_codes_may_be_chosen_one_a_wax(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("wax", "pull", shop.mold, "--code", "w-0100..w-0102")
    assert [line.split()[0] for line in done.stdout.splitlines()] == ["W-0100", "W-0101", "W-0102"]
    for words, status, says in (
        (["--code", "W-0103", "--count", "2"], 2, "1 codes for 2 waxes"),
        (["--code", "P-0103"], 2, "code of a wax"),
        (["--code", "W-0100"], 6, "already in the book"),
    ):
        done = call("wax", "pull", shop.mold, *words)
        assert (done.exit_code, done.stdout) == (status, "")
        assert says in done.stderr
    assert state(registry, shop.mold).section("body").pulls == 6


def test_a_sheet_of_waxes_is_sealed_at_once(
    call: Call, registry: Registry, shop: Shop, tmp_path: Path
) -> None:
    sheet = tmp_path / "day.txt"
    assert call("sheet", "new", str(sheet)).exit_code == 0
    lines = [
        f"wax pull {shop.mold} --code W-0100..W-0101 --mass '1.2 kg'",
        f"wax judge W-0100..W-0101 --accept --run {shop.run}",
    ]
    empty = sheet.read_text()
    sheet.write_text(empty + "\n".join(lines))
    assert call("sheet", "seal", str(sheet)).exit_code == 2
    lines[1:] = [
        "wax judge W-0100..W-0101 --accept",
        f"wax allot W-0100..W-0101 {shop.run}",
        "wax mark-number W-0100 5 of 8",
        "mold inspect M-0001 --tears sound",
        f"number promise {shop.run} 6/8",
        "number give T-0101 --next",
    ]
    sheet.write_text(empty + "\n".join(lines))
    done = call("sheet", "seal", str(sheet))
    assert (done.exit_code, done.stderr) == (0, "7 lines, 10 entries, sealed.\n")
    assert state(registry, "W-0100").number == "5/8"
    assert state(registry, shop.poured).number == "1/8"


def test_a_direct_wax_has_no_mold(call: Call, registry: Registry, shop: Shop) -> None:
    run = a_run(registry, shop.work, route="direct wax")
    done = call("wax", "pull", "--direct", "whole", "--run", run)
    assert done.exit_code == 0
    assert f"wax pulled  whole  {run}" in done.stdout
    done = call("wax", "pull", shop.mold, "--direct", "whole")
    assert done.exit_code == 2
    assert "--direct means no mold" in done.stderr


def test_the_newest_mold_is_likely_and_its_sections_are_asked_for(
    at_terminal: Callable[..., Shown], registry: Registry
) -> None:
    mold = a_mold(registry, "D-0001", "head", "torso")
    shown = at_terminal("wax", "pull", answers="\ntail\nTorso\n")
    assert f"From which mold [{mold}]: " in shown.text
    assert shown.text.count("Which section of head, torso [head]: ") == 2
    assert "no section “tail”" in shown.text
    assert state(registry, mold).section("torso").pulls == 1


def test_a_mold_of_one_section_asks_nothing(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("wax", "pull", shop.mold)
    assert "Which" not in shown.text
    assert shown.status == 0


def test_a_rack_of_waxes_is_judged(call: Call, registry: Registry, shop: Shop) -> None:
    waxes = [a_wax(registry, shop.mold) for _ in range(3)]
    done = call("wax", "judge", f"{waxes[0]}..{waxes[1]}", "--accept", "--hand", "Y-0001")
    assert done.exit_code == 0
    assert [line.split("  ")[2] for line in done.stdout.splitlines()] == ["accepted"] * 2
    done = call("wax", "judge", waxes[2], "--reject", "air in the beak")
    assert "air" not in done.output
    assert [state(registry, wax).accepted for wax in waxes] == [True, True, False]


def test_a_judgement_is_asked_for_on_a_terminal(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    at_terminal("wax", "judge", shop.wax, answers="\n")
    assert state(registry, shop.wax).accepted is True
    other = a_wax(registry, shop.mold)
    shown = at_terminal("wax", "judge", other, answers="rejected\nthin\n")
    assert "Why: " in shown.text
    assert state(registry, other).fate == "rejected"


def test_a_row_of_waxes_is_allotted_and_one_is_numbered(
    call: Call, registry: Registry, shop: Shop
) -> None:
    waxes = [a_wax(registry, shop.mold) for _ in range(2)]
    done = call("wax", "allot", *waxes, shop.run)
    assert done.exit_code == 0
    assert done.stdout.count(f"to {shop.run}") == 2
    done = call("wax", "mark-number", waxes[0], "5", "of", "8")
    assert done.exit_code == 0
    assert f"wax numbered  5/8 of {shop.run}" in done.stdout
    assert state(registry, waxes[0]).number == "5/8"
    done = call("wax", "mark-number", shop.wax, "AP", "I/IV", "--run", shop.run)
    assert state(registry, shop.wax).number == "AP I/IV"


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["pull"], 2, "MOLD is missing"),
        (["pull", "M-0099"], 4, "No mold M-0099"),
        (["pull", "M-0001", "tail"], 4, "no section “tail”"),
        (["pull", "M-0001", "--count", "0"], 2, "0"),
        (["pull", "M-0001", "--mass", "1,2kg"], 2, "comma"),
        (["pull", "M-0001", "--mass", "12mm"], 2, "not a mass"),
        (["pull", "M-0001", "--run", "R-0099"], 4, "No run R-0099"),
        (["pull", "M-0001", "--on", "2199"], 6, "not come yet"),
        (["pull", "M-0001", "--on", "1999"], 6, "run backwards"),
        (["judge", "W-0001"], 2, "--accept or --reject is missing"),
        (["judge", "W-0001", "--accept", "--reject", "thin"], 2, "not both"),
        (["judge", "W-0001", "--reject", ""], 2, "Why the wax is rejected"),
        (["judge", "W-0099", "--accept"], 4, "No wax W-0099"),
        (["allot", "W-0001", "R-0099"], 4, "No run R-0099"),
        (["allot", "R-0001"], 2, "WAXES"),
        (["mark-number", "W-0001", "3/8"], 2, "allotted to no run"),
        (["mark-number", "W-0001", "3/8", "--run", "R-0001"], 6, "3/8 was given"),
        (["mark-number", "W-0001", "9/8", "--run", "R-0001"], 6, "above the total"),
    ],
)
def test_what_cannot_be_done_with_a_wax_is_said(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("wax", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_refused_for_one_wax_is_refused_for_all(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("wax", "judge", shop.wax, "W-0099", "--accept")
    assert done.exit_code == 4
    assert state(registry, shop.wax).accepted is None
