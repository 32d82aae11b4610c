"""What people do along the route, for a piece or a rack."""

from __future__ import annotations

import pytest

from editions.errors import BronzebookError, NotKnown, Refused, Unreadable
from editions.registry import Registry
from editions.registry.acts.pieces import scrap_piece, start_piece, take_wax
from editions.registry.acts.runs import declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import pull_wax
from editions.trade.codes import expand
from tests.registry.builders import a_party, a_piece, a_run, state
from tests.registry.figures import Figure, a_cast, a_figure


def a_rack(registry: Registry, figure: Figure, count: int = 3) -> list[str]:
    """Pieces tagged T-0101 on, waxed."""
    return [a_cast(registry, figure, f"T-{101 + n:04d}", to="waxed") for n in range(count)]


def coats(registry: Registry, piece: str) -> list[int | None]:
    return [step.coat for step in state(registry, piece).steps if step.step == "shelled"]


def test_a_step_is_recorded_for_a_whole_rack_in_one_batch(registry: Registry) -> None:
    figure = a_figure(registry)
    rack = a_rack(registry, figure)
    with registry.writing() as w:
        made = record_step(
            w,
            "Shelled",
            expand("t-0101..t-0103"),
            coat=1,
            hand=figure.hand,
            on="2026-03-01/2026-03-02",
            note="slurry new",
        )
    assert [one.code for one in made] == rack
    assert [one.position for one in made] == list(range(made[0].position, made[0].position + 3))
    for piece in rack:
        (step,) = state(registry, piece).steps
        assert (step.step, step.coat, step.hand) == ("shelled", 1, figure.hand)
        assert step.on == "2026-03-01/2026-03-02"


def test_what_is_refused_for_one_of_a_rack_is_refused_for_all(registry: Registry) -> None:
    figure = a_figure(registry)
    rack = a_rack(registry, figure)
    with registry.writing() as w:
        scrap_piece(w, rack[1], evidence="crushed")
    with pytest.raises(Refused, match="scrapped"), registry.writing() as w:
        record_step(w, "shelled", ["T-0101", "T-0102", "T-0103"])
    assert [coats(registry, piece) for piece in rack] == [[], [], []]


def test_coats_count_themselves_on_and_may_be_said(book: Registry) -> None:
    piece = a_piece(book, to="waxed")
    with book.writing() as w:
        record_step(w, "shelled", [piece])
        record_step(w, "dipped", [piece])
        skipped = record_step(w, "shelled", [piece], coat=5)
        record_step(w, "shelled", [piece])
    assert coats(book, piece) == [1, 2, 5, 6]
    assert skipped[0].remarks[0].startswith(f"{piece}: coats 3 to 4 not recorded;")
    with pytest.raises(Refused, match="Coat 6 of"), book.writing() as w:
        record_step(w, "shelled", [piece], coat=6)


def test_coats_of_a_section_are_its_own_and_begin_again_when_it_is_recast(book: Registry) -> None:
    figure = a_figure(book)
    piece = a_cast(book, figure, "T-0101", to="waxed")
    with book.writing() as w:
        record_step(w, "shelled", ["T-0101/head"])
        record_step(w, "shelled", ["T-0101/head"])
        record_step(w, "shelled", ["T-0101/torso"])
        record_step(w, "shelled", ["T-0101"])
    assert coats(book, piece) == [1, 2, 1, 3]
    with book.writing() as w:
        scrap_piece(w, piece, section="head", evidence="cracked in the kiln")
        take_wax(w, piece, pull_wax(w, figure.mold, "head", run=figure.run).code)
        record_step(w, "shelled", [piece], section="Head")
    assert coats(book, piece)[-1] == 1


def test_coats_are_not_counted_where_nobody_here_laid_them(book: Registry) -> None:
    piece, shop = a_piece(book, to="waxed"), a_party(book, "foundry")
    with book.writing() as w:
        record_step(w, "shelled", [piece], how="not recorded")
        record_step(w, "dewaxed", [piece], how="elsewhere", declared_by=shop)
    first, second = state(book, piece).steps
    assert (first.how, first.coat) == ("not recorded", None)
    assert (second.how, second.declared_by) == ("elsewhere", shop)


@pytest.mark.parametrize(
    ("spoken", "recorded"),
    [("invested", "shelled"), ("burned out", "fired"), ("metal-chased", "metal_chased")],
)
def test_a_step_is_read_in_the_words_of_any_route(
    book: Registry, spoken: str, recorded: str
) -> None:
    piece = a_piece(book, to="poured")
    with book.writing() as w:
        record_step(w, spoken, [piece], how="not recorded")
    assert state(book, piece).steps[-1].step == recorded


def test_steps_repeat_after_the_pour(book: Registry) -> None:
    piece = a_piece(book, to="poured")
    with book.writing() as w:
        for step in ("welded", "metal chased", "welded", "blasted", "metal chased"):
            record_step(w, step, [piece])
    assert [s.step for s in state(book, piece).steps[-5:]] == [
        "welded",
        "metal_chased",
        "welded",
        "blasted",
        "metal_chased",
    ]


@pytest.mark.parametrize(
    ("step", "said", "error", "says"),
    [
        ("polished", {}, Unreadable, "not a step"),
        ("fired", {}, Refused, "dewaxed"),
        ("welded", {}, Refused, "poured"),
        ("shelled", {"section": "wing"}, NotKnown, "no section"),
        ("shelled", {"hand": "Y-0099"}, NotKnown, "No party Y-0099"),
        ("shelled", {"how": "elsewhere"}, Refused, "not named"),
        ("shelled", {"declared_by": "Y-0001"}, Refused, "elsewhere"),
        ("wax chased", {"coat": 2}, Refused, "of shells"),
        ("shelled", {"on": "2026-02-01"}, Refused, "backwards"),
        ("shelled", {"on": "yesterday"}, Unreadable, "not a date"),
        ("poured", {}, Refused, "entry of its own"),
        ("released", {}, Refused, "entry of its own"),
    ],
)
def test_a_step_that_cannot_be_is_not_recorded(
    book: Registry, step: str, said: dict[str, object], error: type[BronzebookError], says: str
) -> None:
    piece = a_piece(book, to="waxed")
    with pytest.raises(error, match=says), book.writing() as w:
        record_step(w, step, [piece], **said)  # type: ignore[arg-type]
    assert state(book, piece).steps == ()


def test_a_step_of_a_piece_that_is_not_there_names_the_nearest(book: Registry) -> None:
    figure = a_figure(book)
    a_cast(book, figure, "T-0101")
    with pytest.raises(NotKnown) as caught, book.writing() as w:
        record_step(w, "shelled", ["T-0110"])
    assert "T-0101" in caught.value.remedy


def test_a_sand_casting_needs_no_firing(book: Registry) -> None:
    figure = a_figure(book)
    with book.writing() as w:
        run = declare_run(w, figure.work, model=figure.model, size=4, route="sand").code
        piece = start_piece(w, run).code
    with pytest.raises(Refused, match="no step shelled"), book.writing() as w:
        record_step(w, "shelled", [piece])


def test_a_block_is_invested_without_coats(book: Registry) -> None:
    piece = a_piece(book, a_run(book, route="block-investment"), to="waxed")
    with book.writing() as w:
        record_step(w, "invested", [piece])
    assert coats(book, piece) == [None]
