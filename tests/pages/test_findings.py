"""The findings of an analysis are told in a page’s language; in English as the book has them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.pages import spoken
from editions.pages.findings import finding
from editions.pages.tongues import Tongue, english
from editions.registry.acts.heats import finding_text
from editions.rules.alloys import alloy_names, load_alloy
from editions.rules.alloys.judge import judge
from editions.trade.saying import Said

LINE = "{element} {value} ({limit}): {finding}"
# German, for this test alone; a decimal comma by the CLDR.
OTHER = Tongue(
    "de",
    {
        (None, LINE): ("{element} {value} [{limit}]: {finding}",),
        (None, "outside, {by} above"): ("außerhalb, um {by} darüber",),
        (None, "{low} to {high}"): ("{low} bis {high}",),
        (None, "sum"): ("Summe",),
    },
)  # fmt: skip


def analyses() -> list[tuple[str, dict[str, str]]]:
    """For each alloy: nothing found, too much, too little, and figures that only bound."""
    made = []
    for name in alloy_names():
        elements = [limit.element for limit in load_alloy(name).limits if limit.element != "Cu"]
        made += [
            (name, {"Cu": "70.04", **dict.fromkeys(elements[:3], figure)})
            for figure in ("0.001", "9.5", "<0.5")
        ]
        made.append((name, {"Cu": "88.0", "Cr": "0.1"}))
    return made


@pytest.mark.parametrize(("alloy", "figures"), analyses())
def test_each_line_that_a_judgement_gives_is_recognised_and_stays_as_it_is(
    alloy: str, figures: dict[str, str]
) -> None:
    for line in map(finding_text, judge(load_alloy(alloy), figures).findings):
        told = finding(line)
        assert isinstance(told, Said)
        assert isinstance(told.values["finding"], Said)
        assert told == line
        assert spoken.told(english(), told) == line


def test_a_line_is_told_in_another_language_with_its_figures() -> None:
    told = finding("Si 5.06 (3.5 to 5.0): outside, 0.06 above")
    assert spoken.told(OTHER, told) == "Si 5,06 [3,5 bis 5,0]: außerhalb, um 0,06 darüber"


def test_the_sum_is_told_by_its_word() -> None:
    told = spoken.told(OTHER, finding("sum 99.20 (at least 99.5): outside, 0.3 below"))
    assert told.startswith("Summe 99,20 [")


@given(st.text(max_size=60))
def test_any_other_line_stands_as_it_is(line: str) -> None:
    assert finding(line) == line
    assert spoken.told(english(), finding(line)) == line
