from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.errors import NotKnown, Unreadable
from editions.trade.casting import EarlierCastRegistered, StepDone
from editions.trade.molds import MoldMade
from editions.trade.parties import ArtistDied
from editions.trade.runs import (
    Declaration,
    Elsewhere,
    NumberFreed,
    NumberGiven,
    NumberPromised,
    PromiseEnded,
    Run,
    RunAmended,
    RunClosed,
    RunDeclared,
    RunOffered,
)
from editions.trade.statement import ProofSeries
from editions.trade.waxes import WaxJudged, WaxNumbered
from tests.rules.judging.shop import (
    DECLARED,
    ESTATE,
    HAND,
    MODEL,
    NUMBERS,
    OTHER_WORK,
    RUN,
    WORK,
    Shop,
)

NEW = "R-0009"


def declaring(**changes: object) -> RunDeclared:
    return RunDeclared(declared=replace(DECLARED, **changes))


def amending(**changes: object) -> RunAmended:
    return RunAmended(declared=replace(DECLARED, **changes))


def ap(count: int = 4, series: str = "AP") -> ProofSeries:
    return ProofSeries(series=series, count=count, numerals="roman")


@pytest.mark.parametrize(
    ("changes", "says", "error"),
    [
        ({"work": "K-0404"}, "a work is wanted", NotKnown),
        ({"work": MODEL}, "is a model; a work is wanted", NotKnown),
        ({"model": "D-0404"}, "a model is wanted", NotKnown),
        ({"model": WORK}, "is a work; a model is wanted", NotKnown),
        ({"authorised_by": "Y-0404"}, "a party is wanted", NotKnown),
        ({"route": "lost plastic"}, "is not a route", Unreadable),
        ({"size": -1}, "cannot be read", Unreadable),
    ],
)
def test_a_declaration_names_what_the_book_holds(
    shop: Shop, changes: dict[str, object], says: str, error: type[NotKnown] | type[Unreadable]
) -> None:
    shop.refuses(NEW, declaring(**changes), says, error=error)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"size": 0}, "A run of no casts"),
        ({"numerals": "letter", "size": 21, "proofs": ()}, "from A to T: 20 casts, not 21"),
        ({"proofs": (ap(), ap())}, "series AP is named twice"),
        ({"proofs": (ap(series="XX"),)}, "XX is not a series of proofs"),
        ({"proofs": (ap(series=""),)}, "is not a series of proofs"),
        ({"proofs": (ap(series="PU"),)}, "PU is not a series of proofs"),
        ({"proofs": (ap(0),)}, "0 AP cannot be declared"),
        ({"proofs": (ap(-2),)}, "-2 AP cannot be declared"),
        ({"proofs": (ap(1000),)}, "1000 AP cannot be declared"),
        ({"needs": ("analysis", "analysis")}, "need analysis is named twice"),
        ({"publishes": ("size", "size")}, "part to publish size is named twice"),
        ({"edition_class": "unique", "size": 2, "proofs": ()}, "A unique cast is one"),
        ({"edition_class": "unique", "size": 1}, "A unique cast is one, without proofs"),
        ({"edition_class": "original", "size": None}, "declares its size before the first cast"),
        ({"alloy": None, "needs": ("analysis",)}, "needs an analysis declares its alloy"),
        ({"alloy": "gunmetal", "needs": ("analysis",)}, "The run needs an analysis. No limits"),
        ({"elsewhere": (Elsewhere(designation="3/9", where="sold"),)}, "out of another total"),
        ({"elsewhere": (Elsewhere(designation="9/8", where="sold"),)}, "above the total"),
        ({"elsewhere": (Elsewhere(designation="third", where="sold"),)}, "is not read"),
        ({"elsewhere": (Elsewhere(designation="3/8", where="a"),) * 2}, "3/8 is named twice"),
    ],
)
def test_a_declaration_that_contradicts_itself_is_refused(
    shop: Shop, changes: dict[str, object], says: str
) -> None:
    shop.refuses(NEW, declaring(**changes), says)


# Code of ethics of art foundries, France, 18 November 1993; CPI art. R.122-3: twelve in all.
@pytest.mark.parametrize(("size", "proofs"), [(9, 0), (8, 5), (1, 12), (12, 0), (9, 3)])
def test_an_original_is_at_most_eight_and_twelve_in_all(shop: Shop, size: int, proofs: int) -> None:
    series = (ap(proofs, "EA"),) if proofs else ()
    facts = declaring(edition_class="original", size=size, proofs=series)
    shop.refuses(NEW, facts, "too many for the class original")


@pytest.mark.parametrize(("size", "proofs"), [(8, 4), (8, 0), (1, 4), (6, 6)])
def test_an_original_within_twelve_is_declared(shop: Shop, size: int, proofs: int) -> None:
    series = (ap(proofs, "EA"),) if proofs else ()
    facts = declaring(edition_class="original", size=size, proofs=series)
    assert shop.enter(NEW, facts) == ()


