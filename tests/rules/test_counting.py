"""Edition arithmetic of a whole work, over entries that were judged and folded."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.rules.counting import Book, EditionCount, casts_of, count
from editions.trade.casting import EarlierCastRegistered, MarkFound
from editions.trade.molds import Mold
from editions.trade.pieces import Piece
from editions.trade.runs import Elsewhere, NumberPromised, Run, RunClosed, RunDeclared
from tests.rules.judging.memory_desk import DAY
from tests.rules.judging.shop import DECLARED, RUN, WORK, Shop

SMALL_RUN = "R-0007"


@pytest.fixture
def shop() -> Shop:
    return Shop()


def book(shop: Shop, died: str | None = None) -> Book:
    linked = shop.linked("work", WORK)
    runs = [one for one in linked if isinstance(one, Run)]
    pieces = {one.code: one for one in linked if isinstance(one, Piece)}
    for run in runs:
        pieces |= {p.code: p for p in shop.linked("run", run.code) if isinstance(p, Piece)}
    molds = [one for one in shop.states.values() if isinstance(one, Mold)]
    return Book(
        WORK,
        "Heron",
        runs,
        list(pieces.values()),
        died,
        {"D-0001": "1:1"},
        {mold.code: mold.generation for mold in molds},
    )


def counted(shop: Shop, died: str | None = None) -> EditionCount:
    return count(book(shop, died))


def test_a_run_of_eight_and_four_begins_with_twelve_that_can_exist(shop: Shop) -> None:
    found = counted(shop)
    assert (found.exist, found.can_exist, found.promised, found.free) == (0, 12, 0, 12)
    assert (found.runs[0].scale, found.runs[0].declared) == ("1:1", 12)


def test_what_exists_is_promised_and_is_free_adds_up_over_runs(shop: Shop) -> None:
    half = replace(DECLARED, size=3, proofs=(), scale="1:2", alloy="C83600", colour="green")
    shop.enter(SMALL_RUN, RunDeclared(declared=half), "2026-01-05")
    shop.cast("P-0001", "1/8")
    shop.cast("P-0002", "AP I/IV")
    shop.cast("P-0003")
    shop.scrap("P-0003")
    shop.trial("P-0004")
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter("P-0005", EarlierCastRegistered(work=WORK, cast="1998", alloy="bronze"))
    found = counted(shop)
    assert (found.exist, found.outside_runs, found.destroyed) == (3, 1, 1)
    assert (found.can_exist, found.promised, found.free) == (12 + 3 + 1, 1, 12 - 3 + 3)
    scales = {g.value: (g.exist, g.destroyed) for g in found.groups if g.by == "scale"}
    assert scales == {"1:1": (2, 1), "not said": (1, 0)}
    alloys = {g.value: g.exist for g in found.groups if g.by == "alloy"}
    assert alloys == {"C87300": 2, "bronze": 1}
    small = next(run for run in found.runs if run.code == SMALL_RUN)
    assert (small.exist, small.can_exist, small.free, small.scale) == (0, 3, 3, "1:2")


def test_trial_casts_stand_beside(shop: Shop) -> None:
    shop.trial("P-0004")
    found = counted(shop)
    assert (found.exist, found.trials, found.can_exist) == (0, 1, 12)


def test_lifetime_and_posthumous_are_told_by_the_artists_death(shop: Shop) -> None:
    shop.cast("P-0001", "1/8")
    shop.enter("P-0005", EarlierCastRegistered(work=WORK, cast="1998"))
    shop.enter("P-0006", EarlierCastRegistered(work=WORK))
    found = counted(shop, died="2009-03-01")
    lives = {g.value: g.exist for g in found.groups if g.by == "life"}
    assert lives == {"posthumous": 1, "lifetime": 1, "not known": 1}
    assert "1 without a date" in found.remarks[0]
    assert counted(shop).remarks == ()


def test_a_run_without_a_size_is_not_bounded(shop: Shop) -> None:
    open_ = replace(DECLARED, size=None, proofs=())
    shop.enter(SMALL_RUN, RunDeclared(declared=open_), "2026-01-05")
    found = counted(shop)
    assert (found.can_exist, found.free) == (None, None)
    assert f"{SMALL_RUN} declares no size" in found.remarks[0]


def test_numbers_elsewhere_are_told_apart_and_too_many_are_remarked_on(shop: Shop) -> None:
    elsewhere = (Elsewhere(designation="1/1", where="another shop, 1998"),)
    one = replace(DECLARED, size=1, proofs=(), elsewhere=elsewhere)
    shop.enter(SMALL_RUN, RunDeclared(declared=one), "2026-01-05")
    found = counted(shop)
    assert (found.elsewhere, found.exist) == (1, 0)
    shop.enter("P-0005", EarlierCastRegistered(work=WORK, run=SMALL_RUN))
    assert "2 exist or are elsewhere, 1 were declared" in counted(shop).remarks[0]


def test_a_cast_elsewhere_that_came_to_be_registered_is_counted_once(shop: Shop) -> None:
    elsewhere = (Elsewhere(designation="1/2", where="another shop, 1998"),)
    two = replace(DECLARED, size=2, proofs=(), elsewhere=elsewhere)
    shop.enter(SMALL_RUN, RunDeclared(declared=two), "2026-01-05")
    shop.enter("P-0005", EarlierCastRegistered(work=WORK, run=SMALL_RUN))
    shop.enter("P-0005", MarkFound(text="1/2", number="1/2"))
    found = counted(shop)
    assert (found.exist, found.elsewhere, found.remarks) == (1, 0, ())
    small = next(run for run in found.runs if run.code == SMALL_RUN)
    assert (small.can_exist, small.free) == (2, 1)


def test_a_closed_run_can_only_be_what_it_is(shop: Shop) -> None:
    shop.cast("P-0001", "1/8")
    shop.enter(RUN, RunClosed(how="by declaration", statement="No more."))
    found = counted(shop)
    assert (found.can_exist, found.free, found.runs[0].closed) == (1, 0, True)


def test_a_cast_carries_what_it_may_be_counted_by(shop: Shop) -> None:
    shop.cast("P-0001", "AP I/IV")
    found = casts_of(book(shop))[0]
    assert (found.series, found.designation, found.model) == ("AP", "AP I/IV", "D-0001")
    assert (found.generation, found.molds) == (0, ("M-0001",))
    assert found.cast_on >= DAY


def test_a_generation_further_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001", "1/8")
    further = book(shop)._replace(generations={"M-0001": 1})
    assert "a generation further" in count(further).remarks[0]


def test_what_is_counted_says_how(shop: Shop) -> None:
    found = counted(shop)
    assert any(line.startswith("can exist:") for line in found.formula)
    assert "no source" in found.sources[0]
