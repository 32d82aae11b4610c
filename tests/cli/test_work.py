"""``bronzebook work``: entering a work."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import state


def test_a_work_is_added_with_its_titles(call: Call, registry: Registry, shop: Shop) -> None:
    done = call(
        "work", "add", shop.artist, "Heron, flying", "--also", "Häger", "--year", "2018/2019"
    )
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith("K-0002  work entered  Heron, flying")
    work = state(registry, "K-0002")
    assert (work.other_titles, work.year) == (("Häger",), "2018/2019")


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        ([], 2, "ARTIST is missing"),
        (["Y-0002"], 2, "TITLE is missing"),
        (["Y-0099", "Heron"], 4, "No party Y-0099"),
        (["K-0001", "Heron"], 2, "code of a party"),
        (["Y-0001", "Heron"], 6, "not an artist"),
        (["Y-0002", "x" * 121], 2, "at most 120"),
        (["Y-0002", "Heron", "--year", "2199"], 6, "not come yet"),
    ],
)
def test_a_work_that_cannot_be_added_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("work", "add", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr


def test_the_newest_artist_is_the_likely_one(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("work", "add", answers="\nHeron, asleep\n")
    assert shown.status == 0
    assert f"Which artist [{shop.artist}]: " in shown.text
    assert state(registry, "K-0002").title == "Heron, asleep"
