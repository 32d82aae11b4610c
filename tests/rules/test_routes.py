"""Routes and what physics makes their steps wait for; common practice of the trade."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.routes import STEP_TITLES, read_step, route, route_names

STEPS = [
    "wax_chased", "gated", "shelled", "dewaxed", "fired", "poured", "broken_out", "cut_off",
    "blasted", "plugged", "welded", "metal_chased", "approved_in_metal", "coloured",
    "approved_in_colour", "mounted", "released",
]  # fmt: skip


def test_the_steps_and_routes_are_all_there() -> None:
    assert list(STEP_TITLES) == STEPS
    assert route_names() == (
        "ceramic-shell",
        "block-investment",
        "sand",
        "direct-wax",
        "printed-pattern",
    )


@pytest.mark.parametrize("name", route_names())
def test_each_route_is_whole_and_can_be_walked_in_its_order(name: str) -> None:
    walked = route(name)
    done: list[str] = []
    assert set(walked.needs) == set(walked.steps)
    assert len(set(walked.steps)) == len(walked.steps)
    for step in walked.steps:
        assert walked.missing(step, done) == ()
        done.append(step)
    assert done[-1] == "released"


@pytest.mark.parametrize("name", route_names())
def test_nothing_is_worked_in_metal_before_metal_is_poured(name: str) -> None:
    walked, before = route(name), {"wax_chased", "gated", "shelled", "dewaxed", "fired"}
    for step in STEPS[6:]:
        assert walked.missing(step, before) != ()
    for step in set(STEPS[6:]) - {"approved_in_colour"}:
        assert walked.missing(step, {"poured"}) == ()


def test_a_shell_is_emptied_then_fired_then_poured() -> None:
    shell = route("ceramic-shell")
    assert shell.missing("shelled", ()) == ()
    assert shell.missing("dewaxed", ()) == ("shelled",)
    assert shell.missing("fired", {"shelled"}) == ("dewaxed",)
    assert shell.missing("poured", {"shelled", "dewaxed"}) == ("fired",)
    assert shell.missing("broken_out", {"fired"}) == ("poured",)


@pytest.mark.parametrize("name", ["block-investment", "printed-pattern"])
def test_one_burn_out_may_empty_and_fire_a_mold(name: str) -> None:
    assert route(name).missing("fired", {"shelled"}) == ()
    assert route(name).missing("fired", ()) == ("shelled",)
    assert route(name).missing("poured", {"shelled"}) == ("fired",)


def test_sand_is_poured_without_wax_or_firing() -> None:
    sand = route("sand")
    assert sand.missing("poured", ()) == ()
    assert not {"wax_chased", "shelled", "dewaxed", "fired"} & set(sand.steps)


def test_colour_is_approved_where_there_is_some() -> None:
    assert route("ceramic-shell").missing("approved_in_colour", {"poured"}) == ("coloured",)


def test_a_step_foreign_to_a_route_waits_for_nothing() -> None:
    assert route("sand").missing("dewaxed", ()) == ()


def test_each_route_says_its_steps_in_its_own_words() -> None:
    assert route("block-investment").says("shelled") == "invested"
    assert route("sand").says("broken_out") == "shaken out"
    assert route("ceramic-shell").says("metal_chased") == "metal-chased"


def test_what_physics_says_cannot_be_changed_by_accident() -> None:
    with pytest.raises(TypeError):
        route("sand").needs["poured"] = ()  # type: ignore[index]
    with pytest.raises(AttributeError):
        route("sand").steps = ()  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ceramic-shell", "ceramic-shell"),
        ("Ceramic Shell", "ceramic-shell"),
        ("lost wax, ceramic shell", "ceramic-shell"),
        ("lost-wax", "ceramic-shell"),
        ("block_investment", "block-investment"),
        ("SAND", "sand"),
        ("direct wax", "direct-wax"),
        ("printed", "printed-pattern"),
    ],
)
def test_routes_are_read_as_they_are_written(text: str, name: str) -> None:
    assert route(text).name == name


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("shelled", "shelled"),
        ("metal-chased", "metal_chased"),
        ("metal chased", "metal_chased"),
        ("Metal_Chased", "metal_chased"),
        (" cut  off ", "cut_off"),
        ("approved in color", "approved_in_colour"),
        ("patinated", "coloured"),
        ("invested", "shelled"),
        ("burned out", "fired"),
    ],
)
def test_steps_are_read_as_they_are_written(text: str, step: str) -> None:
    assert read_step(text) == step


@given(st.sampled_from(STEPS), st.sampled_from(route_names()))
def test_a_step_and_its_words_are_one(step: str, name: str) -> None:
    assert read_step(STEP_TITLES[step]) == read_step(step) == step
    assert route(route(name).name) is route(name)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("shelld", "Did you mean shelled?"),
        ("metal chasd", "Did you mean metal-chased?"),
        ("", "Steps: wax-chased"),
        ("sold", "Steps: wax-chased"),
        ("shelled\x00", "Did you mean shelled?"),
        ("x" * 1_000_000, "Steps: wax-chased"),
    ],
)
def test_what_is_no_step_is_refused_with_the_nearest(text: str, remedy: str) -> None:
    with pytest.raises(Unreadable, match="is not a step") as caught:
        read_step(text)
    assert caught.value.remedy.startswith(remedy)
    assert len(caught.value.message) < 100


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("ceramic shel", "Did you mean ceramic-shell?"),
        ("", "Routes: ceramic-shell"),
        ("die casting", ""),
        ("q" * 1_000_000, "Routes: ceramic-shell"),
    ],
)
def test_what_is_no_route_is_refused_with_the_nearest(text: str, remedy: str) -> None:
    with pytest.raises(Unreadable, match="is not a route") as caught:
        route(text)
    assert caught.value.remedy.startswith(remedy)
    assert caught.value.remedy
