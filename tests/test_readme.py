"""README.md tells the truth: its session and its ten lines of library are run as they stand.

In the session ``…`` alone on a line stands for any lines, and within a line for any text.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner

from editions.cli import bronzebook

README = (Path(__file__).parents[1] / "README.md").read_text()
ANY = "…"


class Typed(NamedTuple):
    """A command of the session, and what is printed below it."""

    line: str
    printed: list[str]


def block(mark: str) -> str:
    """The one fenced block that follows a mark."""
    found = re.search(rf"<!-- {mark} -->\n```\w*\n(.*?)```", README, re.DOTALL)
    assert found, f"README.md has no block {mark}"
    return found[1]


def session() -> list[Typed]:
    """The session, command by command."""
    typed: list[Typed] = []
    for line in block("session").splitlines():
        if line.startswith("$ "):
            typed.append(Typed(line[2:], []))
        else:
            typed[-1].printed.append(line)
    return typed


def agrees(printed: list[str], shown: list[str]) -> bool:
    """Whether what was printed is what README.md shows."""
    pattern = "".join(
        r"(?:.*\n)*" if line == ANY else ".*".join(map(re.escape, line.split(ANY))) + r"\n"
        for line in shown
    )
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in printed)) is not None


def answer(line: str) -> str:
    """What a line prints: of the command line, called here; of anything else, by the shell."""
    words = shlex.split(line)
    if words[0] == "bronzebook" and not set(line) & set("|&;<>$`*"):
        done = CliRunner().invoke(bronzebook, words[1:])
        assert done.exception is None or isinstance(done.exception, SystemExit), done.output
        return done.output
    shell = subprocess.run(
        ["/bin/sh", "-c", line],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return shell.stdout


def test_the_session_goes_as_it_is_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", f"{Path(sys.executable).parent}:{os.environ['PATH']}")
    monkeypatch.setenv("BRONZEBOOK_PASSPHRASE", "plaster and shellac")
    for typed in session():
        if typed.line.startswith("export "):
            name, _, value = typed.line.removeprefix("export ").partition("=")
            monkeypatch.setenv(name, value)
            continue
        printed = answer(typed.line)
        assert agrees(printed.splitlines(), typed.printed), f"{typed.line}\n{printed}"
        assert "Traceback" not in printed


def test_the_lines_of_library_run(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", block("library")], cwd=tmp_path, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def test_readme_opens_with_one_paragraph_and_the_two_lines() -> None:
    title, job, *_ = README.split("\n\n")
    assert title == "# bronzebook"
    assert not job.startswith(("#", "<", "```"))
    assert block("demo").count("\n") == block("tests").count("\n") == 1
