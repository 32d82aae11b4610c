"""What is printed: tables and records on a terminal, plain when piped, JSON; the shared values."""

from __future__ import annotations

import datetime
import json
from contextlib import suppress

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from editions.cli import options, output
from editions.cli.desk import Desk
from editions.errors import Unreadable
from editions.registry import Entered
from tests.cli.conftest import Call, Typed

ROWS = [("P-0001", "Heron, standing", None), ("P-0002", "Seed", ("a", "b"))]
COLUMNS = ("code", "work title", "parts")
ENTERED = Entered("P-0003", "ab" * 32, 7, ("one coat was skipped",), "step_done", "2026-11-24")

Capture = pytest.CaptureFixture[str]


def test_piped_a_table_is_one_line_a_row_cut_by_tabs(capsys: Capture) -> None:
    output.table(ROWS, COLUMNS, title="Casts")
    assert capsys.readouterr().out == "P-0001\tHeron, standing\t\nP-0002\tSeed\ta, b\n"


def test_piped_a_cell_cannot_break_its_row(capsys: Capture) -> None:
    output.table([("a\tb\nc",)], ("words",))
    output.record({"note": "two\nlines"})
    assert capsys.readouterr().out == "a b c\nnote\ttwo lines\n"


def test_as_json_a_table_is_a_list_of_objects(capsys: Capture) -> None:
    output.table(ROWS, COLUMNS, as_json=True)
    assert json.loads(capsys.readouterr().out)[0] == {
        "code": "P-0001", "work_title": "Heron, standing", "parts": None,
    }  # fmt: skip


def test_on_a_terminal_a_table_is_aligned_under_its_title(typed: Typed) -> None:
    with typed("") as shown:
        output.table(ROWS, COLUMNS, title="Casts")
    lines = [click.unstyle(line).rstrip() for line in shown().splitlines()]
    assert lines == [
        "Casts",
        "code    work title       parts",
        "P-0001  Heron, standing",
        "P-0002  Seed             a, b",
    ]


def test_a_record_leaves_out_what_is_empty_and_keeps_nought(capsys: Capture) -> None:
    pairs = (("size", 0), ("paper", ""), ("scale", None), ("proofs", ["4 AP", "2 HC"]))
    output.record(pairs)
    assert capsys.readouterr().out == "size\t0\nproofs\t4 AP, 2 HC\n"
    output.record(pairs, as_json=True)
    assert json.loads(capsys.readouterr().out) == {
        "size": 0, "paper": "", "scale": None, "proofs": ["4 AP", "2 HC"],
    }  # fmt: skip


def test_on_a_terminal_a_long_value_hangs_under_its_beginning(typed: Typed) -> None:
    with typed("") as shown:
        output.record((("on", "2026"), ("promise", "word " * 30)))
    first, second, third = shown().splitlines()
    assert first == "on       2026"
    assert second.startswith("promise  word word")
    assert third.startswith("         word")
    assert len(second) <= 100


def test_an_entry_is_told_on_stdout_and_its_remark_on_stderr(capsys: Capture) -> None:
    output.entered(Desk(), False, ENTERED, detail="coat 5")  # noqa: FBT003
    told = capsys.readouterr()
    assert told.out == "P-0003  step done  coat 5  2026-11-24\n"
    assert told.err == "remark: P-0003: one coat was skipped\n"


def test_entries_as_json_keep_their_leaf_and_remarks(capsys: Capture) -> None:
    output.entered(Desk(), True, ENTERED)  # noqa: FBT003
    (value,) = json.loads(capsys.readouterr().out)
    assert value["leaf"] == "ab" * 32
    assert value["remarks"] == ["one coat was skipped"]


def test_a_bar_is_drawn_on_a_terminal_only(typed: Typed, capsys: Capture) -> None:
    with output.progress(3, "Drawing") as step:
        step()
    assert capsys.readouterr() == ("", "")
    with typed("") as shown, output.progress(3, "Drawing") as step:
        step()
    assert "Drawing" in shown()
    with typed("") as shown, output.counting("Writing") as count:
        for done in range(4):
            count(done, 3)
    assert "Writing" in shown()
    assert "100%" in shown()


def test_one_thing_needs_no_bar(typed: Typed) -> None:
    with typed("") as shown, output.progress(1, "Drawing") as step:
        step()
    assert shown() == ""


