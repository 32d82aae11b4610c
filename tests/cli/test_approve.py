"""``bronzebook approve``: who said so, and how; nothing is called signed that was not."""

from __future__ import annotations

from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop
from tests.registry.builders import a_piece


def approvals(registry: Registry, tag: str) -> list[tuple[str, str, bool]]:
    with registry.reading() as reading:
        piece: Any = reading.state(reading.resolve(tag))
    return [(given.of, given.how, given.approved) for given in piece.approvals]


def test_an_approval_by_telephone_is_told_as_one(
    call: Call, registry: Registry, shop: Shop
) -> None:
    done = call("approve", "T-0101", "metal", "--by", shop.artist, "--how", "by telephone")
    assert done.exit_code == 0
    assert f"T-0101 metal approved by {shop.artist} by telephone" in done.stdout
    assert "sign" not in done.stdout + done.stderr
    assert approvals(registry, "T-0101") == [("metal", "by telephone", True)]


def test_a_range_is_approved_at_once_and_a_refusal_is_kept(
    call: Call, registry: Registry, shop: Shop
) -> None:
    for tag in ("T-0201", "T-0202"):
        a_piece(registry, shop.run, to="poured", mold=shop.mold, tag=tag)
    done = call(
        "approve", "T-0201..T-0202", "Metal", "--by", shop.artist, "--how", "photo", "--refused",
        "--note", "seam at the neck",
    )  # fmt: skip
    assert len(done.stdout.splitlines()) == 2
    assert "metal refused by" in done.stdout
    assert approvals(registry, "T-0202") == [("metal", "by photograph", False)]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0101", "metal"], 2, "--by is missing"),
        (["T-0101", "metal", "--by", "Y-0002"], 2, "--how is missing"),
        (["T-0101", "metal", "--by", "Y-0002", "--how", "signed"], 2, "by telephone"),
        (["T-0101", "patina", "--by", "Y-0002", "--how", "phone"], 2, "metal, colour, release"),
        (["T-0101", "metal", "--by", "Y-0001", "--how", "phone"], 6, "holds no authority"),
        (["T-0101", "metal", "--by", "M-0001", "--how", "phone"], 2, "code of a party"),
        (["T-0101", "colour", "--by", "Y-0002", "--how", "phone"], 6, "no colour"),
        (["T-0103", "metal", "--by", "Y-0002", "--how", "phone"], 6, "not poured yet"),
        (["T-0109", "metal", "--by", "Y-0002", "--how", "phone"], 4, "T-0109"),
        (["T-0101"], 2, "Missing argument"),
    ],
)
def test_an_approval_that_cannot_be_is_not_entered(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("approve", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says.casefold() in done.stderr.casefold()
    assert approvals(registry, "T-0101") == []


def test_on_a_terminal_who_and_how_are_asked_with_the_likely_answers(
    at_terminal: Any, registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("approve", "T-0101", "metal", answers="\nsigned\nphone\n")
    assert shown.status == 0
    assert f"Who approved [{shop.artist}]:" in shown.text
    assert shown.text.count("How was it said [in person]:") == 2
    assert approvals(registry, "T-0101") == [("metal", "by telephone", True)]


def test_on_a_terminal_no_one_is_likely_for_a_cast_without_a_run(
    at_terminal: Any, call: Call, shop: Shop
) -> None:
    call("piece", "register", shop.work, "--tag", "OLD/7")
    shown = at_terminal("approve", "OLD/7", "metal", answers=f"{shop.artist}\n\n")
    assert "Who approved:" in shown.text
    assert shown.status == 6


def test_the_same_approval_is_entered_once(call: Call, registry: Registry) -> None:
    words = ("approve", "T-0101", "metal", "--by", "Y-0002", "--how", "phone")
    assert call(*words).exit_code == 0
    again = call(*words)
    assert (again.exit_code, again.stdout) == (6, "")
    assert "by telephone: that is entered already." in again.stderr
    other = call(*words[:-1], "in-person")
    assert other.exit_code == 0
    assert "approved the metal of T-0101" in other.stderr


@pytest.mark.parametrize(("how", "likely"), [("fone", "phone"), ("in persn", "in person")])
def test_a_way_mistyped_is_answered_with_the_likely_one(call: Call, how: str, likely: str) -> None:
    done = call("approve", "T-0101", "metal", "--by", "Y-0002", "--how", how)
    assert done.exit_code == 2
    assert f"Did you mean {likely}?" in done.stderr


def test_colour_is_read_in_either_spelling(call: Call) -> None:
    done = call("approve", "T-0102", "color", "--by", "Y-0002", "--how", "photo")
    assert (done.exit_code, done.stderr) == (0, "")
    assert "T-0102 colour approved" in done.stdout
