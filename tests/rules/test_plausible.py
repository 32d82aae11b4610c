"""Remarks on figures worth a second look, and silence on the rest."""

from __future__ import annotations

import datetime

import pytest

from editions.rules import plausible
from editions.trade.quantities import Quantity

TODAY = datetime.date(2026, 1, 7)


def kg(value: str) -> Quantity:
    return Quantity(value, "kg")


# Published foundry pages, as in the facts: shell 1100 to 1500 °F, silicon bronze 1800 to 2100 °F.
@pytest.mark.parametrize(
    ("alloy", "metal", "shell", "remarks"),
    [
        ("C87300", "2000 °F", "1200 °F", 0),
        ("C87300", "2151 °F", None, 1),
        ("C87600", "2101 °F", None, 1),
        ("C87600", "2100 °F", None, 0),
        ("C87600", "1799 °F", "1501 °F", 2),
        ("our own", "3000 °F", None, 0),
        ("our own", None, "500 °C", 1),
        ("C87300", None, None, 0),
    ],
)
def test_temperatures_outside_published_ranges_are_remarked_on(
    alloy: str, metal: str | None, shell: str | None, remarks: int
) -> None:
    read = [Quantity(*text.split()) if text else None for text in (metal, shell)]
    said = plausible.pouring(alloy, *read)
    assert len(said) == remarks
    assert all("outside" in remark and "(" in remark for remark in said)


# Common practice: about 3/16 in.
@pytest.mark.parametrize(
    ("text", "remarks"), [("3/16 in", 0), ("2 mm", 0), ("12 mm", 0), ("1.9 mm", 1), ("1/2 in", 1)]
)
def test_a_wall_that_practice_does_not_know_is_remarked_on(text: str, remarks: int) -> None:
    value, unit = text.split()
    said = plausible.wall(Quantity(value, unit))
    assert len(said) == remarks
    assert all("common practice" in remark for remark in said)
    assert plausible.wall(None) == ()


# Published foundry pages: 7 to 14 coats, about 12 hours each.
@pytest.mark.parametrize(
    ("count", "days", "said"),
    [
        (0, [], []),
        (8, [], []),
        (6, [], ["6 coats"]),
        (15, [], ["15 coats"]),
        (8, [f"2026-03-0{n}" for n in range(1, 9)], []),
        (8, ["2026-03-01"] * 4 + ["2026-03-02"] * 4, ["8 coats in 2 days"]),
        (7, ["2026-03-01"] * 3 + ["2026-03"] * 4, ["3 coats in 1 day"]),
        (7, ["2026-03"] * 7, []),
        (7, ["2026-03-01", "2026-03-01", *["2026-03-03"] * 5], ["7 coats in 3 days"]),
    ],
)
def test_coats_and_their_drying(count: int, days: list[str], said: list[str]) -> None:
    remarks = plausible.coats("T-0101", count, days)
    assert len(remarks) == len(said)
    for remark, words in zip(remarks, said, strict=True):
        assert words in remark
        assert "published foundry pages" in remark


@pytest.mark.parametrize(
    ("mass", "remarks"), [("1.05", 0), ("0.7", 0), ("1.5", 0), ("1.6", 1), ("0.6", 1), ("10.5", 1)]
)
def test_a_wax_unlike_its_fellows_is_remarked_on(mass: str, remarks: int) -> None:
    fellows = [kg("1.00"), kg("1.05"), Quantity("980", "g")]
    said = plausible.wax_mass(kg(mass), fellows)
    assert len(said) == remarks
    assert all("about 1.00." in remark for remark in said)


def test_two_fellows_are_too_few_and_no_mass_says_nothing() -> None:
    assert plausible.wax_mass(kg("10"), [kg("1"), kg("1")]) == ()
    assert plausible.wax_mass(None, [kg("1")] * 3) == ()


# Published practice: 1 lb of wax, gating and all, to about 11 lb of bronze; 8 to 10 by density.
@pytest.mark.parametrize(("mass", "remarks"), [("9.4", 0), ("12", 0), ("4", 1), ("20", 1)])
def test_a_bronze_that_does_not_fit_its_wax_is_remarked_on(mass: str, remarks: int) -> None:
    said = plausible.bronze_mass(kg(mass), [kg("0.75"), kg("0.30")], None)
    assert len(said) == remarks
    assert all("published practice" in remark for remark in said)


def test_a_bronze_heavier_than_a_solid_block_of_its_size_is_remarked_on() -> None:
    # A cube of 100 mm at 9 g/cm³ is 9 kg.
    assert plausible.bronze_mass(kg("8.9"), (), Quantity("10", "cm")) == ()
    said = plausible.bronze_mass(kg("9.1"), (), Quantity("100", "mm"))
    assert "outweighs a solid block of 100 mm" in said[0]
    assert plausible.bronze_mass(None, (), Quantity("100", "mm")) == ()


@pytest.mark.parametrize(
    ("kind", "on", "remarks"),
    [
        ("heat_poured", "2025-01-07", 1),
        ("heat_poured", "2025-02-10", 1),
        ("heat_poured", "2025-02-20", 0),
        ("heat_poured", "2026-01-06", 0),
        ("heat_poured", "2024", 1),
        ("heat_poured", "2024/..", 0),
        ("work_entered", "1998", 0),
        ("earlier_cast_registered", "1998", 0),
    ],
)
def test_the_floors_work_entered_a_year_late_is_asked_about(
    kind: str, on: str, remarks: int
) -> None:
    said = plausible.dates(kind, on, TODAY)
    assert len(said) == remarks
    assert all("is the year as meant?" in remark for remark in said)


def test_the_kinds_of_the_shop_floor_are_kinds() -> None:
    from editions.trade.catalogue import KINDS

    assert set(KINDS) >= plausible.SHOP_FLOOR
