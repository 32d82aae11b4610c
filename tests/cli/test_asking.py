"""Prompts: asked on a terminal, with the likely answer; elsewhere refused by the option's name."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import click
import pytest

from editions.cli import asking
from editions.cli.desk import Desk
from editions.errors import FileUnusable, KeyUnusable, Unreadable
from editions.registry import open_registry
from editions.trade.quantities import Quantity, read_quantity
from tests.cli.conftest import Call, Shown, Typed
from tests.helpers.children import INTERRUPTIBLE


def _mass(text: str) -> Quantity:
    return read_quantity(text, "mass")


def test_what_was_given_is_read_and_nobody_asked() -> None:
    assert asking.ask(Desk(), " M-0001 ", "Which mold") == "M-0001"
    assert str(asking.ask(Desk(), "4,2 kg".replace(",", "."), "How heavy", read=_mass)) == "4.2 kg"
    read = _mass("1 kg")
    assert asking.ask(Desk(), read, "How heavy", read=_mass) is read


def test_what_was_given_wrongly_is_refused_not_asked_again() -> None:
    with pytest.raises(Unreadable):
        asking.ask(Desk(), "heavy", "How heavy", read=_mass)


def test_what_is_missing_is_refused_by_its_option_where_nobody_sits() -> None:
    with pytest.raises(Unreadable, match=r"--mold is missing: Which mold\?"):
        asking.ask(Desk(), None, "Which mold", option="--mold")
    with pytest.raises(Unreadable, match=r"A value is missing: Which mold\?"):
        asking.ask(Desk(), None, "Which mold")


def test_enter_takes_the_likely_answer(typed: Typed) -> None:
    with typed("\n") as shown:
        assert asking.ask(Desk(), None, "Which mold", likely="M-0003") == "M-0003"
    assert shown() == "Which mold [M-0003]: "


def test_a_wrong_answer_is_explained_and_asked_again(typed: Typed) -> None:
    with typed("heavy\n4.2 kg\n") as shown:
        assert asking.ask(Desk(), None, "How heavy", read=_mass).value == "4.2"
    assert shown().count("How heavy: ") == 2
    assert "heavy" in shown().splitlines()[1]


def test_the_end_of_the_input_stops(typed: Typed) -> None:
    with typed("\x04"), pytest.raises(click.Abort):
        asking.ask(Desk(), None, "Which mold")


@pytest.mark.parametrize(("answer", "goes_on"), [("y\n", True), ("n\n", False), ("\n", False)])
def test_what_cannot_be_taken_back_is_asked_on_a_terminal(
    typed: Typed, answer: str, *, goes_on: bool
) -> None:
    with typed(answer):
        if goes_on:
            asking.confirm(Desk(), "Destroy it")
        else:
            with pytest.raises(click.Abort):
                asking.confirm(Desk(), "Destroy it")


def test_where_nobody_sits_the_command_is_the_word() -> None:
    asking.confirm(Desk(), "Destroy it")


def test_the_passphrase_comes_from_a_file_before_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "secret"
    file.write_text("lost wax, found bronze\r\nsecond line\n")
    monkeypatch.setenv(asking.PASSPHRASE, "from the environment")
    assert asking.passphrase(Desk(), file) == "lost wax, found bronze"
    assert asking.passphrase(Desk()) == "from the environment"


def test_a_passphrase_file_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileUnusable):
        asking.passphrase(Desk(), tmp_path / "none")
    (tmp_path / "bytes").write_bytes(b"\xff\xfe")
    with pytest.raises(FileUnusable):
        asking.passphrase(Desk(), tmp_path / "bytes")


def test_a_missing_passphrase_says_the_three_ways_to_give_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv(asking.PASSPHRASE, raising=False)
    with pytest.raises(KeyUnusable) as refused:
        asking.passphrase(Desk())
    assert "--passphrase-file" in refused.value.remedy
    assert asking.PASSPHRASE in refused.value.remedy


def _converse(words: list[str], answers: list[tuple[str, str]], folder: Path) -> tuple[str, int]:
    """Run the command line on a terminal of its own, answering each question as it comes.

    The answer "^C" interrupts instead.
    """
    master, terminal = pty.openpty()
    child = subprocess.Popen(
        [*INTERRUPTIBLE, *words],
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        start_new_session=True,
    )
    os.close(terminal)
    shown = ""
    for question, answer in answers:
        while question not in shown:
            shown += os.read(master, 4096).decode()
        if answer == "^C":
            _interrupt(child)
        else:
            os.write(master, f"{answer}\n".encode())
    while part := _more(master):
        shown += part
    os.close(master)
    return shown, child.wait()


def _interrupt(child: subprocess.Popen[bytes]) -> None:
    # A signal that comes just before the prompt begins to wait is only seen at the next one.
    for _ in range(10):
        child.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            child.wait(timeout=3)
            return


def _more(terminal: int) -> str:
    try:
        return os.read(terminal, 4096).decode(errors="replace")
    except OSError:
        return ""


def test_beginning_asks_for_what_it_needs_and_hides_the_passphrase(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(asking.PASSPHRASE, raising=False)
    shown, status = _converse(
        ["begin", "book"],
        [
            ("The foundry's name", "Kiln Lane Bronze"),
            ("Its town", "Harrow"),
            ("Public address", "https://book.kilnlane.example"),
            ("A passphrase", "lost wax, found bronze"),
            ("Repeat", "lost wax, found bronze"),
        ],
        tmp_path,
    )
    assert status == 0, shown
    assert "lost wax" not in shown
    registry = open_registry(tmp_path / "book")
    with registry.reading() as reading:
        book = reading.book
    registry.certifying_key("lost wax, found bronze")
    registry.close()
    assert (book.foundry_name, book.foundry_place) == ("Kiln Lane Bronze", "Harrow")


def test_interrupting_a_prompt_writes_nothing(tmp_path: Path) -> None:
    shown, status = _converse(["begin", "book"], [("The foundry's name", "^C")], tmp_path)
    assert status == 130
    assert "Stopped; nothing was written." in shown
    assert not (tmp_path / "book").exists()


def test_begin_without_a_terminal_names_what_is_missing(call: Call, tmp_path: Path) -> None:
    result = call("begin", str(tmp_path / "new"))
    assert result.exit_code == 2
    assert "--foundry is missing" in result.stderr


def test_answers_are_asked_on_stderr_so_that_stdout_stays_data(
    at_terminal: Callable[..., Shown],
) -> None:
    shown = at_terminal("approve", "T-0101", "metal", answers="\n\n\n\n")
    assert shown.status == 0, shown.text
    assert "[" in shown.text
