"""The day sheet at work: written, checked as often as one likes, sealed once, all or nothing."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from editions.cli import bronzebook, daysheet
from editions.cli.sheet import RECORDING
from editions.ledger.envelope import Entry, decode
from editions.registry import Registry
from tests.cli.conftest import Call, Shop, Shown

Write = Callable[..., str]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a sheet of these lines and return its path."""

    def make(*lines: str, name: str = "day.txt") -> str:
        path = tmp_path / name
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return str(path)

    return make


def _size(registry: Registry) -> int:
    with registry.reading() as reading:
        return reading.size


def _entries(registry: Registry, code: str) -> list[Entry]:
    with registry.reading() as reading:
        return [decode(stored.raw) for stored, _ in reading.history(code)]


def test_a_new_sheet_is_of_today_and_never_written_over(
    call: Call, tmp_path: Path, registry: Registry, shop: Shop
) -> None:
    path = tmp_path / "day.txt"
    result = call("sheet", "new", str(path))
    assert (result.exit_code, result.stdout) == (0, "")
    sheet = daysheet.read_sheet(path.read_bytes())
    with registry.writing(rehearse=True) as writing:
        assert sheet.on == writing.today
    assert sheet.name
    before = path.read_bytes()
    again = call("sheet", "new", str(path))
    assert again.exit_code == 10
    assert "is there already" in again.stderr
    assert path.read_bytes() == before


