"""What people do with molds."""

from __future__ import annotations

import pytest

from editions.errors import NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.molds import (
    destroy_mold,
    inspect_mold,
    make_mold,
    repair_mold,
    retire_mold,
    send_mold_out,
    take_mold_back,
)
from editions.registry.acts.phrases import read_criterion
from editions.registry.acts.waxes import pull_wax
from editions.trade.molds import EarlierPulls, Mold
from tests.registry.builders import (
    a_model,
    a_mold,
    a_party,
    a_piece,
    a_run,
    a_work,
    state,
)


def _counts(registry: Registry, mold: str) -> dict[str, str]:
    held: Mold = state(registry, mold)
    return {section.name: section.count for section in held.sections}


def test_a_mold_is_entered_with_its_sections_and_earlier_pulls(registry: Registry) -> None:
    model, maker = a_model(registry), a_party(registry, "mold maker")
    with registry.writing() as w:
        made = make_mold(
            w,
            model.lower(),
            ["Head", "left wing"],
            material="silicone in plaster",
            maker=maker,
            owner="Y-0001",
            place="rack 4",
            earlier=["head 12", EarlierPulls(section="left wing", pulls=3, counted=False)],
        )
    mold = state(registry, made.code)
    assert (made.code, mold.taken_from, mold.generation) == ("M-0001", model, 0)
    assert (mold.maker, mold.owner, mold.place) == (maker, "Y-0001", "rack 4")
    assert _counts(registry, "M-0001") == {"Head": "12", "left wing": "at least 3"}


def test_a_mold_of_no_named_sections_is_whole_and_its_pulls_a_count_alone(
    registry: Registry,
) -> None:
    model = a_model(registry)
    with registry.writing() as w:
        make_mold(w, model, material="silicone", earlier=["at least 7"])
        make_mold(w, model, material="plaster", earlier=["whole 2"])
    assert _counts(registry, "M-0001") == {"whole": "at least 7"}
    assert _counts(registry, "M-0002") == {"whole": "2"}


def test_the_generation_follows_from_what_the_mold_was_taken_from(registry: Registry) -> None:
    work = a_work(registry)
    clay = a_model(registry, work)
    master = a_model(registry, work, "master bronze", made_from=clay)
    scan = a_model(registry, work, "scan", made_from=master)
    piece = a_piece(registry, a_run(registry, work, model=clay), to="poured", tag="T-0101")
    molds = [a_mold(registry, source) for source in (clay, master, scan, piece, "t-0101")]
    assert [state(registry, mold).generation for mold in molds] == [0, 1, 1, 1, 1]
    second = a_piece(registry, a_run(registry, work, model=clay), to="poured", mold=molds[3])
    assert state(registry, a_mold(registry, second)).generation == 2


def test_a_generation_that_cannot_be_is_refused(registry: Registry) -> None:
    piece = a_piece(registry, to="poured")
    with pytest.raises(Refused, match="generation 1 at least"), registry.writing() as w:
        make_mold(w, piece, material="silicone", generation=0)


@pytest.mark.parametrize("source", ["K-0001", "Y-0001"])
def test_a_mold_is_taken_from_a_model_or_a_bronze_only(registry: Registry, source: str) -> None:
    a_work(registry)
    with pytest.raises(NotKnown, match="neither a model nor a bronze"), registry.writing() as w:
        make_mold(w, source, material="silicone")


def test_earlier_pulls_of_a_section_it_lacks_are_not_known(registry: Registry) -> None:
    model = a_model(registry)
    with pytest.raises(NotKnown, match="no section “tail”"), registry.writing() as w:
        make_mold(w, model, ["head"], material="silicone", earlier=["tail 3"])
    with pytest.raises(Unreadable), registry.writing() as w:
        make_mold(w, model, ["head", "tail"], material="silicone", earlier=["3"])


def test_a_mold_that_was_away_counts_at_least(registry: Registry) -> None:
    mold = a_mold(registry)
    with registry.writing() as w:
        send_mold_out(w, mold, place="a caster in Lund", to="Y. Berg, 3 Quay")
    assert state(registry, mold).out == "2026-03-02"
    with registry.writing() as w:
        take_mold_back(w, mold, place="rack 4", away=["2"])
    assert state(registry, mold).out is None
    assert state(registry, mold).place == "rack 4"
    assert _counts(registry, mold) == {"whole": "at least 2"}


