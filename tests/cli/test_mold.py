"""``bronzebook mold``: from the making of a mold to its end."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import a_mold, a_party, state


def test_a_mold_is_added_with_sections_and_earlier_pulls(call: Call, registry: Registry) -> None:
    done = call(
        "mold", "add", "D-0001", "--sections", "head, left wing", "--material", "silicone",
        "--earlier", "head 12", "--earlier", "left wing at least 3", "--place", "rack 4",
        "--owner", "Y-0001",
    )  # fmt: skip
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith("M-0002  mold made  silicone: head, left wing")
    counts = [(section.name, section.count) for section in state(registry, "M-0002").sections]
    assert counts == [("head", "12"), ("left wing", "at least 3")]


def test_a_mold_taken_from_a_bronze_is_a_generation_further(
    call: Call, registry: Registry, shop: Shop
) -> None:
    assert call("mold", "add", "t-0101", "--material", "silicone").exit_code == 0
    assert state(registry, "M-0002").generation == 1
    done = call("mold", "add", "T-0101", "--material", "silicone", "--generation", "0")
    assert done.exit_code == 6


def test_the_newest_model_and_silicone_are_likely(
    at_terminal: Callable[..., Shown], registry: Registry
) -> None:
    shown = at_terminal("mold", "add", answers="\n\n")
    assert "Taken from which model [D-0001]: " in shown.text
    assert "Of which material [silicone]: " in shown.text
    assert state(registry, "M-0002").material == "silicone"


def test_a_mold_goes_out_and_comes_back(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("mold", "out", shop.mold, "--place", "Lund", "--to", "Y. Berg")
    assert "Berg" not in done.output
    assert done.stdout.startswith(f"{shop.mold}  mold sent out  Lund")
    done = call("mold", "back", shop.mold, "--place", "rack 4", "--away", "body 2")
    assert done.exit_code == 0
    section = state(registry, shop.mold).section("body")
    assert section.count == "at least 5"


def test_an_inspection_is_one_line(call: Call, registry: Registry) -> None:
    mold = a_mold(registry, "D-0001", "head", "torso")
    done = call(
        "mold", "inspect", mold, "head", "--tears", "sound", "--registration", "worn/2mm",
        "--note", "lamp",
    )  # fmt: skip
    assert (done.exit_code, done.stderr) == (0, "")
    assert "tears=sound, registration=worn/2 mm" in done.stdout
    assert state(registry, mold).section("head").condition == "worn"


def test_an_inspection_asks_for_each_grade_on_a_terminal(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("mold", "inspect", shop.mold, answers="\nbad\nworn\n\nfailing/1mm\n")
    assert shown.text.count("Registration [sound]: ") == 2
    assert "not a grade" in shown.text
    section = state(registry, shop.mold).section("body")
    assert [criterion.grade for criterion in section.criteria] == [
        "sound",
        "worn",
        "sound",
        "failing",
    ]


def test_repair_and_retirement(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("mold", "repair", shop.mold, "--what", "seam reglued")
    assert "seam reglued" in done.stdout
    done = call("mold", "retire", shop.mold, "BODY", "--reason", "torn")
    assert done.exit_code == 0
    assert "torn" not in done.output
    assert state(registry, shop.mold).section("body").retired
    done = call("mold", "retire", shop.mold)
    assert done.exit_code == 6
    assert "retired already" in done.stderr


def test_a_whole_mold_is_retired_after_a_question(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("mold", "retire", shop.mold, answers="y\n")
    assert f"Retire the whole of {shop.mold}?" in shown.text
    assert state(registry, shop.mold).section("body").retired


def test_nothing_comes_from_a_destroyed_mold(call: Call, registry: Registry, shop: Shop) -> None:
    witness = a_party(registry, "witness", name="Ada Quill")
    done = call("mold", "destroy", shop.mold, "--witness", witness, "--evidence", "cut up")
    assert done.exit_code == 0
    assert f"{shop.mold}  mold destroyed  cut up" in done.stdout
    done = call("wax", "pull", shop.mold)
    assert (done.exit_code, done.stdout) == (6, "")
    assert f"{shop.mold} was destroyed" in done.stderr
    assert witness in done.stderr


def test_a_destruction_is_asked_about_and_given_up_by_no(
    at_terminal: Callable[..., Shown], registry: Registry, shop: Shop
) -> None:
    witness = a_party(registry, "witness", name="Ada Quill")
    shown = at_terminal("mold", "destroy", shop.mold, answers="\ncut up\nn\n")
    assert f"Before which witness [{witness}]: " in shown.text
    assert shown.status == 130
    assert state(registry, shop.mold).destroyed is None


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["add"], 2, "MODEL|PIECE is missing"),
        (["add", "D-0001"], 2, "--material is missing"),
        (["add", "D-0099", "--material", "silicone"], 4, "D-0099"),
        (["add", "K-0001", "--material", "silicone"], 4, "neither a model nor a bronze"),
        (["add", "D-0001", "--sections", "a,a", "--material", "s"], 6, "named twice"),
        (["add", "D-0001", "--material", "s", "--earlier", "some"], 2, "how often"),
        (["add", "D-0001", "--material", "s", "--earlier", "tail 3"], 4, "no section “tail”"),
        (["back", "M-0001"], 6, "not out"),
        (["out", "M-0099"], 4, "No mold M-0099"),
        (["inspect", "M-0001"], 2, "grades nothing"),
        (["inspect", "M-0001", "--tears", "bad"], 2, "not a grade"),
        (["inspect", "M-0001", "tail", "--tears", "sound"], 4, "no section “tail”"),
        (["repair", "M-0001"], 2, "--what is missing"),
        (["destroy", "M-0001", "--evidence", "cut up"], 2, "--witness is missing"),
        (["destroy", "M-0001", "--witness", "Y-0001"], 2, "--evidence is missing"),
        (["destroy", "M-0001", "--witness", "Y-0077", "--evidence", "cut"], 4, "No party Y-0077"),
    ],
)
def test_what_cannot_be_done_with_a_mold_is_said(
    call: Call, words: list[str], status: int, says: str
) -> None:
    done = call("mold", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
