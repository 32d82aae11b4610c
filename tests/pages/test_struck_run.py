"""Which marks a run shows: by default its numbers, its proofs and this bronze, and nothing more."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from editions.charts.punches import Stretch
from editions.pages.drawn import legend, struck
from editions.pages.struck import series_of_run
from editions.pages.tongues import english
from editions.pages.values import RecordView, RunView
from editions.pages.view import record_view, room
from editions.registry.acts.pieces import scrap_piece
from editions.registry.acts.runs import amend_run, declare_run
from editions.trade.runs import Run
from tests.pages import builders
from tests.pages.builders import Gallery, Shop, cast, opened


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return opened(tmp_path / "registry")


def run_of(view: RecordView) -> RunView:
    assert view.run is not None
    return view.run


def amended(shop: Shop, **said: Any) -> None:
    shop.write(lambda w: amend_run(w, "R-0001", **said))


def test_by_default_only_this_bronze_is_told_apart(shown: Gallery) -> None:
    """3/8 is shown; that 1/8, 2/8 and 4/8 were cast, and 5/8 is promised, is not."""
    run = run_of(record_view(shown.shop.registry, shown.numbers["stands"]))
    assert [(one.name, one.of) for one in run.series] == [("", 8), ("AP", 4)]
    assert run.series[0].stretches == (
        Stretch("declared", 1, 2), Stretch("this", 3, 3), Stretch("declared", 4, 8),
    )  # fmt: skip
    assert run.series[1].stretches == (Stretch("declared", 1, 4),)
    assert (run.exist, run.can_exist) == (None, 12)
    assert legend(english(), run) == [
        ("this", "3/8"),
        ("declared", "1/8 to 2/8, 4/8 to 8/8, AP I/IV to AP IV/IV"),
    ]


def test_a_reserved_number_is_awaited_and_no_cast(shown: Gallery) -> None:
    run = run_of(record_view(shown.shop.registry, shown.numbers["reservation"]))
    assert legend(english(), run)[0] == ("awaited", "5/8")


def test_casts_and_numbers_elsewhere_show_where_pieces_are_published(shop: Shop) -> None:
    amended(shop, publishes=["size", "proofs", "pieces"], elsewhere=["8/8=another shop"])
    number = shop.certify(cast(shop))
    cast(shop, "1/8")
    cast(shop, "AP II/IV")
    run = run_of(record_view(shop.registry, number))
    assert legend(english(), run) == [
        ("this", "3/8"),
        ("known", "1/8, AP II/IV"),
        ("outside", "8/8"),
        ("declared", "2/8, 4/8 to 7/8, AP I/IV, AP III/IV to AP IV/IV"),
    ]
    assert run.exist == 3


def test_a_scrapped_cast_does_not_exist(shop: Shop) -> None:
    amended(shop, publishes=["size", "pieces"])
    number = shop.certify(cast(shop))
    gone = cast(shop, "1/8")
    shop.write(lambda w: scrap_piece(w, gone, evidence="photograph", witness="Y-0004"))
    run = run_of(record_view(shop.registry, number))
    assert [shape for shape, _ in legend(english(), run)] == ["this", "declared"]
    assert run.exist == 1


def test_a_run_that_publishes_nothing_tells_this_number_alone(shop: Shop) -> None:
    amended(shop, publishes=[])
    run = run_of(record_view(shop.registry, shop.certify(cast(shop))))
    assert (run.series, run.exist, run.can_exist, run.beside) == ((), None, None, ())
    assert struck(english(), run) == ""
    assert legend(english(), run) == [("this", "3/8")]


def test_letters_and_roman_numerals_are_struck_as_the_run_has_them(shop: Shop) -> None:
    amended(shop, numerals="letter", proofs=[])
    run = run_of(record_view(shop.registry, shop.certify(cast(shop, "C"))))
    assert legend(english(), run) == [("this", "C"), ("declared", "A to B, D to H")]


def test_a_size_beyond_what_can_be_seen_is_told_in_words_alone(shop: Shop) -> None:
    amended(shop, size=9_000, proofs=[], edition_class="multiple")
    run = run_of(record_view(shop.registry, builders.reserved(shop, "7/9000")))
    assert struck(english(), run) == ""
    assert legend(english(), run) == [
        ("awaited", "7/9000"), ("declared", "1/9000 to 6/9000, 8/9000 to 9000/9000"),
    ]  # fmt: skip


def test_a_size_that_no_number_can_bear_has_no_marks(shop: Shop) -> None:
    with room(shop.registry) as here:
        run = here.desk.get("R-0001", Run)
        assert run is not None
        large = replace(run, declared=replace(run.declared, size=20_000, proofs=()))
    assert series_of_run(large, "AP I/IV", "this", None) == ()


def test_other_runs_of_the_work_are_told_as_far_as_they_publish(shop: Shop) -> None:
    def declare(w: Any) -> None:
        declare_run(w, "K-0001", size=3, scale="1:2", on="2026-04-01")
        declare_run(w, "K-0001", size=99, scale="1:4", publishes=["pieces"], on="2026-04-01")
        declare_run(w, "K-0001", size=7, publishes=[], on="2026-04-01")

    number = shop.certify(cast(shop))
    shop.write(declare)
    beside = run_of(record_view(shop.registry, number)).beside
    assert [(one.code, one.title, one.scale) for one in beside] == [
        ("R-0002", "run of 3", "1:2"),
        ("R-0003", "run, size not published", "1:4"),
    ]
