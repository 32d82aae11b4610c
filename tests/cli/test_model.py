"""``bronzebook model``: the chain of models, and its measurements."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from editions.registry import Registry
from editions.trade.stations import station_text
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import state


def test_an_enlargement_is_added_to_the_chain(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("model", "add", shop.work, "Enlargement", "--from", "d-0001", "--scale", "2:1")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith(f"D-0002  model entered  enlargement of {shop.work}")
    assert state(registry, "D-0002").made_from == "D-0001"


def test_a_model_is_measured_in_either_measure(call: Call, registry: Registry) -> None:
    done = call(
        "model", "measure", "D-0001", "height=450mm±1mm", 'span=17 3/4"', "--method", "tape"
    )
    assert done.exit_code == 0
    assert "height=450 mm ± 1 mm, span=17 3/4 in" in done.stdout
    taken = [station_text(station) for station in state(registry, "D-0001").stations]
    assert taken == ["height=450 mm ± 1 mm", "span=17 3/4 in"]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["add"], 2, "WORK is missing"),
        (["add", "K-0001"], 2, "STAGE is missing"),
        (["add", "K-0001", "maquette"], 2, "not a stage"),
        (["add", "K-0099", "plaster"], 4, "No work K-0099"),
        (["add", "K-0001", "plaster", "--from", "D-0099"], 4, "No model D-0099"),
        (["add", "K-0001", "original", "--from", "D-0001"], 6, "not made from another"),
        (["measure", "D-0001"], 2, "Nothing was measured"),
        (["measure", "D-0001", "height"], 2, "not a measured station"),
        (["measure", "D-0001", "height=3kg"], 2, "not a length"),
        (["measure", "D-0001", "height=3mm", "height=4mm"], 6, "named twice"),
    ],
)
def test_a_model_that_cannot_be_entered_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("model", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_the_newest_work_and_an_original_are_likely(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("model", "add", answers="\n\n")
    assert f"Of which work [{shop.work}]: " in shown.text
    assert "Which stage [original]: " in shown.text
    assert state(registry, "D-0002").stage == "original"
