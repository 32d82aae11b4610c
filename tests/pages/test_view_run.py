"""What a record tells of the run, and of how the piece was made."""

from __future__ import annotations

from pathlib import Path

import pytest

from editions.pages.making import making
from editions.pages.values import RecordView
from editions.pages.view import record_view, room
from editions.registry import Writing
from editions.registry.acts.approvals import approve_piece
from editions.registry.acts.molds import make_mold
from editions.registry.acts.parties import enter_party, give_authority, record_death
from editions.registry.acts.pieces import (
    start_piece,
    take_wax,
)
from editions.registry.acts.runs import amend_run, close_run, declare_run
from editions.registry.acts.steps import record_step
from editions.registry.acts.waxes import judge_wax, pull_wax
from editions.registry.acts.works import enter_model, enter_work
from editions.trade.pieces import Piece
from editions.trade.runs import Run
from editions.trade.statement import ProofSeries
from tests.pages import builders
from tests.pages.builders import Gallery, Shop, cast, opened


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return opened(tmp_path / "registry")


def look(shown: Gallery, state: str) -> RecordView:
    return record_view(shown.shop.registry, shown.numbers[state])


def names(view: RecordView) -> list[str]:
    return [notice.name for notice in view.notices]


def test_a_mold_taken_from_a_bronze_says_so(shop: Shop) -> None:
    def again(w: Writing) -> None:
        enter_model(w, "K-0001", "master bronze")
        make_mold(w, "P-0001", ["whole"], material="silicone rubber")
        wax = pull_wax(w, "M-0002", "whole", run="R-0001").code
        judge_wax(w, wax, accepted=True)
        start_piece(w, "R-0001", sections=["whole"])
        take_wax(w, "P-0002", wax)

    cast(shop)
    shop.write(again)
    with room(shop.registry) as here:
        piece = here.desk.get("P-0002", Piece)
        assert piece is not None
        made = making(here.desk, piece, here.desk.get("R-0001", Run))
    assert [(m.taken_from, m.generation) for m in made.molds] == [("bronze P-0001", 1)]
    assert made.stages == ()


def test_the_run_shows_what_its_artist_publishes_and_no_more(shown: Gallery) -> None:
    run = look(shown, "stands").run
    assert run is not None
    assert run.published == ("proofs", "size")
    assert run.size == 8
    assert run.proofs == (ProofSeries(series="AP", count=4, numerals="roman"),)
    assert run.exist is None
    assert run.elsewhere == ()
    assert run.locked_on == "2026-03-23"


def _declared(shop: Shop, **said: object) -> RecordView:
    def declare(w: Writing) -> None:
        amend_run(w, "R-0001", **said)  # type: ignore[arg-type]

    shop.write(declare)
    return record_view(shop.registry, builders.reserved(shop))


def test_a_size_that_is_not_published_is_not_in_the_view(shop: Shop) -> None:
    view = _declared(shop, publishes=[], locks_on="first sale")
    assert view.run is not None
    assert (view.run.size, view.run.proofs) == (None, ())


def test_sales_are_never_published_whatever_was_chosen(shop: Shop) -> None:
    view = _declared(shop, publishes=["size", "sales", "pieces"], elsewhere=["8/8=a foundry"])
    assert view.run is not None
    assert view.run.published == ("pieces", "size")
    assert view.run.exist == 0
    assert view.run.elsewhere == ("8/8",)
    assert view.run.amended == 1


@pytest.mark.parametrize("event", ["first sale", "first offer"])
def test_a_lock_by_a_sale_or_an_offer_does_not_show(shop: Shop, event: str) -> None:
    view = _declared(shop, locks_on=event)
    assert view.run is not None
    assert view.run.locked_on is None


def test_a_closed_run_says_when_and_how(shop: Shop) -> None:
    number = shop.certify(cast(shop))
    shop.write(lambda w: close_run(w, "R-0001", by_declaration=True))
    run = record_view(shop.registry, number).run
    assert run is not None
    assert (run.closed, run.closed_how) == ("2026-11-23", "by declaration")


def _estate(w: Writing) -> None:
    enter_party(w, ["estate"], name="Estate of Ilse Varga")
    record_death(w, "Y-0002", on="2026-05-01")
    give_authority(
        w, "Y-0005", "Y-0002", capacity="executor", document="grant 12", begins="2026-06"
    )
    enter_work(w, "Y-0002", "Crane")
    declare_run(w, "K-0002", size=2, authorised_by="Y-0005", promise="Two, and no more.",
                on="2026-11-01")  # fmt: skip


