"""The door: every error in a line or two, with the exit status that is its own."""

from __future__ import annotations

import errno
import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from editions import errors
from editions.cli import commands, door
from tests.cli.conftest import Call, Shown

STATUSES = [
    (errors.Unreadable, 2),
    (errors.Contradiction, 3),
    (errors.NotKnown, 4),
    (errors.StandingUnchecked, 5),
    (errors.Refused, 6),
    (errors.RegistryUnusable, 7),
    (errors.KeyUnusable, 8),
    (errors.FileUnusable, 9),
    (errors.MachineRefused, 10),
]


def _raise(fault: BaseException) -> Callable[[], object]:
    def run() -> object:
        raise fault

    return run


@pytest.mark.parametrize(("error", "status"), STATUSES)
def test_an_error_is_two_lines_on_stderr_and_its_own_status(
    error: type[errors.BronzebookError], status: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert door.through(_raise(error("What is wrong.", "What to do."))) == status
    said = capsys.readouterr()
    assert said.err == "What is wrong.\nWhat to do.\n"
    assert said.out == ""


def test_an_error_without_a_remedy_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    door.through(_raise(errors.Refused("No.")))
    assert capsys.readouterr().err == "No.\n"


def test_what_was_typed_cannot_move_the_cursor_or_break_the_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    door.through(_raise(errors.Unreadable("a\x1b[2Jb\nc\ud800d\u202e")))
    said = capsys.readouterr().err
    assert said == "a\ufffd[2Jb c\ufffdd\ufffd\n"


def test_an_endless_message_is_cut(capsys: pytest.CaptureFixture[str]) -> None:
    door.through(_raise(errors.Unreadable("x" * 1_000_000)))
    assert len(capsys.readouterr().err) == 402


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "The disk is full: /book/registry.db."),
        (errno.EACCES, "Permission was denied: /book/registry.db."),
        (errno.EROFS, "That disk is read-only: /book/registry.db."),
    ],
)
def test_the_machine_s_refusals_are_put_in_plain_words(
    number: int, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    fault = OSError(number, os.strerror(number), "/book/registry.db")
    assert door.through(_raise(fault)) == 10
    message, remedy = capsys.readouterr().err.splitlines()
    assert message == words
    assert remedy


def test_a_refusal_nobody_foresaw_keeps_the_machine_s_own_words() -> None:
    assert door.machine(OSError(errno.EXDEV, "Invalid cross-device link")).message == (
        "Invalid cross-device link."
    )
    assert door.machine(OSError("odd")).message == "odd."


@pytest.mark.parametrize("fault", [KeyboardInterrupt(), click.Abort()])
def test_a_stop_says_that_nothing_was_written(
    fault: BaseException, capsys: pytest.CaptureFixture[str]
) -> None:
    assert door.through(_raise(fault)) == 130
    assert capsys.readouterr().err == "Stopped; nothing was written.\n"


def test_a_command_s_own_status_is_kept() -> None:
    assert door.through(lambda: 5) == 5
    assert door.through(lambda: None) == 0


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["molds"], "No command is called 'molds'. Did you mean mold or model?"),
        (["zzz"], "No such command 'zzz'."),
        (["piece", "strat"], "No such command 'strat'. Did you mean scrap or start?"),
        (["sheet", "chek"], "No such command 'chek'. Did you mean 'check'?"),
        (
            ["run", "declare", "K-0001", "--sise", "8"],
            "No such option '--sise'. Did you mean --promise, --signer or --size?",
        ),
        (["--nonsense"], "No such option '--nonsense'."),
        (["show"], "Missing argument 'CODE...'."),
        (["find", "x", "--json=1"], "Option '--json' does not take a value."),
    ],
)
def test_wrong_use_is_two_lines_and_status_2(call: Call, words: list[str], message: str) -> None:
    result = call(*words)
    assert result.exit_code == 2
    assert result.stdout == ""
    lines = result.stderr.splitlines()
    assert lines[0] == message
    assert lines[1].startswith("See: bronzebook")


def test_no_command_at_all_shows_the_help_on_stderr(call: Call) -> None:
    result = call()
    assert result.exit_code == 2
    assert "On the foundry floor" in result.stderr


def test_help_groups_the_commands_by_who_uses_them(call: Call) -> None:
    result = call("--help")
    assert result.exit_code == 0
    places = [result.stdout.index(title) for title in commands.SECTIONS]
    assert places == sorted(places)
    assert all(f"\n  {name} " in result.stdout for name in commands.names())