def test_a_mold_goes_out_once_and_comes_back_once(registry: Registry) -> None:
    mold = a_mold(registry)
    with pytest.raises(Refused, match="not out"), registry.writing() as w:
        take_mold_back(w, mold)
    with registry.writing() as w:
        send_mold_out(w, mold)
    with pytest.raises(Refused, match="is out since"), registry.writing() as w:
        send_mold_out(w, mold)


def test_an_inspection_grades_a_section(registry: Registry) -> None:
    mold = a_mold(registry, None, "head", "torso")
    criteria = [read_criterion("tears=sound"), read_criterion("registration=worn/2 mm")]
    with registry.writing() as w:
        inspect_mold(w, mold, "HEAD", criteria, hand="Y-0001", note="under lamp")
    section = state(registry, mold).section("head")
    assert (section.condition, section.inspected) == ("worn", "2026-03-02")
    assert str(section.criteria[1].measured) == "2 mm"


def test_an_inspection_needs_a_section_it_has_and_something_graded(registry: Registry) -> None:
    mold = a_mold(registry, None, "head", "torso")
    sound = [read_criterion("tears=sound")]
    with pytest.raises(Unreadable, match="Which section of M-0001"), registry.writing() as w:
        inspect_mold(w, mold, None, sound)
    with pytest.raises(NotKnown, match="Its sections: head, torso") as fault:
        _inspect(registry, mold, "tail")
    assert "no section “tail”" in str(fault.value)
    with pytest.raises(Unreadable, match="grades nothing"), registry.writing() as w:
        inspect_mold(w, mold, "head", [])


def _inspect(registry: Registry, mold: str, section: str) -> None:
    with registry.writing() as w:
        inspect_mold(w, mold, section, [read_criterion("tears=sound")])


def test_the_only_section_need_not_be_named(registry: Registry) -> None:
    mold = a_mold(registry)
    with registry.writing() as w:
        inspect_mold(w, mold, None, [read_criterion("detail=failing")])
        repair_mold(w, mold, None, "seam reglued", hand="Y-0001")
    section = state(registry, mold).section("whole")
    assert (section.condition, section.repaired) == ("failing", 1)


def test_a_failing_mold_is_pulled_with_a_remark(registry: Registry) -> None:
    mold = a_mold(registry)
    with registry.writing() as w:
        inspect_mold(w, mold, None, [read_criterion("tears=failing")])
        made = pull_wax(w, mold)
    assert "found failing" in made.remarks[0]


def test_a_retired_section_gives_no_more_waxes(registry: Registry) -> None:
    mold = a_mold(registry, None, "head", "torso")
    with registry.writing() as w:
        retire_mold(w, mold, section="head", reason="torn at the seam")
        pull_wax(w, mold, "torso")
    with pytest.raises(Refused, match="Section head of M-0001 was retired"):
        _pull(registry, mold, "head")
    with registry.writing() as w:
        retire_mold(w, mold)
    with pytest.raises(Refused, match="Section torso of M-0001 was retired"):
        _pull(registry, mold, "torso")


def test_nothing_is_pulled_from_a_destroyed_mold(registry: Registry) -> None:
    mold, witness = a_mold(registry, on="2026-01"), a_party(registry, "witness", name="Ada Quill")
    with registry.writing() as w:
        destroy_mold(w, mold, witness=witness, evidence="cut up; 3 photographs", on="2026-02-20")
    assert state(registry, mold).destroyed == "2026-02-20"
    with pytest.raises(Refused, match=f"destroyed 20 February 2026 before {witness}"):
        _pull(registry, mold, None)


def test_a_destruction_names_a_witness_and_evidence(registry: Registry) -> None:
    mold = a_mold(registry)
    with pytest.raises(NotKnown, match="No party Y-0077"), registry.writing() as w:
        destroy_mold(w, mold, witness="Y-0077", evidence="cut up")
    with pytest.raises(Unreadable, match="evidence is empty"), registry.writing() as w:
        destroy_mold(w, mold, witness="Y-0001", evidence=" ")
    assert state(registry, mold).destroyed is None


def _pull(registry: Registry, mold: str, section: str | None) -> None:
    with registry.writing() as w:
        pull_wax(w, mold, section)
