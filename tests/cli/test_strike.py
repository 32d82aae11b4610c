"""``bronzebook strike``: what never happened is crossed out and stays legible."""

from __future__ import annotations

import json
from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import state

WHY = ("--reason", "wrong tag on the tree")


def lines(text: str) -> list[str]:
    """The lines of a history, without the dates and the entries' numbers."""
    rows = [row.split("\t") for row in text.splitlines()]
    return [f"{row[1]} {row[4]}" for row in rows if row[0] == "history"]


def test_a_step_is_struck_by_its_line_and_the_history_says_so(
    call: Call, registry: Registry, shop: Shop
) -> None:
    call("step", "gated", "T-0103")
    done = call("strike", "T-0103#2", *WHY)
    assert (done.exit_code, done.stderr) == (0, "")
    assert f"{shop.started}  entry struck  step done: gated  " in done.stdout
    assert state(registry, shop.started).steps == ()
    shown = call("show", "T-0103")
    assert lines(shown.stdout)[1:] == [
        "2 step done: gated (struck, see #3)",
        "3 strikes #2: step done",
    ]
    assert "steps" not in shown.stdout
    assert "wrong tag" not in shown.stdout
    assert "held: reason wrong tag on the tree" in call("show", "T-0103", "--held").stdout


def test_an_entry_struck_says_which_entry_strikes_it(call: Call, shop: Shop) -> None:
    call("step", "gated", "T-0103")
    (struck,) = json.loads(call("strike", "T-0103#2", *WHY, "--json").stdout)
    assert (struck["code"], struck["kind"]) == (shop.started, "entry_struck")
    entry = json.loads(call("show", "T-0103#2", "--json").stdout)
    assert entry["struck_by"] == entry["position"] + 1
    assert f"struck\tby entry {entry['struck_by']}, " in call("show", "T-0103#2").stdout
    told = json.loads(call("show", "T-0103", "--json").stdout)
    assert [one["struck_by"] for one in told["history"]] == [None, entry["struck_by"], None]
    assert told["state"]["steps"] == []
    assert json.loads(call("show", "T-0103#1", "--json").stdout)["struck_by"] is None


def test_a_wax_in_the_wrong_piece_goes_into_the_right_one(
    call: Call, registry: Registry, shop: Shop
) -> None:
    call("piece", "start", shop.run, "--tag", "T-0104")
    assert call("piece", "take", "T-0103", shop.wax).exit_code == 0
    refused = call("piece", "take", "T-0104", shop.wax)
    assert refused.exit_code == 6
    named = refused.stderr.partition("bronzebook strike ")[2].split(".")[0]
    assert call("strike", named, *WHY).exit_code == 0
    assert call("piece", "take", "T-0104", shop.wax).exit_code == 0
    assert state(registry, shop.wax).piece == "P-0004"
    assert call("audit").exit_code == 0


def test_what_was_entered_twice_is_shown_as_struck_under_its_code(call: Call, shop: Shop) -> None:
    call("party", "add", "artist", "--name", "Ilse Vargas", "--code", "Y-0009")
    assert call("strike", "y-0009#1", *WHY).exit_code == 0
    shown = call("show", "y-0009")
    assert shown.exit_code == 0
    assert shown.stdout.startswith("Y-0009\tstruck: nothing in this book bears this code")
    assert lines(shown.stdout)[0].endswith("(struck, see #2)")
    assert json.loads(call("show", "Y-0009", "--json").stdout)["state"] is None
    assert "Ilse Vargas" not in call("find", "Vargas").stdout
    work = call("work", "add", "Y-0009", "Heron")
    assert work.exit_code == 4
    assert "It was entered and struck; see: bronzebook show Y-0009." in work.stderr
    again = call("party", "add", "artist", "--name", "Ilse Varga", "--code", "Y-0009")
    assert again.exit_code == 6
    assert "Y-0009 was entered and struck." in again.stderr


def test_what_is_held_of_a_struck_party_can_be_erased(call: Call, shop: Shop) -> None:
    call("party", "add", "hand", "--private-name", "Jo Fenwick", "--code", "Y-0009")
    call("strike", "Y-0009#1", *WHY)
    done = call(
        "held", "erase", "Y-0009#1", "private-name", "--authority", shop.artist,
        "--because", "request", input="y\n",
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "Jo Fenwick" not in call("show", "Y-0009", "--held").stdout
    assert call("audit").exit_code == 0


def test_a_sheet_strikes_what_an_earlier_sheet_said(
    call: Call, registry: Registry, shop: Shop, tmp_path_factory: pytest.TempPathFactory
) -> None:
    sheet = str(tmp_path_factory.mktemp("sheets") / "today.txt")
    call("sheet", "new", sheet)
    with open(sheet, "a") as opened:  # noqa: PTH123 - as a hand would
        opened.write('step gated T-0103\nstrike T-0103#2 --reason "wrong tag"\n')
    done = call("sheet", "seal", sheet)
    assert done.exit_code == 0, done.stderr
    assert "wrong tag" not in done.stdout
    assert state(registry, shop.started).steps == ()
    assert call("audit").exit_code == 0


def test_the_reason_is_asked_for_at_a_terminal(
    at_terminal: Any, registry: Registry, shop: Shop, call: Call
) -> None:
    call("step", "gated", "T-0103")
    shown = at_terminal("strike", "T-0103#2", answers="wrong tag\n")
    assert shown.status == 0
    assert "Why:" in shown.text
    assert state(registry, shop.started).steps == ()


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0101#1"], 2, "--reason is missing"),
        (["T-0101#1", "--reason", ""], 2, "Why the entry is struck is not said"),
        ([*WHY], 2, "ENTRY"),
        (["T-0101#99", *WHY], 4, "there is no P-0001#99"),
        (["T-0999#1", *WHY], 4, "Nothing in this book answers"),
        (["heron", *WHY], 2, "names no entry"),
        (["T-0101#1", *WHY], 6, "stands on it: section taken"),
        (["T-0101#2", *WHY], 6, "stands on it: heat poured"),
        (["T-0101#5", *WHY], 6, "stands on it: heat poured"),
        (["entry 0", *WHY], 6, "is not struck"),
        (["R-0001#1", *WHY], 6, "and 5 more"),
        (["Y-0001#1", *WHY], 6, "stands on it: book opened"),
    ],
)
def test_what_is_not_struck_is_said_and_nothing_is_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    with registry.reading() as reading:
        before = reading.size
    done = call("strike", *words)
    assert done.exit_code == status, done.stderr
    assert says in done.stderr
    assert done.stdout == ""
    with registry.reading() as reading:
        assert reading.size == before