def test_the_help_fits_eighty_columns_with_a_line_a_command(call: Call) -> None:
    lines = call("--help").stdout.splitlines()
    assert max(map(len, lines)) <= 80
    listed = "\n".join(lines).partition("On the foundry floor")[2].splitlines()
    begun = [line for line in listed if line[2:].split(" ")[0] in commands.names()]
    assert len(begun) == len(commands.names())
    assert all(line.endswith(".") for line in begun)


def test_the_version_is_the_distribution_s(call: Call) -> None:
    from importlib.metadata import version

    assert call("--version").stdout == f"bronzebook {version('bronzebook')}\n"


@pytest.mark.parametrize("name", commands.names())
def test_every_command_of_the_table_is_there_and_helps(call: Call, name: str) -> None:
    result = call(name, "--help")
    assert result.exit_code == 0, result.stderr
    assert result.stdout.startswith(f"Usage: bronzebook {name}")


def test_an_unnamed_registry_says_how_to_name_one(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BRONZEBOOK_REGISTRY")
    monkeypatch.chdir(tmp_path)
    result = call("waiting")
    assert result.exit_code == 7
    assert "BRONZEBOOK_REGISTRY" in result.stderr


@pytest.mark.sqlite
def test_the_registry_in_this_folder_is_the_default(
    call: Call, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BRONZEBOOK_REGISTRY")
    monkeypatch.chdir(book)
    assert call("show", "BOOK").exit_code == 0


def test_a_recorder_who_is_not_in_the_book_is_refused(call: Call) -> None:
    result = call("--by", "Y-0999", "step", "shelled", "T-0103")
    assert result.exit_code == 4
    assert "Y-0999" in result.stderr


def _run(code: str, *words: str, **options: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # type: ignore[call-overload, no-any-return]
        [sys.executable, "-c", code, *words],
        check=False,
        capture_output=True,
        text=True,
        **options,
    )


HEAVY = {
    "alembic", "cbor2", "cryptography", "flask", "jinja2", "msgspec", "pikepdf", "PIL",
    "qrcode", "reportlab", "rich", "sqlalchemy", "waitress", "zxingcpp",
}  # fmt: skip

_IMPORTS = """
import sys
from editions.cli import main
try:
    main()
except SystemExit:
    pass
print(*sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


def test_help_imports_nothing_heavy() -> None:
    done = _run(_IMPORTS, "--help")
    assert "On the foundry floor" in done.stdout
    assert not HEAVY & set(done.stderr.split())


def test_help_takes_no_more_modules_than_click_and_a_few(call: Call) -> None:
    own = _run(_IMPORTS, "--help").stderr.split()
    editions = _run(
        "import sys, editions.cli; print(*[m for m in sys.modules if m.startswith('editions')])"
    )
    assert len(own) < 160
    assert set(editions.stdout.split()) == {
        "editions",
        "editions.cli",
        "editions.cli.commands",
        "editions.cli.desk",
        "editions.cli.door",
        "editions.cli.options",
        "editions.errors",
        "editions.trade",
        "editions.trade.spelling",
    }


def test_a_closed_pipe_is_no_error_to_speak_of(where: str) -> None:
    code = "from editions.cli import main; main()"
    show = subprocess.Popen(
        [sys.executable, "-c", code, "--registry", where, "show", "BOOK"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert show.stdout is not None
    assert show.stderr is not None
    show.stdout.close()
    show.wait()
    with show.stderr as said:
        assert said.read() == b""


def test_a_name_in_any_script_is_printed_where_the_terminal_has_no_such_letters() -> None:
    code = "from editions.cli import door; door.speak_any_script(); print('Ждан 北')"
    done = _run(code, env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 0
    assert done.stdout == "\\u0416\\u0434\\u0430\\u043d \\u5317\n"


def test_what_a_terminal_cannot_write_is_escaped_on_its_own_streams(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    written = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(written, encoding="ascii"))
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    door.speak_any_script()
    sys.stdout.write("1090 °C")
    sys.stdout.flush()
    assert written.getvalue() == b"1090 \\xb0C"


def test_the_help_is_calm_on_a_terminal(at_terminal: Callable[..., Shown]) -> None:
    shown = at_terminal("show", "--help")
    assert shown.status == 0
    assert "\x1b[" not in shown.text


def test_help_names_every_exit_status(call: Call) -> None:
    said = " ".join(call("--help").stdout.split())
    for status in ("0 done", "2 wrong use", "4 not known", "6 refused by a rule", "130 stopped"):
        assert status in said


@pytest.mark.parametrize("noun", ["piece", "sheet", "heat", "mold", "wax", "run", "number", "key"])
def test_a_nouns_help_cuts_none_of_its_commands_short(call: Call, noun: str) -> None:
    said = call(noun, "--help").stdout
    assert "Commands:" in said
    assert "..." not in said.partition("Commands:")[2]
