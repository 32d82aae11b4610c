"""The analyses of heats beside their limits, and the pulls of molds by condition."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from editions.charts.bars import Pulled
from editions.pages.analyses import analyses
from editions.pages.casting import Analysis, HeatView, PullsView
from editions.pages.drawn import against, pulled, spread, stretches
from editions.pages.making_words import alike
from editions.pages.tongues import english
from editions.pages.view import record_view
from editions.registry import Writing
from editions.registry.acts.molds import inspect_mold, repair_mold
from editions.registry.acts.runs import amend_run
from editions.registry.acts.waxes import pull_wax
from editions.trade.molds import Criterion
from tests.pages.builders import Gallery, Shop, cast, opened

FOUND = {"Cu": "94.6", "Si": "4.26", "Mn": "1.05", "Zn": "0.02", "Fe": "0.04", "Pb": "<0.005"}


def heat(number: str = "26-1", **said: Any) -> HeatView:
    told: dict[str, Any] = {
        "number": number, "alloy": "C87300", "poured": "2026-03-23", "verdict": "within",
        "specification": "ASTM B584", "edition": "ASTM B584-14", "method": "",
        "percentages": tuple(FOUND.items()), "findings": (),
    }  # fmt: skip
    return HeatView(**told | said)


def one(heats: list[HeatView]) -> Analysis:
    (table,) = analyses(heats)
    return table


def test_each_limited_element_stands_beside_its_limit() -> None:
    """Silicon bronze C87300 by ASTM B584-14, as held in the alloy's data file."""
    table = one([heat()])
    figures = {figure.element: figure for figure in table.figures}
    assert (table.edition, table.heats) == ("ASTM B584-14", ("26-1",))
    assert (figures["Si"].low, figures["Si"].high, figures["Si"].found) == (3.5, 4.5, ("4.26",))
    assert (figures["Pb"].low, figures["Pb"].high, figures["Pb"].found) == (None, 0.09, ("<0.005",))
    assert figures["Cu"].limit == "at least 94.0"


def test_an_element_without_a_limit_stands_last_and_has_no_bar() -> None:
    table = one([heat(percentages=(*FOUND.items(), ("Bi", "0.01")))])
    last = table.figures[-1]
    assert (last.element, last.limit, last.found) == ("Bi", "", ("0.01",))
    assert against(last) == ""
    assert "found" in against(table.figures[0])


def test_what_a_heat_does_not_report_is_left_open_and_never_nothing() -> None:
    table = one([heat(), heat("26-2", percentages=(("Cu", "94.4"),))])
    silicon = next(figure for figure in table.figures if figure.element == "Si")
    assert silicon.found == ("4.26", "")


def test_heats_share_a_table_and_editions_are_kept_apart() -> None:
    many = [heat(f"26-{n}") for n in range(4)] + [heat("24-1", edition="CDA 2006")]
    tables = analyses(many)
    assert [(table.edition, len(table.heats)) for table in tables] == [
        ("ASTM B584-14", 4), ("CDA 2006", 1),
    ]  # fmt: skip


def test_what_many_heats_hold_is_told_from_the_least_to_the_most_as_written() -> None:
    others = (("Cu", "94.30"), ("Si", "4.1"), ("Pb", "0.02"))
    table = one([heat(), heat("26-2", percentages=others), heat("26-3", percentages=others)])
    told = {figure.element: spread(english(), figure) for figure in table.figures}
    assert (told["Cu"], told["Si"], told["Mn"]) == ("94.30 to 94.6", "4.1 to 4.26", "1.05")
    assert told["Pb"] == "<0.005 to 0.02"
    nothing = one([heat(percentages=(("Cu", "94.6"),))]).figures[-1]
    assert spread(english(), nothing) == "–"
    assert against(table.figures[0]).count("v12") == 2


def test_heats_of_which_the_same_is_told_are_told_together() -> None:
    fault = ("Si 4.6 (3.5 to 4.5): outside, 0.1 above", "Cu 94.6 (at least 94.0): within")
    heats = [heat("26-1"), heat("26-2", verdict="outside", findings=fault), heat("26-3")]
    assert [numbers for _, numbers in alike(heats, [one.number for one in heats])] == [
        ["26-1", "26-3"], ["26-2"],
    ]  # fmt: skip
    assert [told.findings for told, _ in alike(heats, ["26-2"])][1] == fault[:1]
    # Without a table each tells its own figures, and every finding.
    assert [told.findings for told, _ in alike(heats, [])][1] == fault
    apart = [heat("26-1"), heat("26-2", percentages=(("Cu", "95"),))]
    assert len(alike(apart, [])) == 2


@pytest.mark.parametrize(
    "said", [{"alloy": "the shop's own"}, {"edition": "1899"}, {"percentages": ()}]
)
def test_without_limits_or_figures_there_is_no_table(said: dict[str, Any]) -> None:
    assert analyses([heat(**said)]) == ()


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = opened(tmp_path / "registry")
    shop.write(lambda w: amend_run(w, "R-0001", publishes=["size", "molds"]))
    return shop


def _more(w: Writing) -> None:
    inspect_mold(w, "M-0001", "whole", [Criterion(name="tears", grade="sound")], on="2026-04-01")
    for _ in range(2):
        pull_wax(w, "M-0001", "whole", run="R-0001", on="2026-04-02")
    inspect_mold(w, "M-0001", "whole", [Criterion(name="tears", grade="worn")], on="2026-04-03")
    pull_wax(w, "M-0001", "whole", run="R-0001", on="2026-04-04")
    repair_mold(w, "M-0001", "whole", what="tear glued", on="2026-04-05")
    pull_wax(w, "M-0001", "whole", run="R-0001", on="2026-04-06")


def test_a_pull_has_the_condition_found_before_it_until_a_repair(shop: Shop) -> None:
    number = shop.certify(cast(shop))
    shop.write(_more)
    made = record_view(shop.registry, number).making
    assert made is not None
    (view,) = made.pulls
    assert (view.own, view.at_least) == (1, False)
    assert view.pulls == (
        Pulled("not inspected", 1, 1),
        Pulled("sound", 2, 3),
        Pulled("worn", 4, 4),
        Pulled("not inspected", 5, 5),
    )
    assert stretches(english(), view) == "1 not inspected, 2 to 3 sound, 4 worn, 5 not inspected"
    assert pulled(view).count("<path") == 5


def test_pulls_show_only_where_molds_are_published(shown: Gallery) -> None:
    made = record_view(shown.shop.registry, shown.numbers["stands"]).making
    assert made is not None
    assert (made.pulls, made.analyses) == ((), ())


def test_a_mold_that_gave_nothing_draws_nothing() -> None:
    assert pulled(PullsView(mold="M-1", section="a", pulls=(), at_least=False, own=None)) == ""


def test_colour_is_told_layer_on_layer_and_its_recipe_held_back(shown: Gallery) -> None:
    made = record_view(shown.shop.registry, shown.numbers["stands"]).making
    assert made is not None
    assert [(one.words, one.on, one.recipe) for one in made.colours] == [
        ("warm brown, darker in the folds", "2026-04-14", True)
    ]
