"""Tests of type: what is drawn, how wide it is, where it breaks."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.typeface import BOX, Face, cannot_draw, runs, shortened, width, wrap
from editions.errors import BronzebookError
from editions.trade.text import clean

FACES: list[Face] = ["roman", "italic", "mono"]
NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=80)


def _drawn(text: str, face: Face = "roman") -> str:
    return "".join(run.text for run in runs(text, face))


@pytest.mark.parametrize(
    "name",
    [
        "Đorđe Ćirić",
        "Þórdís Ægisdóttir",
        "Nguyễn Thị Ngọc Ẩn",
        "Łukasz Źdźbło",
        "İlhan Ağaoğlu",
        "Ἀφροδίτη ἀναδυομένη",
        "Вікторія Ґалаґан",
        "Ђорђе Љубић",
        "Հայկական Անուն",
        "ქართული სახელი",
        "№ 3 ⅜ × ½ — “quoted” … °C ± æ",
    ],
)
def test_a_name_in_these_scripts_is_drawn_whole(name: str) -> None:
    assert cannot_draw(name) == ""
    for face in FACES[:2]:
        assert _drawn(name, face) == name


@pytest.mark.parametrize(
    "name",
    ["静物", "彫刻家", "조각가", "نحات", "פסל", "मूर्तिकार", "ประติมากร", "🗿"],
)
def test_a_name_in_any_other_script_is_boxes_and_never_drawn_wrongly(name: str) -> None:
    assert set(cannot_draw(name)) == set(name)
    assert _drawn(name) == BOX * len(name)


def test_a_name_in_two_scripts_loses_only_what_cannot_be_drawn() -> None:
    assert _drawn("Ilse 静 Varga") == f"Ilse {BOX} Varga"


def test_a_word_that_no_font_carries_whole_is_set_letter_by_letter() -> None:
    assert [run.text for run in runs("⑴ქ", "roman")] == ["⑴", "ქ"]
    assert cannot_draw("⑴ქ") == ""


def test_marks_are_composed_before_they_are_drawn() -> None:
    assert _drawn("Pe\u0301cs") == "Pécs"
    assert width("Pe\u0301cs", "roman", 10) == width("Pécs", "roman", 10)


def test_joiners_and_controls_leave_nothing_behind() -> None:
    assert _drawn("a\u200db\u00adc\x07d\ufe0f") == "abcd"


def test_a_word_stays_in_one_font_where_one_font_carries_it() -> None:
    for run in runs("Ґалаґан and Ђорђе", "italic"):
        assert run.text.strip() in {"Ґалаґан", "and", "Ђорђе", ""}


def test_pairs_are_kerned_as_the_font_says() -> None:
    # EB Garamond's own kern feature brings V and a together, and leaves H and H alone.
    apart = width("V", "roman", 100) + width("a", "roman", 100)
    assert width("Va", "roman", 100) < apart - 5
    assert width("HH", "roman", 100) == pytest.approx(2 * width("H", "roman", 100))


def test_figures_are_lining_ones_all_of_capital_height() -> None:
    widths = {width(figure, "roman", 1000) for figure in "023456789"}
    assert max(widths) - min(widths) < 60


@given(NAMES, st.sampled_from(FACES), st.floats(20, 400))
def test_wrapped_lines_keep_to_their_room_and_lose_nothing(
    text: str, face: Face, room: float
) -> None:
    lines = wrap(text, face, 10, room)
    assert all(width(line, face, 10) <= room or len(line) == 1 for line in lines)
    kept = "".join("".join(lines).split())
    assert _drawn(kept) == _drawn("".join(text.split()))


def test_a_fixed_space_does_not_break() -> None:
    room = width("Height: 450 mm", "roman", 10) - 1
    assert wrap("Height: 450\u00a0mm", "roman", 10, room) == ["Height:", "450\u00a0mm"]


@given(NAMES, st.floats(30, 200))
def test_a_shortened_line_fits(text: str, room: float) -> None:
    assert width(shortened(text, "roman", 10, room), "roman", 10) <= room


@given(NAMES)
def test_width_is_the_sum_of_runs_and_grows_with_size(text: str) -> None:
    assert width(text, "italic", 20) == pytest.approx(2 * width(text, "italic", 10))


@given(st.text(max_size=60))
def test_whatever_the_book_keeps_can_be_set(text: str) -> None:
    try:
        kept = clean(text)
    except BronzebookError:
        return
    drawn = _drawn(kept)
    assert not any(unicodedata.bidirectional(letter) in {"R", "AL"} for letter in drawn)
