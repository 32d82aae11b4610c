from __future__ import annotations

import pytest

from editions.errors import NotKnown
from editions.trade.casting import EarlierCastRegistered, PieceStarted
from editions.trade.runs import (
    Elsewhere,
    Leftover,
    NumberGiven,
    NumberPromised,
    Run,
    RunClosed,
    RunOffered,
)
from editions.trade.waxes import Wax, WaxJudged, WaxNumbered, WaxPulled
from tests.rules.judging.shop import DECLARED, HAND, RUN, WORK, Shop

COMPLETE = RunClosed(how="complete")
DECLARATION = RunClosed(how="by declaration")


def small(shop: Shop, size: int = 2, **changes: object) -> str:
    shop.run("R-0009", size=size, proofs=(), **changes)
    return "R-0009"


def test_a_run_is_closed_by_declaration(shop: Shop) -> None:
    assert shop.enter(RUN, DECLARATION, "2026-04-01") == ()
    run = shop.get(RUN, Run)
    assert (run.closed, run.closed_how) == ("2026-04-01", "by declaration")


def test_a_run_whose_numbers_are_all_given_is_complete(shop: Shop) -> None:
    run = small(shop)
    shop.cast("P-0001", "1/2", run=run)
    shop.cast("P-0002", "2/2", run=run)
    assert shop.enter(run, COMPLETE) == ()


def test_a_run_with_a_number_missing_is_not_complete(shop: Shop) -> None:
    run = small(shop)
    shop.cast("P-0001", "2/2", run=run)
    why = shop.refuses(run, COMPLETE, "R-0009 has not given 1/2")
    assert "by declaration" in why.remedy


def test_a_number_allotted_elsewhere_counts_as_given(shop: Shop) -> None:
    run = small(shop, elsewhere=(Elsewhere(designation="1/2", where="cast in 1998"),))
    shop.cast("P-0001", "2/2", run=run)
    assert shop.enter(run, COMPLETE) == ()


def test_a_run_without_a_size_is_never_complete(shop: Shop) -> None:
    shop.run("R-0009", size=None, proofs=())
    shop.refuses("R-0009", COMPLETE, "declares no size, so it cannot be complete")


@pytest.mark.parametrize("kind", [{"numerals": "none"}, {"edition_class": "unique", "size": 1}])
def test_a_run_without_numbers_is_complete_by_its_casts(
    shop: Shop, kind: dict[str, object]
) -> None:
    run = small(shop, **({"size": 1} | kind))  # type: ignore[arg-type]
    shop.refuses(run, COMPLETE, "R-0009 lacks 1 of 1")
    shop.cast("P-0001", run=run)
    assert shop.enter(run, COMPLETE) == ()


def test_letters_are_complete_when_the_last_is_given(shop: Shop) -> None:
    run = small(shop, numerals="letter")
    shop.cast("P-0001", "A", run=run)
    shop.refuses(run, COMPLETE, "has not given B")
    shop.cast("P-0002", "B", run=run)
    assert shop.enter(run, COMPLETE) == ()


def test_a_closed_run_is_not_closed_again(shop: Shop) -> None:
    shop.enter(RUN, DECLARATION)
    shop.refuses(RUN, DECLARATION, "R-0001 was closed 2 March 2026 .by declaration.")


def test_a_run_is_not_closed_before_it_is_declared(shop: Shop) -> None:
    shop.refuses(RUN, DECLARATION, "when R-0001 was declared", "2026-01-04")


def test_a_run_is_not_closed_before_its_last_pour(shop: Shop) -> None:
    shop.cast("P-0001")
    shop.refuses(RUN, DECLARATION, "when P-0001 was poured", "2026-03-01")


