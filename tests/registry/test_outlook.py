"""A mold's life and a work's count, read from the book."""

from __future__ import annotations

import datetime

import pytest

from editions.errors import NotKnown, Refused
from editions.registry import Registry
from editions.registry.acts.colour import read_layer, write_recipe
from editions.registry.acts.molds import destroy_mold, inspect_mold, repair_mold, retire_mold
from editions.registry.acts.parties import enter_party
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.runs import close_run
from editions.registry.acts.waxes import judge_wax, pull_wax
from editions.registry.counting import count_work
from editions.registry.outlook import life_of, run_for, sections_of, wanted
from editions.registry.recipes import layers_of
from editions.rules.mold_life.outlook import SectionBook
from editions.trade.molds import Mold
from editions.trade.quantities import Quantity
from editions.trade.runs import Run
from tests.registry.builders import a_model, a_mold, a_piece, a_run, a_work


@pytest.fixture
def mold(registry: Registry) -> str:
    work = a_work(registry)
    model = a_model(registry, work, scale="1:1")
    a_run(registry, work, model=model)
    return a_mold(registry, model, "head", "torso")


def books(registry: Registry, mold: str, **more: Quantity) -> dict[str, SectionBook]:
    with registry.reading() as r:
        found = r.get(mold, Mold)
        sections = sections_of(r, found, run_for(r, found, None), more or None)
    return {section.name: section for section in sections}


def pull(registry: Registry, mold: str, *fates: str, section: str = "head") -> None:
    with registry.writing() as w:
        for fate in fates:
            wax = pull_wax(w, mold, section, run="R-0001").code
            if fate != "open":
                judge_wax(
                    w, wax, accepted=fate == "sound", reason="air" if fate != "sound" else None
                )


def inspect(registry: Registry, mold: str, *criteria: str) -> None:
    with registry.writing() as w:
        inspect_mold(w, mold, "head", [read_criterion(text) for text in criteria])


def test_readings_stand_at_the_pull_they_were_taken_at(registry: Registry, mold: str) -> None:
    for gap in ("0.1", "0.3", "0.6"):
        inspect(registry, mold, f"tears=worn/{gap}mm", "detail=sound", "registration=worn/1/16in")
        pull(registry, mold, "sound", "sound")
    head = books(registry, mold, tears=Quantity("4", "mm"))["head"]
    by_name = {one.name: one for one in head.indicators}
    assert by_name["tears"].readings == ((0, 0.1), (2, 0.3), (4, 0.6))
    assert by_name["tears"].threshold == Quantity("4", "mm")
    assert (by_name["registration"].unit, by_name["tears"].unit) == ("in", "mm")
    assert by_name["registration"].readings[0] == (0, 0.0625)
    assert (by_name["detail"].unit, by_name["detail"].readings[2]) == ("grade", (4, 0.0))
    assert books(registry, mold)["torso"].indicators == ()


def test_readings_from_before_a_repair_are_left_out(registry: Registry, mold: str) -> None:
    inspect(registry, mold, "tears=failing/4mm")
    pull(registry, mold, "sound")
    with registry.writing() as w:
        repair_mold(w, mold, "head", "patched")
    inspect(registry, mold, "tears=sound/0.2mm")
    head = books(registry, mold)["head"]
    assert head.since_repair == 1
    assert head.indicators[0].readings == ((1, 0.2),)


def test_waxes_are_sound_rejected_or_still_wanted(registry: Registry, mold: str) -> None:
    pull(registry, mold, "sound", "sound", "rejected", "open")
    head, torso = books(registry, mold).values()
    assert (head.pulls, head.sound, head.rejected) == (4, 2, 1)
    # 8 and 4 proofs, less three in stock that were not rejected.
    assert (head.wanted, torso.wanted) == (9, 12)


def test_what_is_cast_or_in_a_piece_is_wanted_no_more(registry: Registry) -> None:
    work = a_work(registry)
    model = a_model(registry, work)
    run = a_run(registry, work, model=model, size=3, proofs=[], elsewhere=["3/3=another shop"])
    mold = a_mold(registry, model)
    a_piece(registry, run, to="poured", mold=mold)
    a_piece(registry, run)
    with registry.writing() as w:
        pull_wax(w, mold)
    with registry.reading() as r:
        state = r.get(mold, Mold)
        # One is cast elsewhere, one poured here, and a wax of no run lies in stock.
        assert wanted(r, r.get(run, Run), state, "whole") == 0
        assert wanted(r, None, state, "whole") is None