@pytest.mark.parametrize(
    ("remarks", "lines"),
    [
        ([], []),
        ([("P-0001", "HC is not used.")], ["P-0001: HC is not used."]),
        ([("P-0001", "T-0101: coat 2 late.")], ["T-0101: coat 2 late."]),
        ([("R-0001", "3/8 was spoken for.")], ["R-0001: 3/8 was spoken for."]),
        (
            [("P-0001", "T-0101: coat 2 late."), ("P-0002", "T-0102: coat 2 late.")],
            ["T-0101, T-0102: coat 2 late."],
        ),
        (
            [("P-0001", "T-0101 has 4 coats."), ("P-0002", "T-0102 has 4 coats.")],
            ["T-0101, T-0102, each: has 4 coats."],
        ),
        (
            [("P-0001", "T-0101: coat 2 late."), ("P-0002", "T-0102: coat 3 late.")],
            ["T-0101: coat 2 late.", "T-0102: coat 3 late."],
        ),
        ([("C-0001", "No words."), ("C-0002", "No words.")], ["C-0001, C-0002: No words."]),
        ([("P-0001", "T-0101: a."), ("P-0001", "T-0101: a.")], ["T-0101: a."]),
    ],
)
def test_what_is_remarked_of_several_alike_stands_in_one_line(
    remarks: list[tuple[str, str]], lines: list[str]
) -> None:
    assert output.gathered(remarks) == lines


def test_a_caution_is_said_once_in_a_run(capsys: Capture) -> None:
    with click.Context(click.Command("step"), obj=Desk()).scope():
        output.cautions("wax", "molten metal")
        output.cautions("wax")
    said = capsys.readouterr().err.splitlines()
    assert [line[:15] for line in said] == ["caution: Wax: h", "caution: Molten"]


def test_a_caution_is_said_where_there_is_no_desk_too(capsys: Capture) -> None:
    output.cautions("wax")
    assert capsys.readouterr().err.startswith("caution: Wax")


@pytest.mark.parametrize(
    ("kind", "typed_text", "kept"),
    [
        (options.CodeType("M"), " m-0007 ", "M-0007"),
        (options.CodeType("P"), "t-0101", "t-0101"),
        (options.CodeType(), "BOOK", "BOOK"),
        (options.NewCodeType("P"), "p-0900", "P-0900"),
        (options.CodesType(), "t-01..t-03", ["T-01", "T-02", "T-03"]),
        (options.DesignationType(), "No. 3 of 8", "3/8"),
        (options.WhenType(), "2026-11~", "2026-11~"),
        (options.TextType(), " Cafe\u0301 ", "Café"),
    ],
)
def test_values_are_read_as_the_trade_writes_them(
    kind: click.ParamType[object], typed_text: str, kept: object
) -> None:
    assert kind.convert(typed_text, None, None) == kept
    assert kind.convert(kept, None, None) == kept


@pytest.mark.parametrize(
    ("kind", "typed_text"),
    [
        (options.CodeType("M"), "P-0001"),
        (options.CodeType("M"), "T-0101/head"),
        (options.CodeType("P"), " "),
        (options.CodeType(), "x" * 121),
        (options.NewCodeType("P"), "M-0001"),
        (options.CodesType(), "T-03..T-01"),
        (options.CodesType(), ""),
        (options.QuantityType("mass"), "4,2 kg"),
        (options.QuantityType("mass"), "4.2 mm"),
        (options.DesignationType(), "III/8"),
        (options.DesignationType(), "three"),
        (options.WhenType(), "24.11.2026"),
        (options.WhenType(), "tomorrow"),
        (options.TextType(5), "six666"),
        (options.TextType(), "a\x00b"),
    ],
)
def test_what_cannot_be_read_is_refused_by_our_own_errors(
    kind: click.ParamType[object], typed_text: str
) -> None:
    with pytest.raises(Unreadable) as refused:
        kind.convert(typed_text, None, None)
    assert refused.value.remedy


def test_a_quantity_is_read_in_its_dimension() -> None:
    assert str(options.QuantityType("length").convert('3/16"', None, None)) == "3/16 in"


def test_today_and_yesterday_are_days_of_the_wall_s_clock() -> None:
    days = [
        datetime.date.fromisoformat(options.WhenType().read(word))
        for word in ("Today", "yesterday")
    ]
    assert days[0] - days[1] == datetime.timedelta(days=1)
    assert abs(datetime.datetime.now().astimezone().date() - days[0]) <= datetime.timedelta(days=1)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_by_our_own_errors(text: str) -> None:
    kinds: list[click.ParamType[object]] = [
        options.CodeType("M"), options.CodeType(), options.CodesType(), options.TextType(50),
        options.QuantityType("length"), options.DesignationType(), options.WhenType(),
    ]  # fmt: skip
    for kind in kinds:
        with suppress(Unreadable):
            kind.convert(text, None, None)


def test_codes_named_twice_over_several_words_are_refused(call: Call) -> None:
    result = call("wax", "judge", "W-0001..W-0003", "W-0002", "--accept")
    assert result.exit_code == 2
    assert "W-0002 is named twice." in result.stderr


def test_values_that_nobody_completes_offer_nothing() -> None:
    context = click.Context(click.Command("x"))
    param = click.Option(["--when"])
    assert options.WhenType().shell_complete(context, param, "20") == []
