"""Mending a melt: known answer 3, and what was added gives the target."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given as each
from hypothesis import settings
from hypothesis import strategies as st

from editions.errors import Refused, Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.charge.bring import bring_to
from editions.rules.charge.losses import published
from editions.rules.charge.molten import Melt
from editions.rules.charge.stock import Lot
from editions.rules.charge.trim import Asked, Trimmed, trim
from tests.rules.charge.figures import analysis, given, lot

ZINC = lot("zinc", "Zn 100", source="addition")
COPPER = lot("copper", "Cu 99.9", source="addition")
SILICON = lot("silicon", "Si 98.5 Fe .5", source="addition")
MANGANESE = lot("manganese", "Mn 99.0 Fe .5", source="addition")
# 4.8 kg of zinc in 99.8 kg: 100 kg of 85-5-5-5 that lost 4 % of its zinc.
POOR = Melt(mass=Decimal("99.8"), figures={"Cu": "85.170341", "Zn": "4.809619"})
NO_GUARD = Asked(guard=Decimal(0))
DIRTY = Melt(
    mass=Decimal(100), figures=analysis("Cu 94.0 Si 4.6 Mn 1.0 Fe .25 Zn .02 Pb .03 Sn .05 Al .05")
)


def _trim(
    melt: Melt = DIRTY, lots: tuple[Lot, ...] = (COPPER, SILICON, MANGANESE), **asked: object
) -> Trimmed:
    return trim(load_alloy("C87300"), melt, lots, published(), Asked(**asked))  # type: ignore[arg-type]


def test_zinc_that_was_lost_is_restored_by_the_known_answer() -> None:
    # Computed: (4.8 + .96 x) / (99.8 + .96 x) = .05 at 96 % recovery.
    found = bring_to("Zn", Decimal(5), POOR, ZINC, given(Zn="4"))
    assert f"{found.exact:.5f}" == "0.20833"
    assert str(found.mass) == "0.208"
    assert str(found.expected.of("Zn").percent) == "5.0000"
    assert found.expected.of("Zn").lost == Decimal("0.0083")


def test_dilution_brings_an_element_down() -> None:
    melt = Melt(mass=Decimal(100), figures={"Cu": "99", "Fe": "0.40"})
    found = bring_to("Fe", Decimal("0.20"), melt, lot("clean", "Cu 99.9 Fe .10"), {})
    # .40 and .10 in equal parts of .20 each side: x = 100 (.40 - .20) / (.20 - .10)
    assert found.mass == 200
    assert found.expected.of("Fe").percent == Decimal("0.2")


def test_a_melt_on_its_target_asks_for_nothing() -> None:
    found = bring_to("Zn", Decimal("4.809619"), POOR, ZINC, {})
    assert found.mass == 0


@pytest.mark.parametrize(
    ("target", "one", "says"),
    [
        ("4", ZINC, "No amount of zinc brings Zn to 4 %"),
        ("5", COPPER, "No amount of copper brings Zn to 5 %"),
        ("5", lot("weak", "Cu 95 Zn 5"), "No amount of weak brings Zn to 5 %"),
        ("5", lot("zinc", "Zn 100", stock="0.1"), "0.200 kg of zinc are needed; 0.1 kg are there"),
    ],
)
def test_an_addition_that_cannot_reach_the_target_is_refused(
    target: str, one: Lot, says: str
) -> None:
    with pytest.raises(Refused) as caught:
        bring_to("Zn", Decimal(target), POOR, one, {})
    assert says in caught.value.message
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("element", "target", "melt", "says"),
    [
        ("Zn", "101", POOR, "Zn cannot be brought to 101 %"),
        ("Zn", "-1", POOR, "Zn cannot be brought to -1 %"),
        ("Sn", "5", POOR, "The sample does not report Sn"),
        ("Qu", "5", POOR, "“Qu” is not an element"),
        ("Zn", "5", Melt(mass=Decimal(0), figures=POOR.figures), "A melt of 0 kg is none"),
        ("Zn", "5", Melt(mass=Decimal(-9), figures=POOR.figures), "A melt of -9 kg is none"),
        ("Zn", "5", Melt(mass=Decimal(9), figures={"Zn": "4,8"}), "Zn has “4,8”"),
        ("Zn", "5", Melt(mass=Decimal(9), figures={"Zn": "480"}), "Zn has “480”"),
    ],
)
def test_a_melt_or_target_that_cannot_be_meant_is_refused(
    element: str, target: str, melt: Melt, says: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        bring_to(element, Decimal(target), melt, ZINC, {})
    assert says in caught.value.message


@st.composite
def a_way(draw: st.DrawFn) -> tuple[Decimal, Decimal, Decimal]:
    """What a melt has, its target, and what is added: beyond the target from the melt's side."""
    target = draw(st.integers(500, 8000))
    if draw(st.booleans()):
        there, holds = draw(st.integers(0, target)), draw(st.integers(target + 1500, 10_000))
    else:
        there, holds = draw(st.integers(target, 9900)), draw(st.integers(0, target - 100))
    return Decimal(there) / 100, Decimal(target) / 100, Decimal(holds) / 100


