"""The words of the pages: each filter that a template uses."""

from __future__ import annotations

import pytest

from editions.pages import making_words, words
from editions.pages.casting import ApprovalView, HeatView, Part, Stage
from editions.pages.tongues import english
from editions.pages.values import Measure


def stage_of(**changed: object) -> Stage:
    values = {"word": "welded", "first": "2026-03-01", "last": "2026-03-01", "how": "done"}
    return Stage(**{**values, **changed})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changed", "day", "how"),
    [
        ({}, "1 March 2026", ""),
        ({"last": "2026-03-04"}, "1 March 2026 to 4 March 2026", ""),
        ({"last": "2026-03"}, "1 March 2026", ""),
        ({"first": "no date", "last": "no date"}, "no date", ""),
        ({"how": "not recorded"}, "date not recorded", "done, not recorded at the time"),
        ({"how": "elsewhere", "whose": "North Kiln"}, "1 March 2026",
         "done elsewhere, declared by North Kiln"),
        ({"how": "elsewhere"}, "1 March 2026", "done elsewhere"),
    ],
)  # fmt: skip
def test_a_stage_says_when_and_how_it_is_known(
    changed: dict[str, object], day: str, how: str
) -> None:
    stage = stage_of(**changed)
    assert (making_words.span(english(), stage), making_words.how(english(), stage)) == (day, how)


def test_a_stage_counts_coats_and_names_sections() -> None:
    assert making_words.stage(english(), stage_of(word="shelled", coats=1)) == "shelled, 1 coat"
    assert (
        making_words.stage(english(), stage_of(word="shelled", coats=8, sections=("arm", "leg")))
        == "shelled, 8 coats (<bdi>arm, leg</bdi>)"
    )


@pytest.mark.parametrize(
    ("verdict", "specification", "edition", "said"),
    [
        ("within", "ASTM B584-14", "ASTM B584-14",
         "composition consistent with the limits of ASTM B584-14"),
        ("outside", "CDA", "2006", "composition outside the limits of CDA, edition 2006"),
        ("indeterminate", "", "", "composition not decided against the limits of its alloy"),
        ("not analysed", "ASTM B584-14", "", "composition not analysed"),
    ],
)  # fmt: skip
def test_each_verdict_is_said_with_its_specification(
    verdict: str, specification: str, edition: str, said: str
) -> None:
    heat = HeatView(
        number="1", alloy="C87300", poured=None, verdict=verdict, specification=specification,
        edition=edition, method="", percentages=(), findings=(),
    )  # fmt: skip
    assert making_words.verdict(english(), heat) == said


def test_a_section_of_which_little_is_known_says_so() -> None:
    part = Part(name="arm", mold=None, pull=None, pulls="7", heat=None, poured=None, scrapped=())
    assert making_words.part(english(), part) == "mold not recorded, heat not recorded"


def test_words_of_counts_generations_alloys_and_lists() -> None:
    assert [words.times(english(), n) for n in (1, 2, 3)] == ["once", "twice", "3 times"]
    assert making_words.generation(english(), 0) == "generation 0"
    assert making_words.generation(english(), 2) == "generation 2"
    assert making_words.alloy(english(), "C87300") == "Silicon bronze, C87300"
    assert making_words.alloy(english(), "bell metal") == "bell metal"
    assert words.listed(english(), ("marks",)) == "marks"
    assert words.listed(english(), ("marks", "mass", "colour")) == "marks, mass and colour"
    assert words.measure(english(), Measure(name="", base="with", length=None)) == "not recorded"


def test_a_lapsed_approval_says_that_it_lapsed() -> None:
    given = ApprovalView(
        of="metal", by="Ilse Varga", how="in person", on="2026-03", approved=False, lapsed=True
    )
    assert making_words.approved(english(), given) == "Approval refused in metal"
    assert (
        making_words.given(english(), given)
        == "in person, March 2026; it lapsed when a section was cast again"
    )
