"""The pour sheet: metal in pour order, melts, yield."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.rules.measures import read_density
from editions.rules.pour_sheet import PourSheet, Shell, Terms, pour_sheet
from editions.trade.quantities import Quantity

SILICON_BRONZE = read_density("0.302 lb/in3")  # CDA data sheet of C87300


def kg(text: str) -> Quantity:
    return Quantity(text, "kg")


def shell(
    name: str, part: str = "1.05", gating: str | None = "0.30", weighed: str | None = None
) -> Shell:
    return Shell(
        name=name,
        part=kg(part),
        gating=kg(gating) if gating else None,
        weighed=kg(weighed) if weighed else None,
    )


def sheet(*shells: Shell, **terms: object) -> PourSheet:
    return pour_sheet(shells, Terms(bronze=SILICON_BRONZE, **terms))  # type: ignore[arg-type]


def test_shells_stand_in_pour_order_and_add_up_against_the_crucible() -> None:
    # Each shell takes 12.1345 kg, worked by hand from 1.35 kg of wax at 0.93.
    told = sheet(shell("head"), shell("torso"), crucible=kg("60"))
    assert [line.name for line in told.lines] == ["head", "torso"]
    assert [str(line.cumulative) for line in told.lines] == ["12.1345 kg", "24.2690 kg"]
    assert [str(line.left) for line in told.lines] == ["47.8655 kg", "35.7310 kg"]
    assert str(told.lines[0].yield_expected_percent) == "77.78"
    assert str(told.poured) == "24.2690 kg"
    assert str(told.melts[0].charge) == "27.2407 kg"
    assert told.remarks == ()


def test_a_shell_that_no_longer_fits_begins_the_next_melt() -> None:
    # 2 × 12.1345 × 1.1 = 26.696: two fit 27 kg, three do not.
    told = sheet(*map(shell, "abcde"), crucible=kg("27"))
    assert [line.melt for line in told.lines] == [1, 1, 2, 2, 3]
    assert [melt.shells for melt in told.melts] == [2, 2, 1]
    assert str(told.lines[2].cumulative) == "12.1345 kg"


@pytest.mark.parametrize(
    ("charged", "says"),
    [
        # Two shells take 24.2690 kg, and 27.2407 kg with reserve and loss, as above.
        ("24", "less than the 24.27 kg that these shells take: is it another heat"),
        ("25", "leaves less than is allowed: 27.24 kg was wanted"),
    ],
)
def test_a_charge_that_cannot_have_filled_the_shells_is_remarked_on(
    charged: str, says: str
) -> None:
    told = pour_sheet(
        [shell("head"), shell("torso")], Terms(bronze=SILICON_BRONZE), charged=kg(charged)
    )
    assert says in told.remarks[0]


def test_a_charge_with_its_reserve_is_not_remarked_on() -> None:
    told = pour_sheet([shell("head")], Terms(bronze=SILICON_BRONZE), charged=kg("13.7"))
    assert told.remarks == ()


def test_without_a_crucible_there_is_one_melt_and_nothing_left_to_tell() -> None:
    told = sheet(*map(shell, "abc"))
    assert [line.melt for line in told.lines] == [1, 1, 1]
    assert told.lines[0].left is None


@pytest.mark.parametrize(
    ("crucible", "says"),
    [("12", "a takes more than the crucible holds."), ("13", "fits the crucible only without")],
)
def test_a_shell_too_large_for_the_crucible_is_remarked(crucible: str, says: str) -> None:
    told = sheet(shell("a"), shell("b"), crucible=kg(crucible))
    assert says in told.remarks[0]
    assert [line.melt for line in told.lines] == [1, 2]
    assert told.lines[0].left is not None


def test_gating_not_weighed_apart_is_reckoned_by_the_shops_share_and_said() -> None:
    told = sheet(shell("a", gating=None), gating_percent=Decimal(25))
    # 1.05 × 1.25 × 8.98853, by hand.
    assert str(told.lines[0].metal) == "11.7974 kg"
    assert told.remarks == ("Gating not weighed apart, 25 % of the part is counted: a.",)
    assert "no gating is counted: a." in sheet(shell("a", gating=None)).remarks[0]


def test_without_any_gating_there_is_no_yield_to_tell() -> None:
    told = sheet(shell("a", gating=None, weighed="9.5"), shell("b", weighed="9.5"))
    assert told.lines[0].yield_expected_percent is None
    assert told.lines[0].yield_percent is None
    assert str(told.lines[1].yield_percent) == "78.29"
    assert told.yield_percent is None
    assert str(told.weighed) == "19.0000 kg"


def test_what_was_weighed_after_is_set_against_the_metal_and_the_charge() -> None:
    shells = [shell("a", weighed="9.5"), shell("b", weighed="9.3")]
    told = pour_sheet(shells, Terms(bronze=SILICON_BRONZE), charged=kg("27"))
    # 9.5 / 12.1345, 18.8 / 24.269 and 18.8 / 27: by hand.
    assert str(told.lines[0].yield_percent) == "78.29"
    assert str(told.weighed) == "18.8000 kg"
    assert str(told.yield_percent) == "77.46"
    assert str(told.yield_of_charge_percent) == "69.63"


def test_a_yield_of_the_charge_waits_for_the_last_casting() -> None:
    told = pour_sheet(
        [shell("a", weighed="9.5"), shell("b")], Terms(bronze=SILICON_BRONZE), charged=kg("27")
    )
    assert told.yield_of_charge_percent is None
    assert str(told.yield_percent) == "78.29"
    assert sheet(shell("a")).yield_percent is None


@pytest.mark.parametrize(("weighed", "how"), [("11.5", "heavier"), ("7", "lighter")])
def test_a_casting_far_from_its_wax_is_remarked(weighed: str, how: str) -> None:
    told = sheet(shell("a", weighed=weighed))
    assert how in told.remarks[0]


@pytest.mark.parametrize(
    ("shells", "terms", "says"),
    [
        ([], {}, "No shell"),
        ([shell("a"), shell("a")], {}, "“a” is on the sheet twice"),
        ([shell("a", part="0")], {}, "weighs nothing"),
        ([shell("a")], {"crucible": kg("0")}, "crucible holds nothing"),
        ([shell("a")], {"loss": Decimal(100)}, "leaves nothing"),
    ],
)
def test_a_sheet_that_cannot_be_poured_is_refused(
    shells: list[Shell], terms: dict[str, object], says: str
) -> None:
    with pytest.raises(Unreadable, match=says):
        sheet(*shells, **terms)


def test_a_charge_of_nothing_is_refused() -> None:
    with pytest.raises(Unreadable, match="Nothing was charged"):
        pour_sheet([shell("a")], Terms(bronze=SILICON_BRONZE), charged=kg("0"))


@given(
    st.lists(
        st.tuples(st.decimals("0.01", "20", places=2), st.decimals("0", "8", places=2)),
        min_size=1,
        max_size=12,
    ),
    st.decimals("50", "400", places=0),
)
def test_every_shell_is_in_one_melt_in_order_and_mass_is_conserved(
    waxes: list[tuple[Decimal, Decimal]], crucible: Decimal
) -> None:
    shells = [shell(str(n), f"{part:f}", f"{gating:f}") for n, (part, gating) in enumerate(waxes)]
    told = sheet(*shells, crucible=kg(str(crucible)))
    assert [line.name for line in told.lines] == [one.name for one in shells]
    assert [line.melt for line in told.lines] == sorted(line.melt for line in told.lines)
    total = sum((melt.poured.exact() for melt in told.melts), Fraction(0))
    assert abs(total - told.poured.exact()) <= Fraction(len(told.melts) + 1, 10_000)
    for melt in told.melts:
        last = [line for line in told.lines if line.melt == melt.number][-1]
        assert last.cumulative == melt.poured
        alone = melt.shells == 1
        assert alone or melt.poured.exact() * Fraction(11, 10) <= Fraction(crucible) + Fraction(
            1, 5000
        )
