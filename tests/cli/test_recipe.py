"""``bronzebook recipe``: versions in open words, layers in confidence."""

from __future__ import annotations

from typing import Any

import pytest

from editions.cli.recipe import topics
from editions.registry import Registry
from editions.registry.acts.corrections import find_entry, held_now
from tests.cli.conftest import Call
from tests.registry.builders import state

LAYERS = ("--layer", "ferric nitrate; 5 %; stippled; 200 °F", "--layer", "liver of sulfur")


def test_a_recipe_is_written_with_its_layers_held(call: Call, registry: Registry) -> None:
    done = call("recipe", "write", "Heron brown", "--words", "brown over green", *LAYERS)
    assert done.exit_code == 0
    assert "recipe written  Heron brown, version 1" in done.stdout
    with registry.reading() as reading:
        stored, _ = find_entry(reading, "C-0001#1")
        layers: Any = held_now(reading, stored)["layers"]
        assert b"ferric" not in stored.raw
    assert [layer["solution"] for layer in layers] == ["ferric nitrate", "liver of sulfur"]
    assert layers[0]["heat"] == "200 °F"


def test_held_layers_are_shown_a_line_each_in_the_order_in_which_they_are_said(call: Call) -> None:
    call("recipe", "write", "Heron brown", "--words", "brown over green", *LAYERS)
    done = call("show", "C-0001", "--held")
    assert "held: layer 1: ferric nitrate, 5 %, stippled, 200 °F\t" in done.stdout
    assert "held: layer 2: liver of sulfur\t" in done.stdout


def test_the_next_version_keeps_the_name(call: Call, registry: Registry) -> None:
    call("recipe", "write", "Heron brown", "--words", "brown", "--code", "C-0042")
    done = call("recipe", "write", "--recipe", "c-0042", "--words", "darker", "--by", "Y-0001")
    assert "Heron brown, version 2" in done.stdout
    assert state(registry, "C-0042").words(2) == "darker"


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "needs a name"),
        (["Brown", "--layer", "; 5 %"], 2, "not a layer"),
        (["Brown", "--by", "Y-0099"], 4, "Y-0099"),
        (["--recipe", "C-0099"], 4, "C-0099"),
        (["Brown", "--code", "H-0001"], 2, "code of a recipe"),
    ],
)
def test_a_recipe_that_cannot_be_read_is_not_written(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("recipe", "write", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert state(registry, "C-0001") is None


@pytest.mark.parametrize(
    ("words", "more"),
    [
        ("brown", []),
        ("Liver of Sulphur", ["sulfide fumes"]),
        ("ammonium sulfide", ["sulfide fumes", "ammonia fumes"]),
        ("AMMONIA", ["ammonia fumes"]),
    ],
)
def test_the_cautions_follow_the_solutions(words: str, more: list[str]) -> None:
    assert topics("wax", words) == ["acids and salts", *more]


def test_cautions_stand_on_stderr_alone(call: Call) -> None:
    done = call("recipe", "write", "Heron brown", *LAYERS)
    assert "caution: Acids and salts" in done.stderr
    assert "caution: Sulfide fumes" in done.stderr
    assert "caution" not in done.stdout
