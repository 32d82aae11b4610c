"""What people do with waxes."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry, Writing
from editions.registry.acts.pieces import take_wax
from editions.registry.acts.runs import close_run
from editions.registry.acts.waxes import (
    allot_wax,
    judge_wax,
    number_wax,
    pull_wax,
    pull_waxes,
)
from editions.trade.quantities import read_quantity
from tests.registry.builders import (
    a_model,
    a_mold,
    a_piece,
    a_run,
    a_wax,
    a_work,
    state,
    work_of,
)


def test_pulls_are_counted_section_by_section(registry: Registry) -> None:
    mold = a_mold(registry, None, "head", "torso", earlier=["head 4"])
    with registry.writing() as w:
        pull_waxes(w, mold, "head", 3, mass=read_quantity("1.2 kg", "mass"), hand="Y-0001")
        last = pull_wax(
            w, mold.lower(), "Torso", wall=read_quantity("3/16 in", "length"), note="thin at ear"
        )
    waxes = [state(registry, f"W-000{n}") for n in (1, 2, 3, 4)]
    assert [(wax.section, wax.pull) for wax in waxes] == [
        ("head", 5),
        ("head", 6),
        ("head", 7),
        ("torso", 1),
    ]
    assert (str(waxes[0].mass), waxes[0].hand, str(waxes[3].wall)) == (
        "1.2 kg",
        "Y-0001",
        "3/16 in",
    )
    assert last.remarks == ()
    assert state(registry, mold).section("head").pulls == 7


def test_a_wax_made_without_a_mold_names_its_section(registry: Registry) -> None:
    run = a_run(registry, route="direct wax")
    with registry.writing() as w:
        made = pull_wax(w, None, "whole", run=run)
    wax = state(registry, made.code)
    assert (wax.mold, wax.pull, wax.run, wax.section) == (None, None, run, "whole")
    with pytest.raises(Unreadable, match="Neither a mold nor a section"), registry.writing() as w:
        pull_wax(w, None)


@pytest.mark.parametrize("count", [0, -1, 101])
def test_a_count_that_cannot_be_is_unreadable(registry: Registry, count: int) -> None:
    mold = a_mold(registry)
    with pytest.raises(Unreadable, match="from 1 to 100"), registry.writing() as w:
        pull_waxes(w, mold, None, count)
    assert state(registry, "W-0001") is None


def test_a_pull_for_a_run_of_another_work_is_refused(registry: Registry) -> None:
    run = a_run(registry)
    other = a_mold(registry, a_model(registry, a_work(registry, title="Heron, flying")))
    with pytest.raises(Refused, match="is of K-0002"), registry.writing() as w:
        pull_wax(w, other, run=run)


@pytest.mark.parametrize("wall", ["1 mm", "1 in"])
def test_an_unusual_wall_is_remarked(registry: Registry, wall: str) -> None:
    # About 3/16 in is common practice, no source; outside 2 to 12 mm is worth a word.
    mold = a_mold(registry)
    with registry.writing() as w:
        made = pull_wax(w, mold, wall=read_quantity(wall, "length"))
    assert "unusual" in made.remarks[0]


def test_a_wax_is_judged_and_a_rejected_one_is_out_of_stock(registry: Registry) -> None:
    mold = a_mold(registry)
    good, bad = a_wax(registry, mold), a_wax(registry, mold)
    with registry.writing() as w:
        judge_wax(w, good, accepted=True, hand="Y-0001")
        judge_wax(w, bad.lower(), accepted=False, reason="air in the beak")
    assert (state(registry, good).accepted, state(registry, good).fate) == (True, "in stock")
    assert (state(registry, bad).accepted, state(registry, bad).fate) == (False, "rejected")
    with pytest.raises(Refused, match="is rejected"), registry.writing() as w:
        judge_wax(w, bad, accepted=True)


@pytest.mark.parametrize("reason", [None, "", "  "])
def test_a_rejection_without_a_reason_is_unreadable(registry: Registry, reason: str | None) -> None:
    wax = a_wax(registry)
    with pytest.raises(Unreadable, match="Why the wax is rejected"), registry.writing() as w:
        judge_wax(w, wax, accepted=False, reason=reason)


def test_a_wax_is_allotted_once(registry: Registry) -> None:
    model = a_model(registry)
    run = a_run(registry, work_of(registry, model))
    wax = a_wax(registry, a_mold(registry, model))
    with registry.writing() as w:
        allot_wax(w, wax, run.lower())
    assert state(registry, wax).run == run
    with pytest.raises(Refused, match="allotted to R-0001 already"), registry.writing() as w:
        allot_wax(w, wax, run)


def test_a_number_cut_in_a_wax_is_reserved_and_goes_with_the_piece(registry: Registry) -> None:
    run = a_run(registry)
    mold = a_mold(registry, "D-0001")
    wax, other = a_wax(registry, mold, run=run), a_wax(registry, mold)
    with registry.writing() as w:
        number_wax(w, wax, "3 of 8")
    assert state(registry, wax).number == "3/8"
    with pytest.raises(Unreadable, match="allotted to no run"), registry.writing() as w:
        number_wax(w, other, "3/8")
    with pytest.raises(Refused, match="3/8 is cut into W-0001"), registry.writing() as w:
        number_wax(w, other, "3/8", run=run)
    piece = a_piece(registry, run)
    with registry.writing() as w:
        take_wax(w, piece, wax)
    assert state(registry, piece).reserved == "3/8"


@pytest.mark.parametrize("number", ["9/8", "3/9", "III/VIII", "AP 1/4", "HC 1/2"])
def test_a_number_the_run_does_not_give_is_not_cut(registry: Registry, number: str) -> None:
    run = a_run(registry)
    wax = a_wax(registry, a_mold(registry, "D-0001"), run=run)
    with pytest.raises(Refused), registry.writing() as w:
        number_wax(w, wax, number)
    assert state(registry, wax).number is None


def test_a_closed_run_takes_no_more_waxes(registry: Registry) -> None:
    run = a_run(registry)
    mold = a_mold(registry, "D-0001")
    wax = a_wax(registry, mold)
    with registry.writing() as w:
        close_run(w, run, by_declaration=True)
    acts: tuple[Callable[[Writing], object], ...] = (
        lambda w: pull_wax(w, mold, run=run),
        lambda w: allot_wax(w, wax, run),
        lambda w: number_wax(w, wax, "1/8", run=run),
    )
    for act in acts:
        with pytest.raises(Refused, match="was closed 2 March 2026"), registry.writing() as w:
            act(w)


def test_what_is_not_in_the_book_is_answered_with_the_nearest(registry: Registry) -> None:
    a_wax(registry)
    with pytest.raises(NotKnown, match="No wax W-0002") as fault, registry.writing() as w:
        judge_wax(w, "W-0002", accepted=True)
    assert "W-0001" in fault.value.remedy
    with pytest.raises(NotKnown, match="No mold M-0010"), registry.writing() as w:
        pull_wax(w, "M-0010")
