"""``bronzebook run``: declared, amended, offered, closed, shown."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from editions.registry import Registry
from editions.registry.acts.runs import CLASSES, EVENTS, NEEDS, NUMERALS, PUBLISHED
from editions.rules.routes import route_names
from tests.cli.conftest import Call, Shop, Shown
from tests.cli.conftest import _now as now
from tests.registry.builders import a_model, a_registry, a_run, a_wax, a_work, state


def test_a_run_is_declared_in_one_line(
    call: Call, registry: Registry, shop: Shop, tmp_path: Path
) -> None:
    paper = tmp_path / "letter.txt"
    paper.write_text("I authorise eight.")
    done = call(
        "run", "declare", shop.work, "--size", "8", "--proofs", "4 AP roman, 2 HC",
        "--numerals", "roman", "--route", "block investment", "--alloy", "C87300",
        "--colour", "brown", "--paper", "letter", "--file", str(paper), "--promise", "No more.",
        "--elsewhere", "III/VIII=Lund, by another foundry", "--publish", "size,pieces",
        "--need", "analysis", "--locks-on", "first-sale", "--note", "by post",
    )  # fmt: skip
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith(f"R-0002  run declared  run of 8 + 4 AP + 2 HC, of {shop.work}")
    declared = state(registry, "R-0002").declared
    assert (declared.route, declared.locks_on) == ("block-investment", "first sale")
    assert (declared.publishes, declared.needs) == (("size", "pieces"), ("analysis",))
    assert declared.elsewhere[0].where == "Lund, by another foundry"
    assert len(declared.paper_digest or "") == 64


def test_a_size_may_be_left_open(call: Call, registry: Registry, shop: Shop) -> None:
    for words in ([], ["--size", "none", "--proofs", "0"]):
        assert call("run", "declare", shop.work, *words).exit_code == 0
    assert state(registry, "R-0002").declared.size is None
    assert state(registry, "R-0003").declared.size is None


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "WORK is missing"),
        (["K-0099"], 4, "No work K-0099"),
        (["K-0001", "--size", "eight"], 2, "not a size"),
        (["K-0001", "--size", "-3"], 2, "not a size"),
        (["K-0001", "--size", "0"], 2, "A run numbers one cast or more, not 0."),
        (["K-0001", "--size", "00"], 2, '"none" where none is decided'),
        (["K-0001", "--numerals", "romen"], 2, "Did you mean roman?"),
        (["K-0001", "--need", "approved-in-metl"], 2, "Did you mean approved-in-metal?"),
        (["K-0001", "--locks-on", "cast"], 2, "is not an event that locks"),
        (["K-0001", "--size", "999999"], 2, "not a size"),
        (["K-0001", "--proofs", "4"], 2, "not a series of proofs"),
        (["K-0001", "--route", "spray"], 2, "not a route"),
        (["K-0001", "--class", "original", "--size", "9"], 6, "too many for the class original"),
        (["K-0001", "--authorised-by", "Y-0001", "--size", "8"], 6, "holds no authority"),
        (["K-0001", "--file", "nothing.pdf"], 9, "does not exist"),
    ],
)
def test_a_run_that_cannot_be_declared_is_said(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("run", "declare", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert state(registry, "R-0002") is None


def test_declaring_asks_for_work_size_and_proofs_with_the_last_runs_answers(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("run", "declare", answers="\n\n\ny\n")
    assert f"{shop.run} is a run of 8 + 4 AP of it already. Declare another?" in shown.text
    assert f"Of which work [{shop.work}]: " in shown.text
    assert "How many are numbered [8]: " in shown.text
    assert "Which proofs besides [4 AP roman]: " in shown.text
    declared = state(registry, "R-0002").declared
    assert (declared.size, [p.count for p in declared.proofs]) == (8, [4])


def test_the_first_run_of_a_book_is_likely_eight_and_four_proofs(
    at_terminal: Callable[..., Shown], tmp_path: Path
) -> None:
    fresh = a_registry(tmp_path / "new", now=now)
    work = a_work(fresh)
    shown = at_terminal("--registry", str(tmp_path / "new"), "run", "declare", answers="\n\n\n")
    # Eight and four: CGI annexe III art. 98 A; the twelve of CPI art. R.122-3 (France).
    assert f"Of which work [{work}]: " in shown.text
    assert "How many are numbered [8]: " in shown.text
    assert "Which proofs besides [4 AP]: " in shown.text
    assert state(fresh, "R-0001").declared.size == 8
    fresh.close()


def test_answers_are_read_again_until_they_can_be(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("run", "declare", shop.work, answers="many\n5\n4 XX\nnone\n")
    assert "not a size" in shown.text
    assert "not a series of proofs" in shown.text
    declared = state(registry, "R-0002").declared
    assert (declared.size, declared.proofs) == (5, ())


def test_what_was_said_is_not_asked(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("run", "declare", shop.work, "--size", "3", "--proofs", "1 HC")
    assert "?" not in shown.text
    assert "[" not in shown.text
    assert state(registry, "R-0002").declared.size == 3


def test_a_unique_cast_is_likely_one_without_proofs(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("run", "declare", shop.work, "--class", "unique", answers="\n\n")
    assert "How many are numbered [1]: " in shown.text
    assert "Which proofs besides [none]: " in shown.text
    assert state(registry, "R-0002").declared.size == 1


def test_an_amendment_says_only_what_changes(call: Call, registry: Registry, shop: Shop) -> None:
    run = a_run(registry, shop.work, size=8, colour="black")
    done = call("run", "amend", run, "--size", "6", "--proofs", "none", "--reason", "telephoned")
    assert done.exit_code == 0
    assert f"{run}  run amended  run of 6" in done.stdout
    declared = state(registry, run).declared
    assert (declared.size, declared.proofs, declared.colour) == (6, (), "black")
    done = call("run", "amend", run)
    assert done.exit_code == 2
    assert "Nothing is amended" in done.stderr


def test_a_locked_run_is_not_amended(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("run", "amend", shop.run, "--size", "9")
    assert (done.exit_code, done.stdout) == (6, "")
    assert "locked by its first cast" in done.stderr
    run = a_run(registry, shop.work, locks_on="first offer")
    assert call("run", "offer", run, "--where", "a gallery").exit_code == 0
    assert call("run", "amend", run, "--size", "9").exit_code == 6


def test_closing_names_every_wax(call: Call, registry: Registry, shop: Shop) -> None:
    run = a_run(registry, shop.work)
    waxes = [a_wax(registry, shop.mold, run=run) for _ in range(3)]
    done = call("run", "close", run, "--by-declaration")
    assert done.exit_code == 6
    assert ", ".join(waxes) in done.stderr
    done = call(
        "run", "close", run, "--by-declaration", "--destroyed", f"{waxes[0]}..{waxes[1]}",
        "--kept", waxes[2], "--accounted-by", "Y-0001", "--statement", "No more.",
    )  # fmt: skip
    assert done.exit_code == 0
    assert f"{run}  run closed  by declaration" in done.stdout
    assert [state(registry, wax).fate for wax in waxes] == ["destroyed", "destroyed", "kept"]


def test_closing_asks_what_became_of_each_wax_left(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    run = a_run(registry, shop.work)
    waxes = [a_wax(registry, shop.mold, run=run) for _ in range(3)]
    shown = at_terminal(
        "run", "close", run, "--by-declaration", "--kept", waxes[0].lower(),
        answers="lost\ndestroyed\nkept\ny\n",
    )  # fmt: skip
    assert f"{waxes[0]} is left" not in shown.text
    assert f"{waxes[1]} is left: destroyed or kept: " in shown.text
    assert "not a fate" in shown.text
    assert [state(registry, wax).fate for wax in waxes] == ["kept", "destroyed", "kept"]


def test_closing_is_given_up_by_no(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    run = a_run(registry, shop.work)
    shown = at_terminal("run", "close", run, "--by-declaration", answers="n\n")
    assert (shown.status, state(registry, run).closed) == (130, None)


def test_a_run_is_shown_with_how_each_number_stands(
    call: Call, registry: Registry, shop: Shop
) -> None:
    done = call("run", "show", shop.run.lower())
    assert (done.exit_code, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert "work\tK-0001 Heron, standing" in lines
    assert any(line.startswith("locked\tfirst cast, 2") for line in lines)
    assert f"3/8\tgiven\t{shop.numbered}\tT-0102\t" in lines
    assert "1/8\tfree\t\t\t" in lines
    assert sum(line.startswith("AP ") for line in lines) == 4
    value = json.loads(call("run", "show", shop.run, "--json").stdout)
    assert value["run"]["declared"]["size"] == 8
    assert [line["number"] for line in value["numbers"]][:2] == ["1/8", "2/8"]


def test_an_open_run_is_shown_as_open(call: Call, registry: Registry) -> None:
    run = a_run(registry, a_work(registry, title="Heron [flying]"))
    a_model(registry, "K-0002")
    lines = call("run", "show", run).stdout.splitlines()
    assert "locks\ton first cast" in lines
    assert "standing\topen" in lines
    assert call("run", "close", run, "--by-declaration").exit_code == 0
    assert any(line.startswith("closed\t") for line in call("run", "show", run).stdout.splitlines())


def test_a_run_that_is_not_there_is_answered_with_the_nearest(call: Call) -> None:
    done = call("run", "show", "R-0007")
    assert (done.exit_code, done.stdout) == (4, "")
    assert done.stderr == "No run R-0007 in this book.\nThe nearest: R-0001.\n"


@pytest.mark.parametrize("words", [NUMERALS, CLASSES, PUBLISHED, NEEDS, EVENTS, route_names()])
def test_help_names_every_word_that_an_option_takes(call: Call, words: tuple[str, ...]) -> None:
    said = "".join(call("run", "declare", "--help").stdout.split())
    for word in words:
        assert word.replace("_", "-").replace(" ", "-") in said


def test_a_run_declared_in_error_is_ended_by_a_word(
    call: Call, registry: Registry, shop: Shop
) -> None:
    again = call("run", "declare", shop.work, "--size", "8", "--proofs", "4 AP roman")
    assert again.exit_code == 0
    done = call("run", "close", "R-0002", "--in-error")
    assert (done.exit_code, done.stderr) == (0, "")
    assert "R-0002  run closed  declared in error" in done.stdout
    refused = call("run", "close", shop.run, "--in-error")
    assert (refused.exit_code, state(registry, shop.run).closed) == (6, None)
