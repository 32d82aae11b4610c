"""``bronzebook correct``: by leaf, or by the line of a history."""

from __future__ import annotations

import json
from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import state


def test_a_line_of_a_history_is_corrected(call: Call, registry: Registry, shop: Shop) -> None:
    call("piece", "measure", "T-0102", "height=540mm/with", "--mass", "3.15kg")
    place = history(registry, "T-0102")
    done = call(
        "correct", f"t-0102#{place}", "stations=height=450mm/with; span=20cm", "mass=31.5 kg",
        "--reason", "digits changed places",
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "stations, mass" in done.stdout
    piece = state(registry, shop.numbered)
    assert [str(station.length) for station in piece.stations] == ["450 mm", "20 cm"]
    assert str(piece.mass) == "31.5 kg"


def history(registry: Registry, name: str) -> int:
    """How many lines the history of something has."""
    with registry.reading() as reading:
        return len(reading.history(reading.resolve(name)))


def test_a_title_is_corrected_by_the_first_digits_of_its_leaf(
    call: Call, registry: Registry, shop: Shop
) -> None:
    with registry.reading() as reading:
        leaf = reading.history(shop.work)[0][0].leaf.hex()
    done = call("correct", leaf[:8], "title=Heron, asleep", "--reason", "letter", "--json")
    (told,) = json.loads(done.stdout)
    assert (told["kind"], told["code"]) == ("entry_corrected", shop.work)
    assert state(registry, shop.work).title == "Heron, asleep"
    assert "Heron, asleep" in call("show", shop.work).stdout


def test_field_names_may_be_typed_with_hyphens(call: Call, registry: Registry, shop: Shop) -> None:
    call("correct", f"{shop.work}#1", "other-titles=Häger; Чапля", "--reason", "letter")
    assert state(registry, shop.work).other_titles == ("Häger", "Чапля")


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["K-0001#1", "title=Heron, asleep"], 2, "--reason is missing"),
        (["K-0001#1", "--reason", "x"], 2, "CHANGES"),
        (["K-0001#1", "title", "--reason", "x"], 2, "not a pair"),
        (["K-0001#1", "=Heron", "--reason", "x"], 2, "not a pair"),
        (["K-0001#1", "title=", "--reason", "x"], 2, "cannot be left empty"),
        (["K-0001#1", "artist=Y-0001", "--reason", "x"], 6, "cannot be corrected"),
        (["K-0001#1", "titel=Heron", "--reason", "x"], 6, "no field"),
        (["K-0001#9", "title=Heron", "--reason", "x"], 4, "K-0001#9"),
        (["K-0001", "title=Heron", "--reason", "x"], 2, "names no entry"),
        (["00000000", "title=Heron", "--reason", "x"], 4, "No entry has a leaf"),
        (["T-0102#1", "tag=T-0999", "--reason", "x"], 6, "tag"),
        (["T-0102#1", "tag=T-0999", "--reason", "\u202e"], 2, "reading direction"),
    ],
)
def test_a_correction_that_cannot_be_is_not_entered(
    call: Call, registry: Registry, shop: Shop, words: list[str], status: int, says: str
) -> None:
    done = call("correct", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert len(done.stderr.splitlines()) <= 2
    assert state(registry, shop.work).corrections == 0


def test_the_reason_is_asked_for_on_a_terminal(
    at_terminal: Any, registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("correct", f"{shop.work}#1", "year=2019", answers="the artist's letter\n")
    assert shown.status == 0
    assert "Why:" in shown.text
    assert state(registry, shop.work).year == "2019"


def test_the_book_is_sound_after_corrections(call: Call, shop: Shop) -> None:
    call("correct", f"{shop.work}#1", "title=Heron, asleep", "note=asked twice", "--reason", "x")
    call("correct", f"{shop.wax}#1", "mass=2.1kg", "wall=3/16in", "--reason", "x")
    audited = call("audit")
    assert audited.exit_code == 0
    assert "No fault" in audited.stdout + audited.stderr


def test_a_coat_typed_wrongly_is_counted_again(call: Call, registry: Registry) -> None:
    call("step", "shelled", "T-0103", "--coat", "33")
    done = call("correct", "T-0103#2", "coat=3", "--reason", "typed twice")
    assert done.exit_code == 0
    with registry.reading() as reading:
        piece: Any = reading.state(reading.resolve("T-0103"))
    assert [step.coat for step in piece.steps] == [3]
    for wrong in ("third", "-1", "333"):
        refused = call("correct", "T-0103#2", f"coat={wrong}", "--reason", "typed twice")
        assert (refused.exit_code, refused.stdout) == (2, "")
