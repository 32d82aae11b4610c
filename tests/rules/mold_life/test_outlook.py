"""The answer for a mold and a run, and its age gate."""

from __future__ import annotations

import datetime

import pytest
from msgspec.structs import replace

from editions.errors import Unreadable
from editions.rules.mold_life.age import Age, cure_of, gate, read_cure
from editions.rules.mold_life.outlook import (
    Indicator,
    Outlook,
    SectionBook,
    SectionOutlook,
    outlook,
)
from editions.trade.quantities import Quantity

TODAY = datetime.date(2026, 11, 25)
YOUNG = gate("tin-cure silicone", "2026-06", TODAY)
TEARS = Indicator(
    name="tears",
    unit="mm",
    readings=((0, 0), (5, 0.5), (10, 1.2), (15, 1.6), (20, 2.3)),
)
BODY = SectionBook(name="body", pulls=20, indicators=(TEARS,), sound=18, rejected=2)


def looked(*sections: SectionBook, age: Age = YOUNG, lead: int = 5) -> Outlook:
    return outlook(sections, age, today=TODAY, lead=lead)


def section(book: SectionBook, lead: int = 5) -> SectionOutlook:
    return looked(book, lead=lead).sections[0]


def test_a_section_says_when_it_is_retired_by_what_and_when_to_plan() -> None:
    found = section(BODY)
    assert (found.retire_at, found.limited_by, found.left, found.plan_at) == (40, "tears", 20, 35)
    assert (found.judged, found.rejected) == (20, 2)
    assert section(BODY, lead=50).plan_at == 0


@pytest.mark.parametrize(
    ("wanted", "answer"),
    [(None, "not asked"), (0, "yes"), (12, "yes"), (20, "doubtful"), (30, "no")],
)
def test_the_answer_follows_from_the_waxes_wanted(wanted: int | None, answer: str) -> None:
    found = looked(replace(BODY, wanted=wanted))
    assert found.answer == answer
    assert (found.chance is None) == (wanted is None)


def test_the_chance_of_the_mold_is_the_product_of_its_sections() -> None:
    one, two = replace(BODY, wanted=20), replace(BODY, name="head", wanted=18)
    alone = [float(looked(book).chance or 0) for book in (one, two)]
    assert float(looked(one, two).chance or 0) == pytest.approx(alone[0] * alone[1], abs=2e-4)


def test_the_first_indicator_to_fail_decides() -> None:
    gap = Indicator(
        name="registration", unit="mm", readings=((0, 0.1), (5, 0.2), (10, 0.35), (20, 0.6))
    )
    both = section(replace(BODY, indicators=(TEARS, gap), wanted=8))
    assert both.limited_by == "registration"
    assert both.retire_at is not None
    assert both.retire_at < 40
    assert both.chance is not None
    alone = section(replace(BODY, wanted=8)).chance
    assert alone is not None
    assert both.chance < alone


def test_a_threshold_given_stands_for_the_usual_one() -> None:
    found = section(replace(BODY, indicators=(replace(TEARS, threshold=Quantity("3", "mm")),)))
    assert found.retire_at is not None
    assert found.retire_at < 30


def test_readings_in_inches_meet_the_usual_threshold_in_inches() -> None:
    inches = tuple((pull, value / 25.4) for pull, value in TEARS.readings)
    found = section(replace(BODY, indicators=(replace(TEARS, unit="in", readings=inches),)))
    assert (found.retire_at, found.wears[0].unit) == (40, "in")
    assert str(found.wears[0].threshold) == "0.197"


def test_grades_are_taken_as_numbers_and_said_to_be_rough() -> None:
    grades = Indicator(name="detail", unit="grade", readings=((0, 0), (10, 0), (20, 1), (30, 1)))
    found = section(SectionBook(name="body", pulls=30, indicators=(grades,)))
    assert str(found.wears[0].threshold) == "2.000"
    assert any("rough" in remark for remark in found.remarks)


def test_what_was_measured_decides_over_grades() -> None:
    grades = Indicator(name="detail", unit="grade", readings=((0, 0), (10, 0), (15, 0), (20, 1)))
    found = section(replace(BODY, indicators=(grades, TEARS), wanted=12))
    assert (found.retire_at, found.limited_by) == (40, "tears")
    assert found.chance == section(replace(BODY, wanted=12)).chance
    assert any("detail: only graded" in remark for remark in found.remarks)


def test_without_readings_only_the_pulls_tell() -> None:
    # (24 + 1)/(24 + 1 + m): known answer 7's mold, wanted 8.
    found = section(SectionBook(name="body", pulls=24, sound=22, rejected=2, wanted=8))
    assert str(found.failing_at_most) == "0.11735"
    assert found.retire_at is None
    assert found.chance is not None
    assert 0.7 < found.chance < 0.76
    assert any("no indicator" in remark for remark in found.remarks)


def test_a_length_without_a_threshold_and_two_readings_are_said_to_tell_nothing() -> None:
    detail = Indicator(name="detail", unit="mm", readings=TEARS.readings)
    few = Indicator(name="tears", unit="mm", readings=((0, 0), (5, 1)))
    once = Indicator(name="registration", unit="mm", readings=((5, 0), (5, 0.1), (5, 0.2)))
    found = section(replace(BODY, indicators=(detail, few, once)))
    assert found.wears == ()
    assert any(r.startswith("detail, tears, registration: too few") for r in found.remarks)