def test_closing_names_every_wax_left(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.pull("W-0002")
    told = RunClosed(how="by declaration", left=(Leftover(wax="W-0001", fate="destroyed"),))
    why = shop.refuses(RUN, told, "does not name: W-0002")
    assert "destroyed or is kept" in why.remedy


def test_every_wax_left_has_its_fate(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.pull("W-0002")
    left = (
        Leftover(wax="W-0001", fate="destroyed", by=HAND),
        Leftover(wax="W-0002", fate="kept", by=HAND),
    )
    assert shop.enter(RUN, RunClosed(how="by declaration", left=left)) == ()
    assert shop.get("W-0001", Wax).fate == "destroyed"
    assert shop.get("W-0002", Wax).fate == "kept"


def test_a_wax_that_is_gone_is_not_left(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxJudged(accepted=False))
    told = RunClosed(how="by declaration", left=(Leftover(wax="W-0001", fate="destroyed"),))
    shop.refuses(RUN, told, "W-0001: not in stock for R-0001")


def test_a_wax_of_another_run_is_not_left(shop: Shop) -> None:
    shop.pull("W-0001", run=None)
    told = RunClosed(how="by declaration", left=(Leftover(wax="W-0001", fate="kept"),))
    shop.refuses(RUN, told, "W-0001: not in stock for R-0001")


def test_a_wax_is_left_once(shop: Shop) -> None:
    shop.pull("W-0001")
    one = Leftover(wax="W-0001", fate="kept")
    shop.refuses(RUN, RunClosed(how="by declaration", left=(one, one)), "W-0001 is named twice")


def test_a_wax_left_is_in_the_book(shop: Shop) -> None:
    told = RunClosed(how="by declaration", left=(Leftover(wax="W-0404", fate="kept"),))
    shop.refuses(RUN, told, "W-0404 is not in the book", error=NotKnown)


def test_whoever_keeps_a_wax_is_in_the_book(shop: Shop) -> None:
    shop.pull("W-0001")
    one = Leftover(wax="W-0001", fate="kept", by="Y-0404")
    told = RunClosed(how="by declaration", left=(one,))
    shop.refuses(RUN, told, "Y-0404 is not in the book", error=NotKnown)


def test_a_piece_begun_and_not_poured_keeps_a_run_open(shop: Shop) -> None:
    shop.start("P-0001")
    why = shop.refuses(RUN, DECLARATION, "Begun for R-0001 and not poured: P-0001")
    assert "scrap" in why.remedy
    shop.scrap("P-0001")
    assert shop.enter(RUN, DECLARATION) == ()


def test_an_earlier_cast_does_not_keep_a_run_open(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN), "2026-05-01")
    assert shop.enter(RUN, DECLARATION) == ()


def test_a_promise_outstanding_at_closing_is_remarked_on(shop: Shop) -> None:
    shop.cast("P-0001", "1/8")
    shop.enter(RUN, NumberPromised(designation="2/8"))
    assert shop.enter(RUN, DECLARATION) == ("2/8 is promised and not given yet.",)


@pytest.fixture
def closed(shop: Shop) -> Shop:
    """The run closed on 1 April, with one piece poured in March and a spare wax of no run."""
    shop.cast("P-0001")
    shop.pull("W-0009", run=None)
    shop.enter(RUN, DECLARATION, "2026-04-01")
    return shop


LATER = "2026-04-02"


def test_a_closed_run_gets_no_more_pulls(closed: Shop) -> None:
    facts = WaxPulled(section="whole", mold="M-0001", pull=3, run=RUN)
    closed.refuses("W-0002", facts, "R-0001 was closed 1 April 2026 .*no more pulls", LATER)


def test_a_closed_run_begins_no_piece(closed: Shop) -> None:
    closed.refuses("P-0002", PieceStarted(run=RUN), "no piece is begun", LATER)


def test_a_closed_run_is_not_offered(closed: Shop) -> None:
    closed.refuses(RUN, RunOffered(), "nothing more is offered", LATER)


def test_a_closed_run_promises_nothing(closed: Shop) -> None:
    closed.refuses(RUN, NumberPromised(designation="1/8"), "no number is promised", LATER)


def test_a_closed_run_numbers_no_wax(closed: Shop) -> None:
    facts = WaxNumbered(run=RUN, designation="1/8")
    closed.refuses("W-0009", facts, "no more waxes are numbered", LATER)


def test_a_closed_run_still_numbers_what_was_poured_before(closed: Shop) -> None:
    assert closed.enter(RUN, NumberGiven(piece="P-0001", designation="1/8"), LATER) == ()


def test_a_closed_run_numbers_nothing_cast_since(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN, cast="2026-05"), "2026-05-20")
    shop.enter(RUN, DECLARATION, "2026-04-01")
    facts = NumberGiven(piece="P-0001", designation="1/8")
    shop.refuses(RUN, facts, "no number is given any more", "2026-05-20")


def test_an_older_record_may_tell_what_came_before_closing(closed: Shop) -> None:
    facts = WaxPulled(section="whole", mold="M-0001", pull=3, run=RUN)
    assert closed.enter("W-0002", facts, "2026-03-30", late=True) == ()


def test_an_older_record_tells_nothing_after_closing(closed: Shop) -> None:
    facts = WaxPulled(section="whole", mold="M-0001", pull=3, run=RUN)
    closed.refuses("W-0002", facts, "no more pulls", LATER, late=True)


def test_a_run_of_the_default_declaration_is_open(shop: Shop) -> None:
    assert shop.get(RUN, Run).declared == DECLARED
    assert shop.get(RUN, Run).index().open
