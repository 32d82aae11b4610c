"""``bronzebook step``: a rack in one line."""

from __future__ import annotations

import json
from typing import Any

import click
import pytest

from editions.cli.step import StepType
from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import a_piece, a_run, a_work


@pytest.fixture
def rack(registry: Registry, shop: Shop) -> list[str]:
    """Three waxed pieces, T-0201 to T-0203."""
    return [
        a_piece(registry, shop.run, to="waxed", mold=shop.mold, tag=f"T-020{n}") for n in (1, 2, 3)
    ]


def steps(registry: Registry, piece: str) -> list[tuple[str, int | None, str]]:
    with registry.reading() as reading:
        state: Any = reading.state(reading.resolve(piece))
    return [(step.step, step.coat, step.how) for step in state.steps]


def test_a_range_takes_a_coat_in_one_line(call: Call, registry: Registry, rack: list[str]) -> None:
    done = call("step", "shelled", "T-0201..T-0203", "--coat", "3", "--hand", "Y-0001")
    assert done.exit_code == 0
    assert [line.split()[0] for line in done.stdout.splitlines()] == rack
    assert "T-0202 shelled coat 3" in done.stdout
    assert "caution" not in done.stderr
    assert "coats 1 to 2 not recorded" in done.stderr
    assert all(steps(registry, piece) == [("shelled", 3, "done")] for piece in rack)


def test_the_next_coat_counts_itself(call: Call, rack: list[str]) -> None:
    call("step", "shelled", "T-0201,T-0203")
    done = call("step", "shelled", "T-0201..T-0203")
    assert "T-0201 shelled coat 2" in done.stdout
    assert "T-0202 shelled coat 1" in done.stdout
    assert "T-0203 shelled coat 2" in done.stdout


def test_one_refusal_refuses_the_rack(call: Call, registry: Registry, rack: list[str]) -> None:
    done = call("step", "shelled", "T-0201..T-0204")
    assert (done.exit_code, done.stdout) == (4, "")
    assert "T-0204" in done.stderr
    assert steps(registry, "T-0201") == []


def test_a_section_is_named_with_the_piece_or_for_all(
    call: Call, registry: Registry, rack: list[str]
) -> None:
    assert call("step", "shelled", "T-0201/body").exit_code == 0
    done = call("step", "shelled", "T-0202", "--section", "BODY", "--on", "today", "--json")
    (told,) = json.loads(done.stdout)
    assert (told["kind"], told["code"]) == ("step_done", rack[1])


@pytest.mark.parametrize(
    ("how", "more", "recorded"),
    [
        ("not recorded", [], "not recorded"),
        ("Not-Recorded", [], "not recorded"),
        ("elsewhere", ["--declared-by", "Y-0001"], "elsewhere"),
    ],
)
def test_a_step_not_seen_here_is_said_so(
    call: Call, registry: Registry, rack: list[str], how: str, more: list[str], recorded: str
) -> None:
    done = call("step", "fired", "T-0201", "--how", how, *more)
    assert done.exit_code == 0
    assert f"T-0201 fired, {recorded}" in done.stdout
    assert steps(registry, "T-0201") == [("fired", None, recorded)]


def test_a_step_is_told_in_the_words_of_its_route(call: Call, registry: Registry) -> None:
    run = a_run(registry, a_work(registry), route="block-investment")
    a_piece(registry, run, to="waxed", tag="T-0301")
    done = call("step", "shelled", "T-0301")
    assert "T-0301 invested" in done.stdout


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["sheled", "T-0201"], 2, "Did you mean shelled?"),
        (["shelled", "T-0201", "--how", "later"], 2, "not a way"),
        (["shelled", "T-0201", "--coat", "0"], 2, "--coat: “0” is not a number from 1 to 99"),
        (["shelled", "T-0201", "--coat", "third"], 2, "such as 1"),
        (["shelled", "T-0201", "--how", "elswhere"], 2, "Did you mean elsewhere?"),
        (["shelled", "T-0201", "T-0201"], 2, "named twice"),
        (["shelled", "T-0201..T-9999"], 2, "more than 500"),
        (["shelled", "T-0201", "--how", "elsewhere"], 6, "--declared-by"),
        (["fired", "T-0201"], 6, "dewaxed"),
        (["poured", "T-0201"], 6, "entry of its own"),
        (["coloured", "T-0201"], 6, "entry of its own"),
        (["shelled", "T-0201", "--note", "a\x07b"], 2, "control character"),
        (["shelled", "x" * 300], 2, "300"),
        (["shelled"], 2, "PIECES"),
    ],
)
def test_a_step_that_cannot_be_is_refused_in_two_lines(
    call: Call, registry: Registry, rack: list[str], words: list[str], status: int, says: str
) -> None:
    done = call("step", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    said = [line for line in done.stderr.splitlines() if not line.startswith("caution")]
    assert len(said) <= 2
    assert says in " ".join(said)
    assert steps(registry, "T-0201") == []


@pytest.mark.parametrize("step", ["dewaxed", "welded", "metal-chased", "blasted", "mounted"])
def test_a_step_that_is_recorded_is_not_cautioned_about(call: Call, step: str) -> None:
    done = call("step", step, "T-0101", "--how", "not-recorded")
    assert (done.exit_code, "caution" in done.stderr) == (0, False)


def test_help_lists_the_steps_and_the_other_words_for_them(call: Call) -> None:
    said = " ".join(call("step", "--help").stdout.split())
    assert "Steps: wax-chased, gated, shelled, dewaxed, fired, broken-out," in said
    assert "shelled, invested, dipped; fired, burned-out" in said
    assert "heat pour, approve, colour, piece release" in said


def test_a_forgotten_coat_is_entered_late(call: Call, registry: Registry, rack: list[str]) -> None:
    for coat in ("1", "3"):
        call("step", "shelled", "T-0201", "--coat", coat)
    done = call("step", "shelled", "T-0201", "--coat", "2", "--on", "today")
    assert done.exit_code == 0
    assert "coat 2 entered after coat 3" in done.stderr
    assert [coat for _, coat, _ in steps(registry, "T-0201")] == [1, 3, 2]


@pytest.mark.parametrize("word", ["patinated", "colored", "approved-in-color"])
def test_a_step_is_read_in_either_spelling(call: Call, rack: list[str], word: str) -> None:
    done = call("step", word, "T-0201")
    assert (done.exit_code, done.stdout) == (6, "")
    assert "has an entry of its own" in done.stderr


def test_steps_are_completed_from_the_routes() -> None:
    context = click.Context(click.Command("step"))
    completed = StepType().shell_complete(context, click.Argument(["step"]), "Me")
    assert [item.value for item in completed] == ["metal-chased"]
