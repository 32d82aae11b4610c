"""Codes, tags and ranges; the grammar is the project's own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.errors import Unreadable
from editions.trade.codes import LETTERS, MOST, expand, nearest, next_code, read_code, read_tag

CODES = st.from_regex(r"[YDKRMWHPC]-[0-9A-Z][0-9A-Z-]{0,18}", fullmatch=True)
TAGS = st.from_regex(r"[0-9A-Z][0-9A-Z./-]{0,23}", fullmatch=True).filter(lambda t: ".." not in t)


@given(CODES)
def test_a_code_is_read_in_any_case_and_kept_in_capitals(code: str) -> None:
    assert read_code(f"  {code.lower()} ") == code
    assert read_code(code, code[0]) == code


@given(TAGS)
def test_a_tag_is_read_in_any_case_and_kept_in_capitals(tag: str) -> None:
    assert read_tag(tag.lower()) == tag
    assert expand(tag) == [tag]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "P",
        "P-",
        "P--1",
        "P0001",
        "P 0001",
        "X-0001",
        "T-0101",
        "P-00 01",
        "P-0001.",
        "P-" + "1" * 20,
        "P-0001\x00",
        "P-０００１",
        "P-ı",
        "P‑0001",
        "P-0001\nP-0002",
        "P" * 1_000_000,
    ],
)
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="is not a code") as caught:
        read_code(text)
    assert caught.value.remedy
    assert len(str(caught.value)) < 200


def test_a_code_of_another_kind_is_refused_by_name() -> None:
    with pytest.raises(
        Unreadable, match="W-0001 names a wax; the code of a piece is wanted"
    ) as got:
        read_code("w-0001", "P")
    assert got.value.remedy == "Such a code begins with P-."


@pytest.mark.parametrize("text", ["", "-1", ".1", "A..B", "T 1", "T_1", "ſ1", "T" * 25, "T-1,T-2"])
def test_what_is_no_tag_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="is not a tag"):
        read_tag(text)


@given(st.sampled_from(sorted(LETTERS)), st.integers(0, 10**9))
def test_the_next_code_reads_and_counts_one_up(letter: str, last: int) -> None:
    code = next_code(letter, last)
    assert read_code(code, letter) == code
    assert int(code[2:]) == last + 1
    assert len(code) >= 6


def test_codes_start_at_one_with_four_digits() -> None:
    assert next_code("P", 0) == "P-0001"
    assert next_code("H", 9999) == "H-10000"


@pytest.mark.parametrize(("letter", "last"), [("X", 0), ("", 0), ("P", -1)])
def test_no_code_follows_nonsense(letter: str, last: int) -> None:
    with pytest.raises(Unreadable, match="No code follows"):
        next_code(letter, last)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("T-0101", ["T-0101"]),
        ("T-0101..T-0103", ["T-0101", "T-0102", "T-0103"]),
        ("t-0099 .. t-0101", ["T-0099", "T-0100", "T-0101"]),
        ("P-98..P-101", ["P-98", "P-99", "P-100", "P-101"]),
        ("T-7..T-7", ["T-7"]),
        ("9..11", ["9", "10", "11"]),
        ("A/1.5..A/1.6, B", ["A/1.5", "A/1.6", "B"]),
        ("W-0003,W-0001", ["W-0003", "W-0001"]),
    ],
)
def test_lists_and_ranges_name_each_in_order(text: str, names: list[str]) -> None:
    assert expand(text) == names


@given(st.integers(0, 9000), st.integers(0, MOST - 1), st.integers(1, 6))
def test_a_range_has_as_many_as_it_spans_all_of_one_width(low: int, more: int, width: int) -> None:
    first, last = f"T-{low:0{width}d}", f"T-{low + more:0{width}d}"
    names = expand(f"{first}..{last}")
    assert [names[0], names[-1], len(names)] == [first, last, more + 1]
    assert expand(",".join(names)) == names
    assert all(len(name) >= width + 2 for name in names)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not a tag"),
        (",", "is not a tag"),
        ("T-1,", "is not a tag"),
        ("T-1..", "is not a tag"),
        ("..T-1", "is not a tag"),
        ("T-1...T-3", "is not a tag"),
        ("T-1..T-2..T-3", "is not a tag"),
        ("T-0112..T-0101", "runs backwards"),
        ("T-01..S-05", "does not count"),
        ("T-A..T-C", "does not count"),
        ("T-0101..0112", "does not count"),
        ("T-001..T-0005", "different widths"),
        ("T-0099..T-100", "different widths"),
        ("T-1,T-2,T-1", "T-1 is named twice"),
        ("T-1..T-3,T-2", "T-2 is named twice"),
        ("T-0001..T-0501", "names more than 500"),
        ("T-1..T-999999999999999", "names more than 500"),
        ("T-1," * 10_000, "characters long"),
    ],
)
def test_a_list_that_cannot_be_meant_is_refused(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as caught:
        expand(text)
    assert says in caught.value.message
    assert caught.value.remedy


def test_five_hundred_at_once_is_the_most() -> None:
    assert len(expand("T-0001..T-0500")) == 500


def test_a_backwards_range_is_answered_with_the_range_meant() -> None:
    with pytest.raises(Unreadable) as caught:
        expand("T-3..T-1")
    assert caught.value.remedy == "Write T-1..T-3."


def test_the_nearest_codes_come_likeliest_first() -> None:
    known = ["P-0411", "P-0421", "P-0500", "W-9999"]
    assert nearest("p-0511", known)[0] == "P-0411"
    assert set(nearest("P-0412", known, n=2)) == {"P-0411", "P-0421"}
    assert nearest("M", known) == []
    assert nearest("P-0411" * 100_000, known) == []


@given(st.text(max_size=60))
def test_any_text_is_a_list_or_an_error_of_ours(text: str) -> None:
    try:
        names = expand(text)
    except Unreadable:
        return
    assert names
    assert [read_tag(name) for name in names] == names


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("T-0101..0112", "Write T-0101..T-0112."),
        ("T-0101..12", "Write T-0101..T-0112."),
        ("P-98..9", "Write P-98..P-99."),
        ("T-01..S-05", "Both ends have the same beginning"),
        ("T-A..12", "Both ends have the same beginning"),
        ("T-1..0112", "Both ends have the same beginning"),
    ],
)
def test_a_range_that_leaves_out_the_stem_is_answered_with_the_whole(
    text: str, remedy: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        expand(text)
    assert caught.value.remedy.startswith(remedy)