def test_a_run_of_no_size_wants_no_number(registry: Registry) -> None:
    work = a_work(registry)
    model = a_model(registry, work)
    run = a_run(registry, work, model=model, size=None, proofs=[])
    mold = a_mold(registry, model)
    with registry.reading() as r:
        assert wanted(r, r.get(run, Run), r.get(mold, Mold), "whole") is None


def test_the_days_of_pulls_are_those_that_are_known(registry: Registry, mold: str) -> None:
    with registry.writing() as w:
        pull_wax(w, mold, "head", on="2026-01~")
        pull_wax(w, mold, "head")
    with registry.reading() as r:
        days = life_of(r, r.get(mold, Mold)).days["head"]
    assert len(days) == 1
    assert isinstance(days[0], datetime.date)


def test_an_end_is_told(registry: Registry, mold: str) -> None:
    with registry.writing() as w:
        retire_mold(w, mold, section="head")
    assert books(registry, mold)["head"].ended.startswith("retired")
    assert books(registry, mold)["torso"].ended == ""
    with registry.writing() as w:
        witness = enter_party(w, "witness").code
        destroy_mold(w, mold, witness=witness, evidence="cut up")
    assert "destroyed" in books(registry, mold)["torso"].ended


def test_the_run_is_the_one_named_or_the_only_open_one(registry: Registry, mold: str) -> None:
    with registry.reading() as r:
        state = r.get(mold, Mold)
        only = run_for(r, state, None)
        assert only is not None
        assert run_for(r, state, only.code.lower()) == only
        work = only.declared.work
    second = a_run(registry, work, size=2, proofs=[])
    other = a_run(registry, a_work(registry, title="Wren"), size=2, proofs=[])
    with registry.reading() as r:
        state = r.get(mold, Mold)
        assert run_for(r, state, None) is None
        with pytest.raises(NotKnown, match="is a run of"):
            run_for(r, state, other)
        with pytest.raises(NotKnown):
            run_for(r, state, "R-0099")
    with registry.writing() as w:
        close_run(w, second, by_declaration=True, statement="No more.")
    with registry.reading() as r:
        state = r.get(mold, Mold)
        assert run_for(r, state, None) == only
        with pytest.raises(Refused, match="wants no more"):
            run_for(r, state, second)


def test_a_work_is_counted_by_its_own_code_or_by_a_runs(registry: Registry, mold: str) -> None:
    whole = a_mold(registry, "D-0001")
    a_piece(registry, "R-0001", to="poured", number="3/8", mold=whole, sections=["whole"])
    with registry.reading() as r:
        run = r.get("R-0001", Run)
        found = count_work(r, run.declared.work.lower())
        assert found == count_work(r, "R-0001")
    assert (found.exist, found.can_exist, found.free) == (1, 12, 11)
    assert [(g.by, g.value) for g in found.groups if g.by in ("scale", "life")] == [
        ("scale", "1:1"),
        ("life", "lifetime"),
    ]
    with registry.reading() as r, pytest.raises(NotKnown):
        count_work(r, "K-0099")


def test_layers_are_read_of_the_version_asked_for(registry: Registry) -> None:
    with registry.writing() as w:
        code = write_recipe(
            w, "Brown", words="brown", layers=[read_layer("ferric nitrate; 5 % w/v")]
        )
        write_recipe(w, recipe=code.code, words="darker", layers=[read_layer("hypo; 2 % w/v")])
        bare = write_recipe(w, "Bare", words="as cast").code
    with registry.reading() as r:
        assert [layer.solution for layer in layers_of(r, code.code.lower())] == ["hypo"]
        assert layers_of(r, code.code, 1)[0].strength == "5 % w/v"
        with pytest.raises(NotKnown, match="no version 3"):
            layers_of(r, code.code, 3)
        with pytest.raises(NotKnown, match="No layers"):
            layers_of(r, bare)


def test_a_wax_and_a_bronze_unlike_their_kind_are_remarked_on(registry: Registry) -> None:
    mold = a_mold(registry)
    with registry.writing() as w:
        for mass in ("1.0", "1.05", "0.98"):
            assert pull_wax(w, mold, mass=Quantity(mass, "kg")).remarks == ()
        remarks = pull_wax(w, mold, mass=Quantity("10.5", "kg")).remarks
    assert "those weighed before it" in remarks[0]
