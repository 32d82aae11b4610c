"""What melting takes, as typed and as published (common ranges, from memory; copper: seen)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.alloys.analysis import ELEMENTS
from editions.rules.charge.losses import Loss, loss, of, published, read_loss, with_own, write_loss


@pytest.mark.parametrize(
    ("element", "low", "high"),
    [
        ("Cu", "0.5", "0.5"),  # published heating loss of copper, seen
        ("Zn", "1", "5"),  # the rest from memory, medium to low confidence
        ("Si", "2", "5"),
        ("Mn", "3", "5"),
        ("Al", "1", "3"),
        ("Sn", "0.5", "1"),
        ("Pb", "0.5", "1"),
        ("Ni", "0", "0"),
        ("Fe", "0", "0"),
    ],
)
def test_the_ranges_reckoned_with_are_these(element: str, low: str, high: str) -> None:
    one = published()[element]
    assert (one.low, one.high) == (Decimal(low), Decimal(high))
    assert one.usual == (one.low + one.high) / 2
    assert "memory" in one.source or element == "Cu"


def test_of_an_element_not_named_nothing_is_lost() -> None:
    assert of(published(), "Ag").kept == 1
    assert of({}, "Zn").usual == 0


def test_what_the_foundry_knows_better_takes_the_place_of_the_published() -> None:
    own = with_own([loss("Zn", "2", "2", "own heats")])
    assert own["Zn"].source == "own heats"
    assert own["Si"] == published()["Si"]


@pytest.mark.parametrize("text", ["Zn=4", " zn = 4 % ", "ZN=4..4"])
def test_a_loss_is_read_as_typed(text: str) -> None:
    assert read_loss(text) == loss("Zn", "4", "4", "as given")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not a loss"),
        ("Zn", "is not a loss"),
        ("Zn=", "is not a loss"),
        ("Zn=-4", "is not a loss"),
        ("Zn=4,5", "is not a loss"),
        ("Zn=4...5", "is not a loss"),
        ("Zn=1e1", "is not a loss"),
        ("Qu=4", "is not an element"),
        ("Zn=100", "would be lost whole"),
        ("Zn=5..3", "runs backwards"),
    ],
)
def test_what_is_no_loss_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_loss(text)
    assert says in caught.value.message


FIGURE = st.decimals(0, 99, places=2)


@given(st.sampled_from(sorted(ELEMENTS)), FIGURE, FIGURE)
def test_a_loss_written_down_is_read_back_the_same(
    element: str, one: Decimal, two: Decimal
) -> None:
    typed: Loss = loss(element, min(one, two), max(one, two), "as given")
    assert read_loss(write_loss(typed)) == typed