def test_a_section_that_ended_gives_no_more() -> None:
    ended = replace(BODY, ended="retired 3 May 2026", wanted=1)
    found = looked(ended)
    assert (found.answer, str(found.chance)) == ("no", "0.0000")
    assert found.sections[0].failing_at_most is None
    assert "retired 3 May 2026" in found.sections[0].remarks
    assert looked(replace(ended, wanted=0)).answer == "yes"
    assert looked(replace(ended, wanted=None)).answer == "no"


@pytest.mark.parametrize("pulls", [1, 4, 20])
def test_a_low_chance_without_readings_says_that_too_little_is_known(pulls: int) -> None:
    dark = replace(BODY, pulls=pulls, indicators=(), wanted=60)
    found = looked(dark)
    assert (found.answer, found.sections[0].answer) == ("too little is known",) * 2
    assert float(found.chance or 0) < 0.5
    assert found.remarks == ("Measure tears and registration at the next pulls: body.",)


def test_what_was_measured_says_no_whatever_is_not_known_beside_it() -> None:
    dark = replace(BODY, name="head", pulls=4, indicators=(), wanted=60)
    found = looked(replace(BODY, wanted=30), dark)
    assert [one.answer for one in found.sections] == ["no", "too little is known"]
    assert found.answer == "no"
    assert found.remarks[0].startswith("Plan a new mold now (body)")


def test_what_is_not_known_is_said_beside_what_was_measured_well() -> None:
    dark = replace(BODY, name="head", pulls=4, indicators=(), wanted=12)
    found = looked(replace(BODY, wanted=12), dark)
    assert [one.answer for one in found.sections] == ["yes", "too little is known"]
    assert found.answer == "too little is known"


def test_counts_and_repairs_are_remarked_on() -> None:
    remarks = section(replace(BODY, at_least=True, since_repair=8)).remarks
    assert any("at least 20" in remark for remark in remarks)
    assert any("repair at pull 8" in remark for remark in remarks)


def test_a_new_mold_is_planned_from_the_original() -> None:
    remarks = looked(replace(BODY, wanted=30)).remarks
    assert "from the original" in remarks[0]
    assert "never from a bronze" in remarks[0]
    assert looked(replace(BODY, wanted=5)).remarks == ()


def test_where_little_is_known_measuring_comes_before_a_new_mold() -> None:
    dark = replace(BODY, indicators=(), wanted=8)
    assert looked(dark).remarks == ("Measure tears and registration at the next pulls: body.",)
    # The rule of succession alone gives a sound mold of few pulls a low chance: that plans nothing.
    assert "Plan a new mold" not in " ".join(looked(replace(dark, wanted=60)).remarks)


def test_past_its_pull_is_said() -> None:
    assert any("Past the pull" in r for r in looked(replace(BODY, pulls=45)).remarks)


def test_past_its_age_a_mold_is_never_better_than_doubtful() -> None:
    old = gate("tin", "2019", TODAY)
    found = looked(replace(BODY, wanted=1), age=old)
    assert (found.answer, found.sections[0].answer) == ("doubtful", "yes")
    assert "never better than doubtful" in found.remarks[0]


def test_the_month_to_plan_at_follows_from_the_pace() -> None:
    days = tuple(datetime.date(2026, month, 1) for month in range(1, 11))
    # Nine pulls in 273 days, fifteen more up to pull 35: 455 days from today.
    assert section(replace(BODY, days=days)).plan_by == "2028-02"


@pytest.mark.parametrize(
    "days",
    [
        (),
        (datetime.date(2026, 11, 1), datetime.date(2026, 11, 2)),
        tuple(datetime.date(2026, 11, day) for day in range(1, 20)),
        tuple(datetime.date(2000 + year, 1, 1) for year in range(0, 26, 10)),
    ],
)
def test_a_pace_too_short_or_too_slow_names_no_month(days: tuple[datetime.date, ...]) -> None:
    assert section(replace(BODY, days=days)).plan_by == ""


# Makers' pages, as in the facts: tin 12 months to 5 years and more, platinum up to 20 years.
@pytest.mark.parametrize(
    ("material", "made", "standing", "months"),
    [
        ("tin-cure silicone", "2026-06", "young", 5),
        ("condensation silicone", "2025-11-25", "watch", 12),
        ("condensation silicone", "2025-11-26", "young", 11),
        ("tin", "2021-11-26", "watch", 59),
        ("tin", "2021-11-25", "beyond", 60),
        ("platinum silicone", "2010", "young", 202),
        ("addition cure", "2006-11-25", "beyond", 240),
        ("silicone", "2010", "not known", None),
        ("tin", "", "not known", None),
        ("tin", "../2020", "not known", None),
        ("plaster", "2020", "not known", None),
    ],
)
def test_the_age_gate(material: str, made: str, standing: str, months: int | None) -> None:
    age = gate(material, made, TODAY)
    assert (age.standing, age.months) == (standing, months)
    assert age.says


def test_a_month_is_one_month() -> None:
    assert "1 month old" in gate("tin", "2026-10-20", TODAY).says


def test_a_cure_is_read_by_either_name() -> None:
    assert (read_cure("Condensation"), read_cure("platinum-cure")) == ("tin", "platinum")
    assert cure_of("plaster") is None
    with pytest.raises(Unreadable, match="not a cure"):
        read_cure("peroxide")


def test_the_answer_names_its_formula_and_its_sources() -> None:
    found = looked(BODY)
    assert any("t(0.95, n−2)" in line for line in found.formula)
    assert any("ours, no source" in line for line in found.sources)
    assert any("makers' pages" in line for line in found.sources)
