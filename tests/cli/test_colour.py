"""``bronzebook colour``: what was laid on, and how it differed."""

from __future__ import annotations

from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import a_piece, state


def colours(registry: Registry, tag: str) -> list[tuple[str | None, int | None, str]]:
    with registry.reading() as reading:
        piece: Any = reading.state(reading.resolve(tag))
    return [(colour.recipe, colour.version, colour.words) for colour in piece.colours]


def test_several_pieces_are_given_one_colour(call: Call, registry: Registry, shop: Shop) -> None:
    call("recipe", "write", "Heron brown", "--words", "brown over green")
    for tag in ("T-0201", "T-0202"):
        a_piece(registry, shop.run, to="approved in metal", mold=shop.mold, tag=tag)
    done = call(
        "colour", "T-0201..T-0202", "--recipe", "C-0001", "--hand", "Y-0001",
        "--differs", "less ammonia",
    )  # fmt: skip
    assert done.exit_code == 0
    assert "colour applied  T-0202 brown over green" in done.stdout
    assert "caution" not in done.stderr
    assert "less" not in done.stdout
    assert colours(registry, "T-0201") == [("C-0001", 1, "brown over green")]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0102"], 2, "No colour was given"),
        (["T-0101", "--words", "brown"], 6, "approved in metal"),
        (["T-0102", "--recipe", "C-0099"], 4, "C-0099"),
        (["T-0102", "--recipe", "M-0001"], 2, "code of a recipe"),
        (["T-0102", "--words", "brown", "--version", "0"], 2, "--version"),
        (["T-0109", "--words", "brown"], 4, "T-0109"),
    ],
)
def test_a_colour_that_cannot_be_is_not_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    before = colours(registry, "T-0102")
    done = call("colour", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert (colours(registry, "T-0101"), colours(registry, "T-0102")) == ([], before)


def test_the_command_and_its_options_are_read_in_either_spelling(
    call: Call, registry: Registry, shop: Shop
) -> None:
    assert call("color", "T-0102", "--words", "brown").exit_code == 0
    declared = call("run", "declare", shop.work, "--color", "green", "--size", "3")
    assert declared.exit_code == 0
    assert state(registry, declared.stdout.split()[0]).declared.colour == "green"
    assert "--color" not in call("run", "declare", "--help").stdout
