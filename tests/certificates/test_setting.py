"""Tests of setting facts into columns."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.setting import Setting, set_facts
from certificates.wording import Fact

WORDS = st.text("abcdefgh mno", min_size=1, max_size=200).filter(str.strip)
FACTS = st.lists(
    st.builds(
        lambda label, lines: Fact(label=label, lines=tuple(lines)),
        st.sampled_from(["Edition", "Metal", "Remarks"]),
        st.lists(WORDS, min_size=1, max_size=12),
    ),
    min_size=1,
    max_size=14,
)


def _texts(setting: Setting) -> list[str]:
    return [line.text for page in setting.pages for column in page for line in column]


@settings(deadline=None)
@given(FACTS, st.floats(90, 400), st.floats(400, 700))
def test_every_word_is_set_once_and_in_order(facts: list[Fact], height: float, more: float) -> None:
    setting = set_facts(facts, 220, height, more)
    wanted = " ".join(word for f in facts for word in (f.label.upper(), *f.lines)).split()
    assert " ".join(_texts(setting)).split() == wanted


@settings(deadline=None)
@given(FACTS, st.floats(90, 400), st.floats(400, 700))
def test_nothing_leaves_its_column_and_no_label_stands_last(
    facts: list[Fact], height: float, more: float
) -> None:
    setting = set_facts(facts, 220, height, more)
    for at, page in enumerate(setting.pages):
        for column in page:
            baselines = [line.y for line in column]
            assert baselines == sorted(baselines)
            assert all(0 < y <= (more if at else height) for y in baselines)
            assert not column or not column[-1].label


def test_little_is_set_large_and_whole() -> None:
    setting = set_facts([Fact(label="Colour", lines=("Brown.",))] * 4, 220, 300, 700)
    assert setting.size == 10.2
    assert [len(column) for column in setting.pages[0]] == [4, 4]


def test_more_is_set_smaller_before_it_runs_over() -> None:
    facts = [Fact(label="Heat", lines=("A heat of metal poured that day.",) * 4)] * 10
    tight = set_facts(facts, 220, 290, 700)
    assert 8.2 <= tight.size < 10.2
    assert len(tight.pages) == 1


def test_a_long_fact_runs_over_to_the_next_column() -> None:
    setting = set_facts([Fact(label="Sections", lines=("One section.",) * 40)], 220, 270, 700)
    left, right = setting.pages[0]
    assert len(setting.pages) == 1
    assert abs(len(left) - len(right)) <= 2


def test_too_much_flows_to_further_pages_at_a_size_that_reads_well() -> None:
    setting = set_facts([Fact(label="Sections", lines=("One section.",) * 300)], 220, 270, 700)
    assert setting.size == 9.0
    assert len(setting.pages) > 1
    left, right = setting.pages[-1]
    assert abs(len(left) - len(right)) <= 2


def test_no_facts_give_one_empty_page() -> None:
    assert set_facts([], 220, 270, 700).pages == (((), ()),)