def test_who_speaks_for_a_dead_artist_is_named_with_the_capacity(shop: Shop) -> None:
    shop.write(_estate)
    number = builders.reserved(shop, "1/2", run="R-0002")
    run = record_view(shop.registry, number).run
    assert run is not None
    assert (run.authorised_by, run.capacity) == ("Estate of Ilse Varga", "executor")
    assert [(s.text, s.by, s.capacity) for s in run.says] == [
        ("Two, and no more.", "Estate of Ilse Varga", "executor")
    ]


def test_the_making_is_a_dated_line_of_stages(shown: Gallery) -> None:
    made = look(shown, "stands").making
    assert made is not None
    assert [stage.word for stage in made.stages] == [
        "wax chased", "gated", "shelled", "dewaxed", "fired", "poured", "broken out", "cut off",
        "blasted", "welded", "metal-chased", "approved in metal", "coloured", "approved in colour",
        "released",
    ]  # fmt: skip
    shelled = made.stages[2]
    assert (shelled.first, shelled.last, shelled.coats) == ("2026-03-12", "2026-03-18", 7)


def test_a_section_that_was_cast_again_says_so(shown: Gallery) -> None:
    made = look(shown, "sections").making
    assert made is not None
    wing = next(part for part in made.parts if part.name == "left wing")
    assert (wing.pull, wing.pulls, wing.heat) == (2, "2", "26-104")
    assert [(old.on, old.heat) for old in wing.scrapped] == [("2026-03-24", "26-102")]
    assert [heat.number for heat in made.heats] == ["26-101", "26-104", "26-103"]


def test_heats_show_figures_only_where_they_are_published(shown: Gallery) -> None:
    published, kept = look(shown, "sections").making, look(shown, "stands").making
    assert published is not None
    assert kept is not None
    assert dict(published.heats[0].percentages)["Si"] == "4.26"
    assert published.heats[0].findings
    assert (kept.heats[0].percentages, kept.heats[0].findings) == ((), ())
    assert (kept.heats[0].verdict, kept.heats[0].edition) == ("within", "ASTM B584-14")
    assert [part.pulls for part in kept.parts] == [""]


def test_approvals_keep_the_way_they_were_given(shown: Gallery) -> None:
    made = look(shown, "stands").making
    assert made is not None
    assert [(a.of, a.how, a.by) for a in made.approvals] == [
        ("metal", "in person", "Ilse Varga"),
        ("colour", "by telephone", "Ilse Varga"),
    ]


def test_a_refusal_shows_only_while_it_is_the_last_word(shop: Shop) -> None:
    piece = cast(shop)
    number = shop.certify(piece)

    def say(*, approved: bool) -> RecordView:
        shop.write(
            lambda w: approve_piece(
                w, piece, "colour", by="Y-0002", how="in writing", approved=approved
            )
        )
        return record_view(shop.registry, number)

    refused, accepted = say(approved=False).making, say(approved=True).making
    assert refused is not None
    assert accepted is not None
    assert [a.approved for a in refused.approvals] == [True, True, False]
    assert [a.approved for a in accepted.approvals] == [True, True, True]


def test_of_a_cast_registered_from_the_object_the_making_is_unknown(shown: Gallery) -> None:
    view = look(shown, "found")
    assert view.making is None
    assert view.run is None
    assert view.statement.cast == "197X"
    assert "from_object" in names(view)


def test_only_the_coats_recorded_are_counted(shop: Shop) -> None:
    """Coats 1, 2 and 5 are three coats in the book, whatever the last one is called."""
    codes: list[str] = []

    def dipped(w: Writing) -> None:
        codes.append(start_piece(w, "R-0001", on="2026-03-09").code)
        for coat in (1, 2, 5):
            record_step(w, "shelled", codes, coat=coat, on="2026-03-10")

    shop.write(dipped)
    with room(shop.registry) as here:
        piece = here.desk.get(codes[0], Piece)
        assert piece is not None
        made = making(here.desk, piece, here.desk.get("R-0001", Run))
    assert [stage.coats for stage in made.stages] == [3]