@each(a_way(), st.integers(0, 10), st.integers(1, 10**6))
def test_adding_what_is_said_gives_the_target(
    way: tuple[Decimal, Decimal, Decimal], lost: int, grams: int
) -> None:
    there, target, holds = way
    one = lot("it", f"Zn {holds} Cu {100 - holds}")
    melt = Melt(mass=Decimal(grams) / 1000, figures={"Zn": f"{there}", "Cu": f"{100 - there}"})
    found = bring_to("Zn", target, melt, one, given(Zn=str(lost)))
    kept = found.exact * holds / 100 * (1 - Decimal(lost) / 100)
    metal = found.exact * (1 - holds / 100 * Decimal(lost) / 100)
    reached = (melt.mass * there / 100 + kept) / (melt.mass + metal) * 100
    assert abs(reached - target) < Decimal("0.0001") + Decimal("0.0001") / melt.mass


def test_a_melt_outside_is_brought_within_by_the_least_metal() -> None:
    made = _trim()
    assert made.before.verdict == "outside"
    assert made.possible
    assert made.judgement.verdict == "within"
    assert made.dilutes == ("Fe", "Si")
    added = {line.name: line.mass for line in made.lines}
    # Silicon comes down to 4.45 with some copper, iron to .19 with more of it; manganese keeps up.
    assert added["copper"] > 30
    iron = made.expected.of("Fe")
    assert iron.percent <= Decimal("0.1901")


def test_no_smaller_addition_would_do() -> None:
    figures = analysis("Cu 95.1 Si 3.4 Mn 1.0 Fe .1 Zn .02 Pb .02")
    melt = Melt(mass=Decimal(100), figures=figures)
    made = trim(load_alloy("C87300"), melt, [SILICON], {}, NO_GUARD)
    # By hand: (3.4 + .985 x) / (100 + x) = .035 asks for x = .1053.
    assert [line.mass for line in made.lines] == [Decimal("0.105")]


def test_a_sample_that_leaves_too_much_unsaid_is_remarked_on_and_trimmed_all_the_same() -> None:
    figures = analysis("Cu 94.4 Si 3.4 Mn 1.0 Fe .1 Zn .02 Pb .02")
    made = trim(
        load_alloy("C87300"), Melt(mass=Decimal(100), figures=figures), [SILICON], {}, NO_GUARD
    )
    assert made.possible
    assert made.expected.of("Si").percent >= Decimal("3.499")
    (remark,) = made.remarks
    assert remark.startswith("The sample adds to 98.94 %, at least 99.5 is wanted")
    assert made.judgement.verdict == "outside"


def test_a_melt_within_its_guard_band_asks_for_nothing() -> None:
    melt = Melt(mass=Decimal(100), figures=analysis("Cu 94.7 Si 4.1 Mn 1.0 Fe .1 Zn .02 Pb .02"))
    made = _trim(melt)
    assert made.possible
    assert made.lines == ()
    assert made.dilutes == ()


def test_a_crucible_that_is_full_leaves_the_limits_in_the_way() -> None:
    made = _trim(crucible=Decimal(110))
    assert not made.possible
    assert any(x.says == "Fe at most 0.19 (limit 0.20)" for x in made.in_the_way)
    assert sum(line.mass for line in made.lines) <= Decimal("10.2")


@pytest.mark.parametrize(
    ("melt", "lots", "asked", "says"),
    [
        (DIRTY, (), {}, "Nothing is there to add"),
        (DIRTY, (COPPER,), {"crucible": Decimal(90)}, "A crucible of 90 kg does not hold 100 kg"),
        (Melt(mass=Decimal(0), figures={"Cu": "94"}), (COPPER,), {}, "A melt of 0 kg is none"),
        (Melt(mass=Decimal(9), figures={"Cu": "94", "Sn": "9"}), (COPPER,), {}, "adds to 103 %"),
        (DIRTY, (lot("x", "Cu 50"),), {}, "The analysis of x adds to 50 %"),
        (DIRTY, (COPPER,), {"guard": Decimal(60)}, "A guard band of 60 % is none"),
        (DIRTY, (COPPER,), {"edition": "1900"}, "has no edition"),
    ],
)
def test_what_cannot_be_trimmed_is_refused(
    melt: Melt, lots: tuple[Lot, ...], asked: dict[str, object], says: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        _trim(melt, lots, **asked)
    assert says in caught.value.message


@each(st.integers(350, 500), st.integers(60, 180), st.integers(0, 40))
@settings(deadline=None, max_examples=40)
def test_a_trimmed_melt_keeps_its_limits_or_says_what_does_not(
    silicon: int, manganese: int, iron: int
) -> None:
    parts = (Decimal(silicon) / 100, Decimal(manganese) / 100, Decimal(iron) / 100)
    copper = Decimal("99.9") - sum(parts)
    text = f"Cu {copper} Si {parts[0]} Mn {parts[1]} Fe {parts[2]} Zn .02 Pb .02"
    made = _trim(Melt(mass=Decimal(80), figures=analysis(text)))
    assert made.possible == (not made.in_the_way)
    # With much copper of 99.9 % what it leaves unsaid may break a limit, and nobody can tell.
    if made.possible:
        assert made.judgement.verdict != "outside"
