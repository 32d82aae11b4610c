"""Whatever is refused says what to do about it: no error in these rooms is without its remedy."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import editions

ROOT = Path(editions.__file__).parent
ROOMS = ("rules", "registry/acts", "cli")
ERRORS = {"Refused", "NotKnown", "Unreadable"}


def bare(source: str) -> list[int]:
    """The lines on which one of the errors is made with a message alone."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ERRORS
        and len(node.args) + len(node.keywords) < 2
        and not any(isinstance(argument, ast.Starred) for argument in node.args)
    ]


@pytest.mark.parametrize("room", ROOMS)
def test_every_refusal_has_a_remedy(room: str) -> None:
    found = {
        f"{file.relative_to(ROOT)}:{line}"
        for file in (ROOT / room).rglob("*.py")
        for line in bare(file.read_text(encoding="utf-8"))
    }
    assert found == set()


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ('raise Refused("No.")', [1]),
        ('raise Refused("No.", "Do this.")', []),
        ('raise NotKnown(f"No {code}.", remedy="Do this.")', []),
        ("x = 1\nraise Unreadable(message)", [2]),
        ("raise Unreadable(*both)", []),
    ],
)
def test_a_refusal_without_a_remedy_is_found(source: str, lines: list[int]) -> None:
    assert bare(source) == lines
