"""Numbers that are held for payment or sold though a cast bears them."""

from __future__ import annotations

from typing import Literal

import pytest

from editions.trade.runs import NumberGiven, NumberPromised
from tests.rules.judging.shop import DRAWN, LOST, NUMBERS, RUN, WITHDRAWN, Shop


def test_a_number_given_may_be_held_for_payment(shop: Shop) -> None:
    shop.start("P-0001")
    shop.enter(RUN, NumberGiven(piece="P-0001", designation="3/8"))
    assert shop.enter(RUN, NumberPromised(designation="4/8", held_for="sale")) == ()
    held = NumberPromised(designation="3/8", held_for="sale")
    assert shop.enter(RUN, held) == ("P-0001 bears 3/8 already.",)


@pytest.mark.parametrize("held_for", ["payment", "sale"])
def test_a_number_whose_cast_has_its_paper_is_held_for_nobody(
    shop: Shop, held_for: Literal["payment", "sale"]
) -> None:
    shop.finish("P-0001", "3/8")
    shop.certify("P-0001")
    facts = NumberPromised(designation="3/8", held_for=held_for)
    shop.refuses(RUN, facts, "3/8 of R-0001 is certified: Certificate 0123 4567 89A of P-0001")
    shop.enter(NUMBERS[0], DRAWN)
    shop.enter(NUMBERS[0], LOST)
    shop.refuses(RUN, facts, "is certified")
    shop.enter(NUMBERS[0], WITHDRAWN)
    assert shop.enter(RUN, facts) == ("P-0001 bears 3/8 already.",)


def test_a_number_held_before_its_cast_was_certified_ripens_to_a_sale(shop: Shop) -> None:
    shop.finish("P-0001", "3/8")
    shop.enter(RUN, NumberPromised(designation="3/8", held_for="payment"))
    shop.certify("P-0001")
    assert shop.enter(RUN, NumberPromised(designation="3/8", held_for="sale")) == ()
