"""What a piece waits for on its route: the step after the last that is recorded."""

from __future__ import annotations

import pytest

from editions.rules.next_steps import before_the_pour, doing, on_the_bench
from editions.rules.routes import Route, route, route_names
from editions.trade.casting import ApprovalGiven, ColourApplied, StepDone
from editions.trade.parts import PieceSection, Step
from editions.trade.pieces import Piece
from tests.rules.judging.shop import ARTIST, Shop

SHELL = route("ceramic-shell")


@pytest.fixture
def shop() -> Shop:
    return Shop()


def waxed(*steps: Step, sections: tuple[str, ...] = ("whole",)) -> Piece:
    """A piece whose sections have their waxes, with steps recorded."""
    parts = tuple(PieceSection(name=name, wax=f"W-{at:04}") for at, name in enumerate(sections, 1))
    return Piece(code="P-0001", sections=parts, steps=steps)


def did(step: str, section: str | None = None, coat: int | None = None) -> Step:
    return Step(step=step, on="2026-03-02", section=section, coat=coat)


def coats(last: int) -> tuple[Step, ...]:
    return tuple(did("shelled", coat=coat) for coat in range(1, last + 1))


@pytest.mark.parametrize("name", route_names())
def test_every_step_before_the_pour_and_on_the_bench_can_be_said(name: str) -> None:
    by = route(name)
    piece = waxed()
    for step in by.steps[: by.steps.index("poured")]:
        (said,) = before_the_pour(piece, by)
        assert said == doing(step, by)
        piece = waxed(*piece.steps, did(step))
    assert before_the_pour(piece, by) == ("its pour",)


@pytest.mark.parametrize(
    ("steps", "waits"),
    [
        ((), "wax chasing"),
        ((did("gated"),), "shelling"),
        (coats(1), "coat 2"),
        (coats(6), "coat 7"),
        (coats(7), "coat 8 or dewaxing"),
        (coats(13), "coat 14 or dewaxing"),
        (coats(14), "dewaxing"),
        ((did("shelled"),), "dewaxing"),
        ((*coats(3), did("dewaxed")), "firing"),
        ((did("fired"),), "its pour"),
    ],
)
def test_a_shell_waits_for_what_follows_its_last_step(steps: tuple[Step, ...], waits: str) -> None:
    assert before_the_pour(waxed(*steps), SHELL) == (waits,)


@pytest.mark.parametrize(
    ("name", "steps", "waits"),
    [
        ("block-investment", (did("gated"),), "investing"),
        ("block-investment", (did("shelled", coat=1),), "dewaxing"),
        ("block-investment", (did("dewaxed"),), "burn-out"),
        ("printed-pattern", (), "dressing of its pattern"),
        ("sand", (), "gating"),
        ("sand", (did("gated"),), "its pour"),
    ],
)
def test_each_route_says_it_in_its_own_words(
    name: str, steps: tuple[Step, ...], waits: str
) -> None:
    assert before_the_pour(waxed(*steps), route(name)) == (waits,)


@pytest.mark.parametrize(
    ("by", "waits"),
    [(SHELL, "a wax"), (route("sand"), "gating"), (route("direct-wax"), "wax chasing")],
)
def test_a_section_without_a_wax_waits_for_one_where_its_route_has_waxes(
    by: Route, waits: str
) -> None:
    piece = Piece(code="P-0001", sections=(PieceSection(name="whole"),))
    assert before_the_pour(piece, by) == (waits,)


def test_sections_at_the_same_place_are_named_together() -> None:
    steps = (did("gated", "head"), did("gated", "base"), did("shelled", "tail", coat=2))
    piece = waxed(*steps, sections=("head", "base", "tail", "ear"))
    assert before_the_pour(piece, SHELL) == (
        "shelling (head, base)", "coat 3 (tail)", "wax chasing (ear)",
    )  # fmt: skip


def test_a_section_that_is_poured_waits_no_more() -> None:
    piece = waxed(did("poured", "head"), sections=("head", "base"))
    assert before_the_pour(piece, SHELL) == ("wax chasing (base)",)


def test_metal_goes_along_the_bench(shop: Shop) -> None:
    shop.cast("P-0001")
    told = []
    for step in ("broken_out", "cut_off", "blasted", "metal_chased"):
        told.append(on_the_bench(shop.get("P-0001", Piece), SHELL))
        shop.enter("P-0001", StepDone(step=step))
    assert told == ["breaking out", "cutting off", "blasting", "metal chasing"]
    assert on_the_bench(shop.get("P-0001", Piece), SHELL) == ""


def test_only_a_bronze_of_several_sections_waits_for_its_welds() -> None:
    done = (did("poured"), did("blasted"))
    assert on_the_bench(waxed(*done), SHELL) == "metal chasing"
    assert on_the_bench(waxed(*done, sections=("head", "base")), SHELL) == "welding"


@pytest.mark.parametrize("passed", ["approved", "coloured"])
def test_a_bench_that_was_passed_over_is_not_asked_for_again(shop: Shop, passed: str) -> None:
    shop.cast("P-0001")
    shop.enter("P-0001", ApprovalGiven(of="metal", party=ARTIST, how="in person"))
    if passed == "coloured":
        shop.enter("P-0001", ColourApplied(words="brown"))
    assert on_the_bench(shop.get("P-0001", Piece), SHELL) == ""


@pytest.mark.parametrize("name", route_names())
def test_every_step_of_every_route_can_be_said_as_something_to_be_done(name: str) -> None:
    by = route(name)
    assert all(doing(step, by) for step in by.steps)
