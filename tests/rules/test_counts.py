from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from editions.rules.counts import Tally, series_of, tally
from editions.trade.casting import EarlierCastRegistered
from editions.trade.pieces import Piece
from editions.trade.runs import (
    Declaration,
    Elsewhere,
    Given,
    NumberFreed,
    NumberGiven,
    NumberPromised,
    Promise,
    Run,
)
from editions.trade.statement import ProofSeries
from tests.rules.judging.shop import DECLARED, RUN, WORK, Shop


@pytest.fixture
def shop() -> Shop:
    return Shop()


def counted(shop: Shop, run: str = RUN) -> Tally:
    pieces = [one for one in shop.linked("run", run) if isinstance(one, Piece)]
    return tally(shop.get(run, Run), pieces)


def test_a_run_begins_with_every_number_free(shop: Shop) -> None:
    count = counted(shop)
    assert (count.declared, count.numbered.free, count.proofs[0].free) == (12, 8, 4)
    assert (count.given, count.promised, count.cast, count.released, count.scrapped) == (0,) * 5


def test_a_run_partly_cast_adds_up(shop: Shop) -> None:
    shop.finish("P-0001", "1/8")
    shop.release("P-0001")
    shop.cast("P-0002", "2/8")
    shop.cast("P-0003", "AP I/IV")
    shop.cast("P-0004")
    shop.scrap("P-0004")
    shop.trial("P-0005")
    shop.ready("P-0006")
    shop.enter("P-0007", EarlierCastRegistered(work=WORK, run=RUN))
    shop.enter(RUN, NumberPromised(designation="3/8"))
    count = counted(shop)
    run, (proofs,) = count.numbered, count.proofs
    assert (run.given, run.promised, run.elsewhere, run.free) == (2, 1, 0, 5)
    assert (proofs.series, proofs.given, proofs.free) == ("AP", 1, 3)
    assert (count.given, count.promised) == (3, 1)
    assert (count.cast, count.released, count.scrapped) == (3, 1, 1)
    assert (count.trials, count.earlier) == (1, 1)


def test_a_promise_that_was_kept_is_counted_as_given_alone(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.cast("P-0001", "3/8")
    assert (counted(shop).numbered.given, counted(shop).numbered.promised) == (1, 0)


def test_a_number_that_was_freed_is_free(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    shop.scrap("P-0001")
    assert counted(shop).numbered.free == 7
    shop.enter(
        RUN,
        NumberFreed(
            piece="P-0001",
            designation="3/8",
            because="scrapped before release",
            evidence="broken up",
        ),
    )
    assert counted(shop).numbered.free == 8


def test_a_number_elsewhere_is_neither_given_nor_free(shop: Shop) -> None:
    away = (Elsewhere(designation="1/8", where="1998"), Elsewhere(designation="AP I/IV", where="x"))
    shop.run("R-0009", elsewhere=away)
    count = counted(shop, "R-0009")
    assert (count.numbered.elsewhere, count.numbered.free) == (1, 7)
    assert (count.proofs[0].elsewhere, count.proofs[0].free) == (1, 3)


def test_a_series_not_declared_is_counted_without_a_total(shop: Shop) -> None:
    shop.trial("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="TP 1"))
    proofs = counted(shop).proofs
    assert [(one.series, one.declared, one.given, one.free) for one in proofs] == [
        ("AP", 4, 0, 4),
        ("TP", None, 1, None),
    ]


def test_a_run_without_a_size_has_no_total(shop: Shop) -> None:
    shop.run("R-0009", size=None)
    count = counted(shop, "R-0009")
    assert (count.declared, count.numbered.free) == (None, None)


@pytest.mark.parametrize(
    ("number", "series"),
    [("3/8", ""), ("III/VIII", ""), ("A", ""), ("PU", ""), ("AP I/IV", "AP"), ("odd mark", "")],
)
def test_a_designation_counts_in_its_series(number: str, series: str) -> None:
    assert series_of(number) == series


_PLACES = st.sampled_from(["given", "promised", "elsewhere", "both", "free"])


@given(st.lists(_PLACES, min_size=1, max_size=30))
def test_every_number_is_in_one_place_so_that_they_add_up(places: list[str]) -> None:
    size = len(places)
    numbers = [(f"{at}/{size}", where) for at, where in enumerate(places, 1)]

    def at(*where: str) -> list[str]:
        return [number for number, place in numbers if place in where]

    declared: Declaration = replace(
        DECLARED,
        size=size,
        proofs=(ProofSeries(series="AP", count=2),),
        elsewhere=tuple(Elsewhere(designation=n, where="x") for n in at("elsewhere")),
    )
    run = Run(
        code=RUN,
        declared=declared,
        given=tuple(Given(designation=n, piece="P-0001") for n in at("given", "both")),
        promised=tuple(Promise(designation=n, held_for="sale") for n in at("promised", "both")),
    )
    count = tally(run, ()).numbered
    assert count.free == len(at("free"))
    assert count.given + count.promised + count.elsewhere + count.free == size
