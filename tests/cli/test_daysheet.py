"""The day sheet as a file: headers, lines in the shell's quoting, faults with their line."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.cli.daysheet import LIMIT, Line, Sheet, read_sheet, template
from editions.errors import FileUnusable

NAME = "5b0f6e1c4f5f4d0c9a7b3c2d1e0f9a8b"


def _read(text: str) -> Sheet:
    return read_sheet(text.encode())


def test_lines_are_split_as_a_shell_would_and_keep_their_place() -> None:
    sheet = _read('\n# the day\nwax pull M-0001 --mass "4.2 kg"  # heavy\n\nstep fired T-0101\n')
    assert sheet.lines == [
        Line(3, ("wax", "pull", "M-0001", "--mass", "4.2 kg")),
        Line(5, ("step", "fired", "T-0101")),
    ]
    assert sheet.faults == []


def test_a_hash_inside_a_word_or_a_text_begins_no_comment() -> None:
    sheet = _read(
        'strike T-0103#2 --reason "see #4"  # said the foreman, it\'s so\n'
        "correct 'P-0003#4' mass=3kg#kg\n"
        "step fired T-1 \\# T-2 #T-3\n"
    )
    assert [line.words for line in sheet.lines] == [
        ("strike", "T-0103#2", "--reason", "see #4"),
        ("correct", "P-0003#4", "mass=3kg#kg"),
        ("step", "fired", "T-1", "#", "T-2"),
    ]


def test_headers_give_the_date_the_recorder_and_the_name() -> None:
    sheet = _read(f"on: 2026-11-24\nby : y-0007   # the foreman\nsheet: {NAME}\nstep fired T-1\n")
    assert (sheet.on, sheet.by, sheet.name, sheet.batch) == ("2026-11-24", "Y-0007", NAME, NAME)


def test_a_sheet_without_a_name_is_known_by_its_digest() -> None:
    data = b"step fired T-0101\n"
    assert read_sheet(data).batch == hashlib.sha256(data).hexdigest()[:32]


def test_the_word_bronzebook_may_stand_at_the_beginning_as_people_paste_it() -> None:
    assert _read("bronzebook step fired T-1").lines == [Line(1, ("step", "fired", "T-1"))]


def test_a_file_saved_elsewhere_keeps_its_mark_and_line_ends_out_of_the_lines() -> None:
    sheet = read_sheet("\ufeffon: 2026-11-24\r\nstep fired T-1\r\n".encode())
    assert sheet.on == "2026-11-24"
    assert sheet.lines == [Line(2, ("step", "fired", "T-1"))]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("on: 24.11.2026", 1, "24.11.2026"),
        ("by: P-0007", 1, "P-0007"),
        ("by:", 1, "is not a code"),
        ("sheet: 12", 1, "not 32 hex digits"),
        ("on: 2026-11-24\non: 2026-11-25", 2, "stands twice"),
        ("step fired T-1\non: 2026-11-24", 2, "below a command"),
        ("wax pull M-0001 --note artist's", 1, "quotation mark is not closed"),
        ('wax pull M-0001 --wall 3/16"', 1, "quotation mark is not closed"),
    ],
)
def test_a_line_that_cannot_be_read_is_a_fault_with_its_number(
    text: str, line: int, words: str
) -> None:
    sheet = _read(text)
    assert len(sheet.faults) == 1
    fault = sheet.faults[0]
    assert fault.line == line
    assert words in fault.message
    assert fault.remedy
    assert fault.status == 2


def test_after_a_fault_the_other_lines_are_read() -> None:
    sheet = _read("on: nonsense\nstep fired T-1\nstep 'fired\nstep fired T-2\n")
    assert [fault.line for fault in sheet.faults] == [1, 3]
    assert [line.number for line in sheet.lines] == [2, 4]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"x" * (LIMIT + 1), "longer than a megabyte"),
        (b"\n" * 5001, "5002 lines"),
    ],
)
def test_what_is_no_sheet_is_refused_whole(data: bytes, words: str) -> None:
    with pytest.raises(FileUnusable, match=words):
        read_sheet(data, "day.txt")


@given(st.text(max_size=400))
def test_any_text_is_lines_or_faults_and_nothing_else(text: str) -> None:
    sheet = read_sheet(text.encode("utf-8", "replace"))
    numbers = {line.number for line in sheet.lines} | {fault.line for fault in sheet.faults}
    assert all(1 <= number <= text.count("\n") + 1 for number in numbers)


def test_the_template_reads_as_a_sheet_without_a_line() -> None:
    sheet = _read(template("2026-11-24", "Y-0007", NAME, "my day.txt"))
    assert (sheet.on, sheet.by, sheet.name) == ("2026-11-24", "Y-0007", NAME)
    assert sheet.lines == []
    assert sheet.faults == []
    assert _read(template("2026-11-24", None, NAME, "day.txt")).by is None
