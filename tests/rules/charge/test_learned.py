"""What past heats say of losses; medians and deviations by hand and against scipy."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from hypothesis import given as each
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from editions.rules.charge.learned import (
    FEWEST,
    PastHeat,
    compared,
    learn,
    losses_of,
    robust,
)
from editions.rules.charge.losses import published
from editions.rules.charge.melt import expected
from tests.rules.charge.figures import CHARGE, LOSSES, given, part

BRASS = "Cu 85 Sn 5 Pb 5 Zn 5"


def _heat(number: str, zinc_lost: str, weighed: bool = True, text: str = BRASS) -> PastHeat:
    """A heat of 100 kg that loses its zinc as said, and half a per cent of its copper."""
    parts = (part("a", "100", text),)
    melt = expected(parts, given(Zn=zinc_lost, Cu="0.5"))
    return PastHeat(
        number=number,
        parts=parts,
        analysed={x.element: f"{x.percent}" for x in melt.elements},
        melt=melt.melt if weighed else None,
    )


@pytest.mark.parametrize("weighed", [True, False])
def test_the_loss_of_one_heat_is_found_again(weighed: bool) -> None:
    lost = losses_of(_heat("1", "4", weighed), published())
    assert abs(lost["Zn"] - 4) < Decimal("0.01")
    assert abs(lost["Sn"]) < Decimal("0.01")
    # Against copper nothing can be learned of copper.
    assert ("Cu" in lost) == weighed


def test_the_median_of_the_heats_is_the_loss_and_one_bad_heat_does_not_move_it() -> None:
    heats = [_heat(str(n), lost) for n, lost in enumerate(["3", "3.5", "4", "4.5", "40"])]
    zinc = next(x for x in learn(heats, published()).losses if x.element == "Zn")
    assert zinc.heats == 5
    assert abs(zinc.loss - 4) < Decimal("0.01")
    # The deviations from 4 are 1, .5, 0, .5, 36; their median .5, times 1.4826.
    assert abs(zinc.spread - Decimal("0.7413")) < Decimal("0.01")
    assert zinc.lowest < zinc.loss < zinc.highest


def test_too_few_heats_say_nothing_yet() -> None:
    few = learn([_heat(str(n), "4") for n in range(FEWEST - 1)], published())
    enough = learn([_heat(str(n), "4") for n in range(FEWEST)], published())
    assert few.usable() == ()
    usual = {x.element: x.usual for x in enough.usable()}
    assert abs(usual["Zn"] - 4) < Decimal("0.01")
    source = next(x.source for x in enough.usable() if x.element == "Zn")
    assert source.startswith("own heats: median of 3, spread ")


def test_what_was_picked_up_is_kept_as_found_and_never_reckoned_below_nothing() -> None:
    heats = [_heat(str(n), "0") for n in range(3)]
    gained = [
        PastHeat(number=x.number, parts=x.parts, melt=x.melt, analysed=x.analysed | {"Zn": "5.5"})
        for x in heats
    ]
    found = learn(gained, published())
    assert next(x.loss for x in found.losses if x.element == "Zn") < 0
    assert next(x.usual for x in found.usable() if x.element == "Zn") == 0


def test_what_a_part_does_not_report_or_hardly_holds_teaches_nothing() -> None:
    lost = losses_of(
        PastHeat(
            number="1",
            parts=CHARGE,
            analysed={"Cu": "94.44", "Si": "4.26", "Fe": "0.11", "Zn": "<0.1", "Mn": "0.99"},
            melt=Decimal("99.79"),
        ),
        LOSSES,
    )
    # The silicon does not report Cu and Mn; iron is .11 % of the charge.
    assert list(lost) == ["Si"]
    assert abs(lost["Si"] - 4) < Decimal("0.15")


def test_a_heat_without_copper_and_without_a_weight_teaches_nothing() -> None:
    heat = PastHeat(number="1", parts=(part("a", "9", "Sn 99.9"),), analysed={"Sn": "99.9"})
    assert losses_of(heat, published()) == {}
    assert learn([heat], published()).losses == ()
    assert learn([], published()).heats == 0


def test_the_spread_is_that_of_scipy() -> None:
    figures = [random.Random(4).gauss(3, 1) for _ in range(25)]
    _, spread = robust([Decimal(x) for x in figures])
    # scipy scales by the normal quantile itself, 1.482602
    assert float(spread) == pytest.approx(median_abs_deviation(figures, scale="normal"), rel=1e-5)


@each(
    st.lists(st.decimals(0, 20, places=2), min_size=5, max_size=15), st.decimals(50, 90, places=1)
)
def test_less_than_half_of_the_heats_going_wrong_leaves_the_median_among_the_rest(
    good: list[Decimal], wild: Decimal
) -> None:
    middle, _ = robust(good + [wild] * (len(good) - 1))
    assert min(good) <= middle <= max(good)


def test_expected_against_analysed_says_what_lies_outside_the_range() -> None:
    melt = expected(CHARGE, LOSSES)
    found = {
        x.element: x
        for x in compared(
            melt, {"Cu": "94.44", "Si": "4.10", "Mn": "1.2", "Zn": "<0.5", "Ag": ".1"}
        )
    }
    assert found["Cu"].says == "as expected"
    assert found["Cu"].difference == Decimal("-0.0002")
    assert found["Si"].says == "below the range by 0.16"
    assert found["Mn"].says == "above the range by 0.2"
    assert found["Zn"].says == "as expected"
    assert "Ag" not in found
