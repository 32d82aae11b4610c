"""Figures that need no statistics load no numerical library, and those that do load it late."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.test_imports import DATABASE, DRAWING, WEB, _called, _python

NUMERIC = {"numpy", "scipy"}
PAIRS = ("tail=300mm:292.6mm", "beak=210mm:204.5mm", "foot=152mm:148.4mm")


@pytest.mark.parametrize(
    "words",
    [
        ("metal", "--part", "1kg", "--alloy", "C87300"),
        ("size", "450mm"),
        ("heat", "sheet", "a=1kg", "--alloy", "C87300"),
        ("compare", "--help"),
    ],
)
def test_plain_arithmetic_loads_no_numerical_library(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    status, loaded, said = _called(tmp_path, *words)
    assert (status, bool(said)) == (0, True)
    assert not loaded & (NUMERIC | DATABASE | WEB | DRAWING)


def test_a_comparison_loads_the_quantiles_alone_and_no_database(tmp_path: Path) -> None:
    words = ("--kind", "model", "--uncertainty", "0.2mm", "--plot", "a.svg")
    status, loaded, _ = _called(tmp_path, "compare", *PAIRS, *words)
    assert status == 0
    assert "scipy" in loaded
    assert not loaded & (DATABASE | WEB | DRAWING)


def test_importing_the_rules_loads_no_numerical_library() -> None:
    done = _python(
        "import editions, editions.rules.aftercast, editions.charts.stations, sys;"
        "print(*sys.modules)"
    )
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "editions" in loaded
    assert not loaded & NUMERIC
