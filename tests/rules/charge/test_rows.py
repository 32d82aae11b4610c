"""An alloy's limits as rows; the guard band is computed by hand from the published limits."""

from __future__ import annotations

from decimal import Decimal

import pytest

from editions.rules.alloys import load_alloy
from editions.rules.charge.rows import rows_of


def _said(name: str, guard: str, edition: str | None = None) -> list[str]:
    return [row.says for row in rows_of(load_alloy(name), edition=edition, guard=Decimal(guard))]


def test_without_a_guard_band_the_rows_are_the_limits() -> None:
    # ASTM B584-14
    assert _said("C87300", "0") == [
        "Cu at least 94.0", "Pb at most 0.09", "Zn at most 0.25", "Fe at most 0.20",
        "Mn at most 1.5", "Mn at least 0.8", "Si at most 4.5", "Si at least 3.5",
        "sum at least 99.5",
    ]  # fmt: skip


def test_a_guard_band_pulls_each_limit_inwards_by_a_share_of_its_width() -> None:
    # Si 3.5-4.5 by .05, Mn .8-1.5 by .035, Cu 94 to 100 by .3, the sum 99.5 to 100 by .025
    said = _said("C87300", "5")
    assert {"Si at most 4.45", "Si at least 3.55", "Mn at most 1.465", "Mn at least 0.835"} <= set(
        said
    )
    assert {"Cu at least 94.3", "Pb at most 0.0855", "sum at least 99.525"} <= set(said)


def test_the_rows_are_those_of_the_edition_asked_for() -> None:
    assert "Pb at most 0.20" in _said("C87300", "0", "CDA 2006")


def test_nickel_counts_towards_the_copper_minimum_and_not_the_maximum() -> None:
    rows = {row.says: row for row in rows_of(load_alloy("C83600"), guard=Decimal(0))}
    assert rows["Cu at most 86.0"].elements == ("Cu",)
    assert rows["Cu + Ni at least 84.0"].elements == ("Cu", "Ni", "Co")
    assert rows["Ni at most 1.0"].elements == ("Ni", "Co")
    assert "Co" in rows["sum at least 99.3"].elements


@pytest.mark.parametrize("says", ["Cu at most 87.0", "Cu at least 83.0"])
def test_a_european_copper_limit_counts_nickel_at_both_ends(says: str) -> None:
    rows = {row.says: row for row in rows_of(load_alloy("CC491K"), guard=Decimal(0))}
    assert rows[says].elements == ("Cu", "Ni")
    assert not any(row.name == "sum" for row in rows.values())