def test_the_thirteenth_of_a_multiple_is_allowed(shop: Shop) -> None:
    assert shop.enter(NEW, declaring(size=200)) == ()


def test_hors_commerce_in_an_original_is_remarked_on(shop: Shop) -> None:
    facts = declaring(edition_class="original", proofs=(ap(2, "HC"),))
    (remark,) = shop.enter(NEW, facts)
    assert "HC is not used for the class original" in remark


@pytest.mark.parametrize("size", [None, 1])
def test_a_unique_cast_is_declared(shop: Shop, size: int | None) -> None:
    assert shop.enter(NEW, declaring(edition_class="unique", size=size, proofs=())) == ()


def test_the_barest_declaration_is_enough(shop: Shop) -> None:
    declared = Declaration(work=WORK, authorised_by=DECLARED.authorised_by, publishes=())
    assert shop.enter(NEW, RunDeclared(declared=declared)) == ()


def test_an_alloy_without_limits_is_remarked_on(shop: Shop) -> None:
    (remark,) = shop.enter(NEW, declaring(alloy="gunmetal"))
    assert "No limits are held here for an alloy “gunmetal”." in remark


def test_an_alloy_with_limits_may_be_asked_an_analysis_of(shop: Shop) -> None:
    assert shop.enter(NEW, declaring(needs=("analysis",))) == ()


def test_a_model_of_another_work_is_refused(shop: Shop) -> None:
    shop.other_work()
    shop.refuses(NEW, declaring(model="D-0002"), "D-0002 is not a model of K-0001")


def test_a_hand_authorises_no_run(shop: Shop) -> None:
    why = shop.refuses(NEW, declaring(authorised_by=HAND), "Y-0004 holds no authority")
    assert "document" in why.remedy


def test_an_estate_with_authority_declares_a_run(shop: Shop) -> None:
    shop.authority()
    assert shop.enter(NEW, declaring(authorised_by=ESTATE)) == ()


@pytest.mark.parametrize("on", ["2025-12-31", "2026-02-01", "2026-03"])
def test_an_authority_covers_its_term_alone(shop: Shop, on: str) -> None:
    shop.authority("2026-01-01", "2026-01-31")
    why = shop.refuses(NEW, declaring(authorised_by=ESTATE), "cannot authorise a run", on)
    assert "began 1 January 2026 and ended 31 January 2026" in why.message


def test_an_authority_without_end_says_when_it_began(shop: Shop) -> None:
    shop.authority("2026-01-01")
    facts = declaring(authorised_by=ESTATE)
    why = shop.refuses(NEW, facts, "began 1 January 2026", "2025")
    assert "ended" not in why.message


def test_a_later_authority_counts_after_an_earlier(shop: Shop) -> None:
    shop.authority("2025", "2025")
    shop.authority("2026-02")
    assert shop.enter(NEW, declaring(authorised_by=ESTATE)) == ()


def test_a_dead_artist_authorises_nothing(shop: Shop) -> None:
    shop.enter(DECLARED.authorised_by, ArtistDied(), "2026-02-10")
    why = shop.refuses(NEW, declaring(), "Ilse Varga died 10 February 2026 and cannot authorise")
    assert "estate" in why.remedy


def test_what_the_artist_authorised_in_life_stands(shop: Shop) -> None:
    shop.enter(DECLARED.authorised_by, ArtistDied(), "2026-02-10")
    assert shop.enter(NEW, declaring(size=7), "2026-02-09") == ()


def test_an_unlocked_run_is_amended(shop: Shop) -> None:
    assert shop.enter(RUN, amending(size=9)) == ()
    assert shop.get(RUN, Run).declared.size == 9
    assert shop.get(RUN, Run).amended == 1


def test_an_amendment_is_judged_like_a_declaration(shop: Shop) -> None:
    shop.refuses(RUN, amending(size=0), "A run of no casts")


def test_an_amendment_is_not_dated_before_the_declaration(shop: Shop) -> None:
    shop.refuses(RUN, amending(size=9), "when R-0001 was declared", "2026-01-04")


def test_an_amendment_keeps_the_work(shop: Shop) -> None:
    shop.other_work()
    facts = amending(work=OTHER_WORK, model="D-0002")
    shop.refuses(RUN, facts, "an amendment cannot change the work")


def test_the_first_cast_locks_a_run(shop: Shop) -> None:
    shop.cast("P-0001")
    why = shop.refuses(RUN, amending(size=9), "locked by its first cast on 2 March 2026")
    assert "another run" in why.remedy


def test_a_trial_cast_does_not_lock_a_run(shop: Shop) -> None:
    shop.trial("P-0001")
    assert shop.enter(RUN, amending(size=9)) == ()


def test_a_cast_made_elsewhere_locks_a_run_too(shop: Shop) -> None:
    shop.start("P-0001")
    assert shop.enter(RUN, amending(size=9)) == ()
    elsewhere = StepDone(step="poured", how="elsewhere", declared_by="Y-0001")
    shop.enter("P-0001", elsewhere, "2026-03-05")
    shop.refuses(RUN, amending(size=9), "first cast on 5 March 2026", "2026-03-06")