def test_a_new_sheet_names_whoever_records(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "day.txt"
    call("--by", "y-0001", "sheet", "new", str(path))
    assert daysheet.read_sheet(path.read_bytes()).by == "Y-0001"


def test_the_examples_of_a_new_sheet_are_commands_that_there_are() -> None:
    root = click.Context(bronzebook, info_name="bronzebook")
    text = daysheet.template("2026-11-24", None, "0" * 32, "day.txt")
    examples = [row[2:] for row in text.splitlines() if row[2:].split(" ")[0] in RECORDING]
    assert len(examples) == 5
    for example in examples:
        name, *words = shlex.split(example)
        command = bronzebook.get_command(root, name)
        assert command is not None
        if isinstance(command, click.Group):
            _, command, words = command.resolve_command(root, words)
            assert command is not None
        command.make_context(name, words, parent=root)


def test_checking_writes_nothing_and_shows_what_would_be_entered(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    before = _size(registry)
    file = write("step shelled T-0103 --coat 1", "", "step shelled T-0103 --coat 2  # again")
    for _ in range(2):
        result = call("sheet", "check", file)
        assert result.exit_code == 0, result.stderr
        assert [row.split("\t")[:3] for row in result.stdout.splitlines()] == [
            ["1", shop.started, "step done"],
            ["3", shop.started, "step done"],
        ]
        written = [row.split("\t")[4] for row in result.stdout.splitlines()]
        assert written == ["step shelled T-0103 --coat 1", "step shelled T-0103 --coat 2"]
        assert f"none is faulty. Seal it: bronzebook sheet seal {file}" in result.stderr
    assert _size(registry) == before


def test_a_later_line_sees_an_earlier_one_by_the_code_or_tag_it_gave(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    file = write(
        f"piece start {shop.run} --tag T-0900 --code P-0900",
        "step shelled T-0900 --coat 1",
        "step shelled P-0900 --coat 2",
    )
    result = call("sheet", "seal", file)
    assert result.exit_code == 0, result.stderr
    with registry.reading() as reading:
        piece = reading.state("P-0900")
    assert [step.coat for step in piece.steps] == [1, 2]  # type: ignore[union-attr]


def test_a_wax_is_named_by_the_code_that_its_line_gave(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    file = write(
        f'wax pull {shop.mold} --mass "1.2 kg" --code W-0100',
        "wax judge W-0100 --accept",
        f"wax pull {shop.mold}",
        "piece take T-0103 W-0100",
    )
    result = call("sheet", "seal", file)
    assert result.exit_code == 0, result.stderr
    with registry.reading() as reading:
        wax, next_wax = reading.state("W-0100"), reading.state("W-0101")
    assert wax.piece == shop.started  # type: ignore[union-attr]
    assert next_wax.pull == wax.pull + 1  # type: ignore[union-attr]


def test_a_sealed_sheet_is_one_batch_that_names_the_file_and_its_lines(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    file = write(
        "on: 2025-01-02~", "", "by: Y-0001", "step shelled T-0103 --coat 1 --on 2025-01-02"
    )
    sheet = daysheet.read_sheet(Path(file).read_bytes())
    assert call("sheet", "seal", file).exit_code == 6  # before the piece was started
    file = write("by: Y-0001", "", "step shelled T-0103 --coat 1", "step shelled T-0103 --coat 2")
    sheet = daysheet.read_sheet(Path(file).read_bytes())
    assert call("sheet", "seal", file).exit_code == 0
    first, second = _entries(registry, shop.started)[-2:]
    assert first.batch == second.batch == first.id == sheet.batch != second.id
    assert [entry.source for entry in (first, second)] == [
        {"digest": sheet.digest, "row": 3},
        {"digest": sheet.digest, "row": 4},
    ]
    assert first.by == "Y-0001"


def test_the_sheet_s_date_holds_for_lines_that_say_none(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    with registry.writing(rehearse=True) as writing:
        year = writing.today[:4]
    file = write(f"on: {year}", "step shelled T-0103 --coat 1", "step shelled T-0103 --on today")
    result = call("sheet", "seal", file)
    assert result.exit_code == 0, result.stderr
    first, second = _entries(registry, shop.started)[-2:]
    assert first.on == year
    assert second.on == first.at[:10]


def test_every_faulty_line_is_told_with_its_number_and_nothing_is_written(
    call: Call, write: Write, registry: Registry, shop: Shop
) -> None:
    before = _size(registry)
    file = write(
        "step shelled T-0103 --coat 1",
        "step shelled T-0999",
        "step shelled T-0103 --coat 1",
        "step shelled T-0103 --coats 2",
        "step shelled 'T-0103",
        "step shelled T-0103 --coat 2",
        "serve",
    )
    for verb in ("check", "seal"):
        result = call("sheet", verb, file)
        assert result.exit_code == 4
        told = [row for row in result.stderr.splitlines() if row.startswith("line ")]
        assert [row.partition(":")[0] for row in told] == [
            "line 2",
            "line 3",
            "line 4",
            "line 5",
            "line 7",
        ]
        assert "T-0999" in told[0]
        assert "Coat 1" in told[1]
        assert "--coats" in told[2]
        assert "quotation" in told[3]
        assert "not a command of a day sheet" in told[4]
        assert "5 of 7 lines faulty; nothing was written." in result.stderr
        assert result.stdout == ""
        assert _size(registry) == before


def test_faults_are_json_when_asked(call: Call, write: Write) -> None:
    result = call("sheet", "check", write("step shelled T-0999"), "--json")
    assert result.exit_code == 4
    told = json.loads(result.stdout)
    assert [(fault["line"], fault["status"]) for fault in told] == [(1, 4)]
    assert told[0]["message"]
    assert told[0]["remedy"]


def test_a_sheet_s_entries_are_json_when_asked(call: Call, write: Write, shop: Shop) -> None:
    result = call("sheet", "seal", write("step shelled T-0103 --coat 3"), "--json")
    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    assert told[0] | {"remarks": [], "on": ""} == {
        "line": 1, "code": shop.started, "entry": "step done", "on": "", "remarks": [],
    }  # fmt: skip
    assert any("coat" in remark for remark in told[0]["remarks"])
    assert "remark: line 1, T-0103: coats 1 to 2 not recorded" in result.stderr


def test_a_sheet_is_sealed_once(call: Call, write: Write, registry: Registry) -> None:
    file = write("step shelled T-0103 --coat 1")
    assert call("sheet", "seal", file).exit_code == 0
    size = _size(registry)
    for verb in ("check", "seal"):
        result = call("sheet", verb, file)
        assert result.exit_code == 6
        assert "was sealed already" in result.stderr
    assert _size(registry) == size


def test_a_named_sheet_is_sealed_once_however_it_was_edited_since(
    call: Call, tmp_path: Path, registry: Registry
) -> None:
    path = tmp_path / "day.txt"
    call("sheet", "new", str(path))
    with path.open("a") as sheet:
        sheet.write("step shelled T-0103 --coat 1\n")
    assert call("sheet", "seal", str(path)).exit_code == 0
    size = _size(registry)
    with path.open("a") as sheet:
        sheet.write("step shelled T-0103 --coat 2\n")
    result = call("sheet", "seal", str(path))
    assert result.exit_code == 6
    assert "new sheet" in result.stderr
    assert _size(registry) == size


@pytest.mark.parametrize(
    "line",
    [
        "begin elsewhere",
        "sheet seal day.txt",
        "import old.csv",
        "certify P-0001",
        "verify 3/8",
        "photo add P-0001 a.jpg",
        "nonsense",
    ],
)
def test_only_recording_commands_stand_in_a_sheet(call: Call, write: Write, line: str) -> None:
    result = call("sheet", "check", write(line))
    assert result.exit_code == 2
    assert "not a command of a day sheet" in result.stderr


@pytest.mark.parametrize("line", ["step --help", "step shelled --help"])
def test_a_line_that_records_nothing_is_a_fault(call: Call, write: Write, line: str) -> None:
    result = call("sheet", "check", write(line))
    assert result.exit_code == 2
    assert "records nothing" in result.stderr


def test_an_unknown_recorder_in_the_header_is_refused(call: Call, write: Write) -> None:
    result = call("sheet", "check", write("by: Y-0999", "step shelled T-0103"))
    assert result.exit_code == 4
    assert "Y-0999" in result.stderr


@pytest.mark.parametrize(
    ("lines", "status", "words"),
    [
        ([], 9, "holds no line of work"),
        (["# nothing yet"], 9, "holds no line of work"),
    ],
)
def test_an_empty_sheet_is_refused(
    call: Call, write: Write, lines: list[str], status: int, words: str
) -> None:
    result = call("sheet", "check", write(*lines))
    assert result.exit_code == status
    assert words in result.stderr


def test_a_sheet_that_is_not_there_or_a_folder_is_refused(call: Call, tmp_path: Path) -> None:
    assert call("sheet", "check", str(tmp_path / "none.txt")).exit_code == 10
    assert call("sheet", "check", str(tmp_path)).exit_code == 10


def test_a_sheet_comes_on_stdin(call: Call, shop: Shop) -> None:
    result = call("sheet", "check", "-", input="step shelled T-0103 --coat 1\n")
    assert result.exit_code == 0, result.stderr
    assert shop.started in result.stdout


def test_nobody_is_asked_in_a_sheet_even_on_a_terminal(
    at_terminal: Callable[..., Shown], write: Write
) -> None:
    shown = at_terminal("sheet", "check", write("approve T-0102 colour"), answers="Y-0002\n\n\n")
    assert shown.status == 2
    assert "line 1: " in shown.text


def test_on_a_terminal_a_checked_sheet_is_a_table(
    at_terminal: Callable[..., Shown], write: Write, shop: Shop
) -> None:
    shown = at_terminal("sheet", "check", write("step shelled T-0103 --how 'not recorded'"))
    assert shown.status == 0, shown.text
    heading, row = shown.text.splitlines()[-3:-1]
    assert "code" in heading
    assert heading.index("entry") > heading.index("code")
    assert shop.started in row


def test_a_caution_is_said_once_for_a_whole_sheet(call: Call, write: Write) -> None:
    recipe = 'recipe write {} --layer "ferric nitrate; 5%; stippled; torch"'
    file = write(recipe.format("Russet"), recipe.format("Umber"), "step shelled T-0103")
    assert "caution: " not in call("sheet", "check", file).stderr
    sealed = call("sheet", "seal", file)
    assert sealed.exit_code == 0
    assert sealed.stderr.count("caution: ") == 1
    assert sealed.stderr.rstrip().splitlines()[-1].startswith("caution: Acids and salts")
