"""``bronzebook piece``: from its start to its release, or its end."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown
from tests.registry.builders import a_model, a_mold, a_piece, a_run, a_wax, state, work_of
from tests.registry.figures import a_figure


def held(registry: Registry, name: str) -> Any:
    """The state of whatever answers to a tag or code."""
    with registry.reading() as reading:
        return reading.state(reading.resolve(name))


def test_a_row_of_pieces_is_started_with_a_row_of_tags(
    call: Call, registry: Registry, shop: Shop
) -> None:
    done = call("piece", "start", shop.run, "--tag", "t-0201..t-0203", "--sections", "head, torso")
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert [line.split()[3] for line in lines] == ["T-0201", "T-0202", "T-0203"]
    assert [s.name for s in held(registry, "T-0202").sections] == ["head", "torso"]


def test_a_trial_is_started_without_a_tag(call: Call, registry: Registry, shop: Shop) -> None:
    done = call("piece", "start", shop.run, "--trial", "--code", "P-0300", "--note", "test of slip")
    assert done.exit_code == 0
    piece = held(registry, "P-0300")
    assert (piece.purpose, piece.tag, [s.name for s in piece.sections]) == ("trial", None, ["body"])


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["R-0009"], 4, "No run R-0009"),
        (["P-0001"], 2, "code of a run"),
        (["R-0001", "--tag", "T-0101"], 6, "hangs on"),
        (["R-0001", "--tag", "T-0201..T-0202", "--code", "P-0300"], 2, "One code"),
        (["R-0001", "--tag", "T-0203..T-0201"], 2, "runs backwards"),
        (["R-0001", "--sections", "head,head"], 6, "named twice"),
        (["R-0001", "--on", "32 May"], 2, "not a date"),
        ([], 2, "RUN"),
    ],
)
def test_a_piece_that_cannot_be_started_is_said_in_a_line(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("piece", "start", *words)
    assert (done.exit_code, done.stdout) == (status, "")
    assert says in done.stderr
    assert state(registry, "P-0004") is None


def test_on_a_terminal_the_molds_several_sections_are_the_likely_answer(
    at_terminal: Any, registry: Registry
) -> None:
    model = a_model(registry)
    a_mold(registry, model, "head", "torso")
    run = a_run(registry, work_of(registry, model), model=model)
    shown = at_terminal("piece", "start", run, "--tag", "T-0201", answers="\n")
    assert shown.status == 0
    assert "Cast in which sections [head,torso]:" in shown.text
    assert [s.name for s in held(registry, "T-0201").sections] == ["head", "torso"]


def test_nobody_is_asked_where_the_mold_has_one_section(
    at_terminal: Any, registry: Registry, shop: Shop
) -> None:
    shown = at_terminal("piece", "start", shop.run, "--tag", "T-0201")
    assert shown.status == 0
    assert "which sections" not in shown.text


def test_where_nobody_is_asked_a_piece_takes_the_sections_of_its_molds(
    call: Call, registry: Registry
) -> None:
    figure = a_figure(registry)
    done = call("piece", "start", figure.run, "--tag", "T-0301..T-0302")
    assert done.exit_code == 0
    assert "T-0302 in head, torso" in done.stdout
    wax = a_wax(registry, figure.mold, "head")
    assert call("piece", "take", "T-0301", wax).exit_code == 0
    assert [s.name for s in held(registry, "T-0301").sections] == ["head", "torso"]


def test_on_a_terminal_whole_or_in_parts_is_asked_with_the_parts_as_the_likely_answer(
    call: Call, registry: Registry, at_terminal: Callable[..., Shown]
) -> None:
    figure = a_figure(registry)
    a_mold(registry, state(registry, figure.run).declared.model, "whole")
    shown = at_terminal("piece", "start", figure.run, "--tag", "T-0301", answers="\n")
    assert "Cast whole, or in head,torso [head,torso]" in shown.text
    at_terminal("piece", "start", figure.run, "--tag", "T-0302", answers="whole\n")
    sections = [[s.name for s in held(registry, tag).sections] for tag in ("T-0301", "T-0302")]
    assert sections == [["head", "torso"], ["whole"]]


def test_sections_said_wrongly_are_said_anew_as_the_refusal_tells(
    call: Call, registry: Registry
) -> None:
    figure = a_figure(registry)
    call("piece", "start", figure.run, "--tag", "T-0301", "--sections", "whole")
    refused = call("piece", "take", "T-0301", "head", a_wax(registry, figure.mold, "head"))
    assert refused.exit_code == 4
    assert 'bronzebook correct T-0301#1 sections="head; torso"' in refused.stderr
    done = call("correct", "T-0301#1", "sections=head; torso", "--reason", "two molds")
    assert done.exit_code == 0
    assert [s.name for s in held(registry, "T-0301").sections] == ["head", "torso"]


def test_waxes_are_taken_with_and_without_their_section(
    call: Call, registry: Registry, shop: Shop
) -> None:
    spare = a_wax(registry, shop.mold, run=shop.run)
    call("piece", "start", shop.run, "--tag", "T-0201", "--sections", "body,plinth")
    first = call("piece", "take", "t-0201", spare.lower())
    assert first.exit_code == 0
    assert f"section taken  t-0201 body {spare}" in first.stdout
    refused = call("piece", "take", "T-0201", "Plinth", shop.wax)
    assert refused.exit_code == 6
    assert "--as-another" in refused.stderr
    second = call("piece", "take", "T-0201", "Plinth", shop.wax, "--as-another")
    assert "taken as plinth" in second.stderr
    assert {s.name: s.wax for s in held(registry, "T-0201").sections} == {
        "body": spare,
        "plinth": shop.wax,
    }


def test_several_waxes_are_taken_at_once(call: Call, registry: Registry, shop: Shop) -> None:
    spare = a_wax(registry, shop.mold, run=shop.run)
    call("piece", "start", shop.run, "--tag", "T-0201", "--sections", "body,plinth")
    done = call("piece", "take", "T-0201", spare, "plinth", shop.wax, "--as-another")
    assert done.exit_code == 0
    assert len(done.stdout.splitlines()) == 2
    assert [s.wax for s in held(registry, "T-0201").sections] == [spare, shop.wax]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["T-0103", "body"], 2, "No wax follows body"),
        (["T-0103", "body", "plinth", "W-0001"], 2, "No wax follows the section body"),
        (["T-0103", "W-0099"], 4, "W-0099"),
        (["T-0103", "wing", "W-0001"], 4, "no section"),
        (["T-0109", "W-0001"], 4, "T-0109"),
        (["T-0103"], 2, "WAX"),
    ],
)
def test_a_wax_that_cannot_be_taken_is_not(
    call: Call, registry: Registry, words: list[str], status: int, says: str
) -> None:
    done = call("piece", "take", *words)
    assert done.exit_code == status
    assert says in done.stderr
    assert held(registry, "T-0103").sections[0].wax is None


def test_a_mass_among_the_lengths_is_taken_as_one(call: Call, registry: Registry) -> None:
    done = call("piece", "measure", "T-0101", "height=450mm/with", "mass=31kg")
    assert done.exit_code == 0
    assert str(held(registry, "T-0101").mass) == "31 kg"


def test_a_piece_is_measured_in_shop_words(call: Call, registry: Registry) -> None:
    done = call(
        "piece", "measure", "T-0102", "height=450mm/with", "span=17 3/4in+-1/8in",
        "--mass", "31.5 lb", "--hand", "Y-0001",
    )  # fmt: skip
    assert done.exit_code == 0
    assert "height=450 mm/with, span=17 3/4 in ± 1/8 in, 31.5 lb" in done.stdout
    assert str(held(registry, "T-0102").mass) == "31.5 lb"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["T-0102"], "Nothing was measured"),
        (["T-0102", "450mm"], "not a measured station"),
        (["T-0102", "height=450"], "no unit"),
        (["T-0102", "--mass", "3mm"], "not a mass"),
    ],
)
def test_a_measurement_that_cannot_be_read_is_not_entered(
    call: Call, registry: Registry, words: list[str], says: str
) -> None:
    done = call("piece", "measure", *words)
    assert (done.exit_code, says in done.stderr) == (2, True)
    assert held(registry, "T-0102").stations == ()


def test_a_defect_is_noted_in_one_word_or_two(call: Call, registry: Registry) -> None:
    assert call("piece", "defect", "T-0101", "B", "pinhole", "--section", "body").exit_code == 0
    assert call("piece", "defect", "T-0101", "cold shut", "--note", "at the seam").exit_code == 0
    assert [d.name for d in held(registry, "T-0101").defects] == ["pinhole", "cold shut"]
    refused = call("piece", "defect", "T-0101", "C", "pinhole")
    assert refused.exit_code == 2
    assert "Write B pinhole." in refused.stderr


def test_a_defect_of_several_sections_says_in_which_and_is_corrected(
    call: Call, registry: Registry, at_terminal: Callable[..., Shown]
) -> None:
    figure = a_figure(registry)
    call("piece", "start", figure.run, "--tag", "T-0301")
    refused = call("piece", "defect", "T-0301", "pinhole")
    assert (refused.exit_code, refused.stdout) == (6, "")
    assert "Its sections: head, torso." in refused.stderr
    assert call("piece", "defect", "T-0301/head", "pinhole").exit_code == 0
    shown = at_terminal("piece", "defect", "T-0301", "slag", answers="Torso\n")
    assert "In which section of head, torso" in shown.text
    assert call("correct", "T-0301#2", "section=torso", "--reason", "misread").exit_code == 0
    done = call("correct", "T-0301#3", "defect=cold shut", "--reason", "misread")
    assert done.exit_code == 0
    assert [(d.defect_class, d.name, d.section) for d in held(registry, "T-0301").defects] == [
        ("B", "pinhole", "torso"),
        ("C", "cold shut", "torso"),
    ]


def test_the_same_defect_twice_is_remarked_on(call: Call) -> None:
    call("piece", "defect", "T-0101", "pinhole")
    again = call("piece", "defect", "T-0101", "pinhole")
    assert again.exit_code == 0
    assert "remark: T-0101: B pinhole is noted that day already." in again.stderr


def test_help_lists_the_defects_by_their_classes(call: Call) -> None:
    said = call("piece", "defect", "--help").stdout
    assert "B  cavities: blowhole, pinhole, shrinkage, porosity" in said
    assert "F  incorrect dimension: distortion" in said


def test_a_piece_is_scrapped_with_witness_and_file(
    call: Call, registry: Registry, tmp_path: Path
) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(b"the saw")
    done = call(
        "piece", "scrap", "T-0101", "--evidence", "cut in four", "--witness", "y-0001",
        "--file", str(film), "--reason", "misrun", "--on", "today",
    )  # fmt: skip
    assert done.exit_code == 0
    ending = held(registry, "T-0101").ending
    assert (ending.witness, ending.digest) == ("Y-0001", sha256(b"the saw").hexdigest())


def test_one_section_is_scrapped_to_be_cast_again(call: Call, registry: Registry) -> None:
    done = call("piece", "scrap", "T-0101", "--section", "Body", "--evidence", "melted")
    assert "section scrapped  section Body of T-0101" in done.stdout
    piece = held(registry, "T-0101")
    assert (piece.scrapped, len(piece.sections[0].scrapped)) == (None, 1)


def test_scrapping_asks_for_the_proof_and_once_more_on_a_terminal(
    at_terminal: Any, registry: Registry
) -> None:
    stopped = at_terminal("piece", "scrap", "T-0101", answers="cut in four\nn\n")
    assert stopped.status == 130
    assert "Scrap T-0101?" in stopped.text
    assert held(registry, "T-0101").scrapped is None
    done = at_terminal("piece", "scrap", "T-0101", answers="cut in four\ny\n")
    assert done.status == 0
    assert held(registry, "T-0101").ending.evidence == "cut in four"


def test_scrapping_without_proof_is_refused_where_nobody_can_be_asked(
    call: Call, registry: Registry
) -> None:
    done = call("piece", "scrap", "T-0101")
    assert (done.exit_code, "--evidence is missing" in done.stderr) == (2, True)
    assert held(registry, "T-0101").scrapped is None


def test_pieces_are_released_together_or_not_at_all(
    call: Call, registry: Registry, shop: Shop
) -> None:
    ready = a_piece(registry, shop.run, to="approved in colour", mold=shop.mold, tag="T-0201")
    refused = call("piece", "release", "T-0201", "T-0101")
    assert refused.exit_code == 6
    assert state(registry, ready).released is None
    done = call("piece", "release", "T-0201", "--to", "a museum", "--note", "in two crates")
    assert "piece released  T-0201, finished" in done.stdout
    assert state(registry, ready).released_as == "finished"


def test_a_piece_is_released_in_raw_metal(call: Call, registry: Registry, shop: Shop) -> None:
    a_piece(registry, shop.run, to="approved in metal", mold=shop.mold, tag="T-0201")
    done = call("piece", "release", "T-0201", "--raw-metal")
    assert "T-0201, raw metal" in done.stdout
    assert held(registry, "T-0201").released_as == "raw metal"


def test_an_earlier_cast_is_registered_with_the_marks_it_bears(
    call: Call, registry: Registry, shop: Shop
) -> None:
    done = call(
        "piece", "register", shop.work, "--cast", "1974~", "--mark", "II/VIII", "--mark", "VARGA",
        "--foundry", "not known", "--owner", "a lender", "--tag", "OLD/7", "--seen-by", "Y-0001",
    )  # fmt: skip
    assert done.exit_code == 0
    assert len(done.stdout.splitlines()) == 3
    cast = held(registry, "OLD/7")
    assert (cast.from_object, cast.cast, [m.number for m in cast.marks]) == (
        True,
        "1974~",
        ["II/VIII", None],
    )


@pytest.mark.parametrize(
    ("words", "status"),
    [(["K-0009"], 4), (["K-0001", "--cast", "74"], 2), (["K-0001", "--mark", " "], 2)],
)
def test_an_earlier_cast_that_cannot_be_read_is_not_registered(
    call: Call, registry: Registry, words: list[str], status: int
) -> None:
    assert call("piece", "register", *words).exit_code == status
    assert state(registry, "P-0004") is None


@pytest.mark.parametrize("words", [[], ["start"], ["take"], ["measure"], ["scrap"], ["register"]])
def test_each_command_has_its_help(call: Call, words: list[str]) -> None:
    done = call("piece", *words, "--help")
    assert done.exit_code == 0
    assert "Usage: bronzebook piece" in done.stdout
