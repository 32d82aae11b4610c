"""Papers that reserve a number: one for each, and what ends them."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from editions.trade.certificates import (
    Certificate,
    CertificateIssued,
)
from editions.trade.kinds import Facts
from editions.trade.numbers import show_number
from editions.trade.runs import NumberPromised, PromiseEnded
from tests.rules.judging.memory_desk import DAY
from tests.rules.judging.shop import (
    DRAWN,
    LOST,
    NUMBERS,
    RUN,
    STOLEN,
    WITHDRAWN,
    Shop,
    with_run,
)

ONE, TWO, THREE, FOUR = NUMBERS


def reserving(
    shop: Shop, designation: str | None = "3/8", number: str = ONE, **own: object
) -> CertificateIssued:
    facts = shop.certificate(None, number, "reservation", designation=designation)
    return replace(facts, **({"run": RUN} | own))


def test_a_promised_number_is_reserved_on_paper(shop: Shop) -> None:
    facts = reserving(shop)
    shop.refuses(ONE, facts, "3/8 of R-0001 is neither promised nor given")
    shop.enter(RUN, NumberPromised(designation="3/8"))
    assert shop.enter(ONE, facts) == ()


def test_a_number_given_is_reserved_on_paper(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    assert shop.enter(ONE, reserving(shop)) == ()


def test_a_number_is_reserved_once(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.refuses(
        TWO, reserving(shop, number=TWO), f"Reservation {show_number(ONE)} stands for 3/8 of R-0001"
    )
    again = reserving(shop, number=TWO, replaces=ONE)
    assert shop.enter(TWO, again) == ()
    assert shop.get(ONE, Certificate).standing == "replaced"


def test_a_number_withdrawn_may_be_reserved_again(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(ONE, WITHDRAWN)
    assert shop.enter(TWO, reserving(shop, number=TWO)) == ()


@pytest.mark.parametrize(
    ("designation", "says"),
    [(None, "The reservation names no number"), ("9/8", "above the total"), ("A", "is a letter")],
)
def test_a_reservation_is_of_a_number_of_the_run(
    shop: Shop, designation: str | None, says: str
) -> None:
    shop.refuses(ONE, reserving(shop, designation), says)


def test_a_reservation_is_of_a_run_and_of_no_piece(shop: Shop) -> None:
    shop.cast("P-0001", "3/8")
    says = "A reservation is of a number of a run, not of a piece"
    facts = reserving(shop)
    shop.refuses(ONE, replace(facts, run=None), says)
    shop.refuses(ONE, replace(facts, piece="P-0001"), says)
    printed = replace(facts, statement=replace(facts.statement, piece="P-0001"))
    shop.refuses(ONE, printed, says)


def test_a_reservation_prints_its_own_run(shop: Shop) -> None:
    facts = reserving(shop)
    other = replace(facts, statement=with_run(facts.statement, "R-0009"))
    shop.refuses(ONE, other, "prints the run R-0009")


def test_a_reservation_gives_way_to_the_certificate(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.finish("P-0001", "3/8")
    facts = shop.certificate("P-0001", TWO)
    (remark,) = shop.enter(TWO, facts)
    assert remark == f"Reservation {show_number(ONE)} of 3/8 stands still."
    replacing = shop.certificate("P-0001", THREE, replaces=TWO)
    assert len(shop.enter(THREE, replacing)) == 1


def test_a_reservation_lapses_with_the_promise_of_its_number(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(RUN, NumberPromised(designation="4/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(TWO, reserving(shop, "4/8", TWO))
    (remark,) = shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(ONE,)))
    assert remark == f"Reservation {show_number(ONE)} lapses with the promise."
    lapsed = shop.get(ONE, Certificate)
    assert (lapsed.standing, lapsed.ended, lapsed.because) == ("lapsed", DAY, "")
    assert shop.get(TWO, Certificate).standing == "stands"


@pytest.mark.parametrize("entered", [WITHDRAWN, LOST, STOLEN, DRAWN])
def test_nothing_more_happens_to_a_reservation_that_lapsed(shop: Shop, entered: Facts) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(ONE,)))
    shop.refuses(ONE, entered, f"Reservation {show_number(ONE)} lapsed 2 March 2026 and cannot")
    again = reserving(shop, number=TWO, replaces=ONE)
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.refuses(TWO, again, "lapsed 2 March 2026; it cannot be replaced")
    assert shop.enter(TWO, reserving(shop, number=TWO)) == ()


def test_a_lost_reservation_lapses_too_and_a_withdrawn_one_stays_withdrawn(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.enter(ONE, WITHDRAWN)
    shop.enter(TWO, reserving(shop, number=TWO))
    shop.enter(TWO, DRAWN)
    shop.enter(TWO, LOST)
    for wrong in ((), (ONE,), (ONE, TWO)):
        ending = PromiseEnded(designation="3/8", reservations=wrong)
        shop.refuses(RUN, ending, f"reserve 3/8 of R-0001: Reservation {show_number(TWO)}")
    shop.enter(RUN, PromiseEnded(designation="3/8", reservations=(TWO,)))
    assert shop.get(TWO, Certificate).standing == "lapsed"
    assert shop.get(ONE, Certificate).standing == "withdrawn"


def test_a_certificate_never_lapses_with_a_promise(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001", ONE)
    wrong = PromiseEnded(designation="3/8", reservations=(ONE,))
    shop.refuses(RUN, wrong, "reserve 3/8 of R-0001: none")
    assert shop.enter(RUN, PromiseEnded(designation="3/8")) == ()
    assert shop.get(ONE, Certificate).standing == "stands"


def test_a_certificate_replaces_the_reservation_of_its_number(shop: Shop) -> None:
    shop.enter(RUN, NumberPromised(designation="3/8"))
    shop.enter(ONE, reserving(shop))
    shop.finish("P-0001", "3/8")
    shop.finish("P-0002", "4/8")
    wrong = shop.certificate("P-0002", TWO, replaces=ONE)
    shop.refuses(TWO, wrong, "is of R-0001, not of P-0002")
    assert shop.enter(TWO, shop.certificate("P-0001", TWO, replaces=ONE)) == ()