def test_an_earlier_cast_locks_a_run_too(shop: Shop) -> None:
    shop.enter("P-0001", EarlierCastRegistered(work=WORK, run=RUN))
    shop.refuses(RUN, amending(size=9), "locked by its first cast on 2 March 2026")


def test_a_run_that_locks_on_offer_is_not_locked_by_a_cast(shop: Shop) -> None:
    shop.run(NEW, locks_on="first offer")
    shop.cast("P-0001", run=NEW)
    assert shop.enter(NEW, RunAmended(declared=replace(DECLARED, locks_on="first offer"))) == ()
    shop.enter(NEW, RunOffered())
    shop.refuses(NEW, amending(), "locked by its first offer")


def test_a_sale_locks_a_run_that_says_so(shop: Shop) -> None:
    shop.run(NEW, locks_on="first sale")
    shop.enter(NEW, NumberPromised(designation="1/8", held_for="payment"))
    assert shop.get(NEW, Run).locked_by is None
    shop.enter(NEW, NumberPromised(designation="1/8", held_for="sale"))
    shop.refuses(NEW, amending(), "locked by its first sale")


def test_a_certificate_locks_a_run_that_says_so(shop: Shop) -> None:
    shop.run(NEW, locks_on="first certificate")
    shop.finish("P-0001", "1/8", run=NEW)
    shop.certify("P-0001", NUMBERS[0])
    shop.refuses(NEW, amending(), "locked by its first certificate")


def test_an_amendment_keeps_every_number_promised(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    why = shop.refuses(RUN, amending(size=9), "3/8 is promised; under the amendment")
    assert "end the promise" in why.remedy
    shop.enter(RUN, PromiseEnded(designation="3/8"))
    assert shop.enter(RUN, amending(size=9)) == ()


def test_an_amendment_keeps_every_number_given(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="AP I/IV"))
    shop.refuses(RUN, amending(proofs=()), "AP I/IV is given to P-0001")


def test_a_number_that_was_freed_binds_no_amendment(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="AP I/IV"))
    shop.scrap("P-0001")
    freed = NumberFreed(
        piece="P-0001",
        designation="AP I/IV",
        because="scrapped before release",
        evidence="broken up",
    )
    shop.enter(RUN, freed)
    assert shop.enter(RUN, amending(proofs=())) == ()


def test_an_amendment_keeps_every_number_cut_in_wax(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation="2/8"))
    shop.refuses(RUN, amending(size=7), "2/8 is cut into W-0001")


def test_a_rejected_wax_binds_no_amendment(shop: Shop) -> None:
    shop.pull("W-0001")
    shop.enter("W-0001", WaxNumbered(run=RUN, designation="2/8"))
    shop.enter("W-0001", WaxJudged(accepted=False))
    assert shop.enter(RUN, amending(size=7)) == ()


def test_a_run_is_not_offered_before_it_is_declared(shop: Shop) -> None:
    shop.refuses(RUN, RunOffered(), "when R-0001 was declared", "2026-01-04")


def test_a_run_may_be_offered_again(shop: Shop) -> None:
    assert shop.enter(RUN, RunOffered()) == ()
    assert shop.enter(RUN, RunOffered()) == ()


def test_a_run_declared_again_is_remarked_on_and_ended_as_an_error(shop: Shop) -> None:
    (remark,) = shop.enter("R-0009", RunDeclared(declared=DECLARED))
    assert remark == (
        "R-0001 is a run of 8 + 4 AP of this work already; if this is the same one:"
        " bronzebook strike R-0009#1."
    )
    assert shop.enter("R-0009", RunClosed(how="declared in error")) == ()
    assert shop.get("R-0009", Run).in_error
    assert not shop.get(RUN, Run).in_error


@pytest.mark.parametrize("changes", [{"size": 6}, {"scale": "1:2"}, {"alloy": "C86500"}])
def test_a_run_of_another_kind_is_not_taken_for_the_same(
    shop: Shop, changes: dict[str, object]
) -> None:
    said = shop.enter("R-0009", RunDeclared(declared=replace(DECLARED, **changes)))
    assert not [one for one in said if "already" in one]


def test_a_run_for_which_something_was_made_was_no_error(shop: Shop) -> None:
    shop.start("P-0001")
    shop.refuses(RUN, RunClosed(how="declared in error"), "Something was made of R-0001 already")


def test_a_run_that_promised_a_number_was_no_error(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="1/8"))
    shop.refuses(RUN, RunClosed(how="declared in error"), "made of R-0001 already: 1/8")


def test_a_second_mold_of_the_same_day_and_sections_is_remarked_on(shop: Shop) -> None:
    made = MoldMade(taken_from=MODEL, generation=0, sections=("whole",), material="silicone")
    (remark,) = shop.enter("M-0009", made, "2026-01-06")
    assert remark.startswith("M-0001 is a mold of whole from D-0001 of that day already")
    assert shop.enter("M-0010", made, "2026-01-07") == ()
