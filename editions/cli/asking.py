"""Asking for what is missing: on a terminal with the likely answer, else a refusal that names it.

Ask before a writing is opened: nothing waits for an answer while it holds the lock::

    mold = ask(desk, mold, "Which mold", likely="M-0003", option="MOLD")

A question answered wrongly is asked again with the reason; Enter takes the likely answer.
Everything is said on stderr, so that stdout stays data.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, overload

import click

from editions.cli.desk import Desk
from editions.errors import BronzebookError, FileUnusable, KeyUnusable, Unreadable

T = TypeVar("T")

PASSPHRASE = "BRONZEBOOK_PASSPHRASE"  # noqa: S105 - the variable's name
_LONGEST_PASSPHRASE = 4096


@overload
def ask(
    desk: Desk,
    value: str | None,
    question: str,
    likely: str | None = None,
    read: None = None,
    *,
    option: str = "",
) -> str: ...


@overload
def ask(
    desk: Desk,
    value: str | T | None,
    question: str,
    likely: str | None = None,
    read: Callable[[str], T] = ...,
    *,
    option: str = "",
) -> T: ...


def ask(
    desk: Desk,
    value: object,
    question: str,
    likely: str | None = None,
    read: Callable[[str], object] | None = None,
    *,
    option: str = "",
) -> object:
    """The value as given and read, or the answer of the person at the terminal.

    Args:
        desk: Knows whether anyone can be asked.
        value: As given on the command line; text is read, anything else is read already.
        question: A few words, without a question mark: ``Which mold``.
        likely: The answer that Enter gives.
        read: Reads the text; the text itself when absent.
        option: How the value is given on the command line, for the refusal: ``--mold``.

    Raises:
        Unreadable: If the value cannot be read, or is missing and nobody can be asked.
    """
    reader = read or str.strip
    if isinstance(value, str):
        return reader(value)
    if value is not None:
        return value
    if not desk.interactive:
        raise _missing(question, option)
    return _until_read(question, likely, reader)


def confirm(desk: Desk, question: str) -> None:
    """Ask before what cannot be taken back; where nobody can be asked, the command is the word.

    Raises:
        click.Abort: If the answer is no.
    """
    if desk.interactive:
        click.confirm(question, err=True, abort=True)


def passphrase(
    desk: Desk,
    file: Path | None = None,
    *,
    new: bool = False,
    of: str = "the certifying key",
    variable: str = PASSPHRASE,
) -> str:
    """The passphrase of a key: from a file, the environment, or a hidden prompt.

    Args:
        desk: Knows whether anyone can be asked.
        file: Its first line is the passphrase.
        new: A passphrase is being chosen: on a terminal it is asked for twice.
        of: Whose passphrase it is, for the prompt.
        variable: The variable of the environment.

    Raises:
        KeyUnusable: If there is none and nobody can be asked.
        FileUnusable: If the file cannot be read.
    """
    if file is not None:
        return _first_line(file)
    told = os.environ.get(variable)
    if told:
        return told
    if not desk.interactive:
        raise KeyUnusable(
            f"The passphrase of {of} is missing.",
            f"Give --passphrase-file FILE, set {variable}, or run this on a terminal.",
        )
    words = f"A passphrase for {of}" if new else f"Passphrase of {of}"
    return str(click.prompt(words, hide_input=True, confirmation_prompt=new, err=True))


def _first_line(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            data = opened.read(_LONGEST_PASSPHRASE)
        return data.decode().split("\n", 1)[0].rstrip("\r")
    except (OSError, UnicodeDecodeError):
        raise FileUnusable(
            f"The passphrase file {file} cannot be read.", "Check its path and permissions."
        ) from None


def _missing(question: str, option: str) -> Unreadable:
    named = f"{option} is missing" if option else "A value is missing"
    context = click.get_current_context(silent=True)
    where = f"see: {context.command_path} --help" if context else "see --help for how"
    return Unreadable(f"{named}: {question}?", f"Give it; {where}.")


def _until_read(question: str, likely: str | None, read: Callable[[str], object]) -> object:
    while True:
        answer = click.prompt(question, default=likely, err=True)
        try:
            return read(answer)
        except BronzebookError as fault:
            click.echo(f"  {fault}", err=True)
