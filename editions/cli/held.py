"""``bronzebook held``: erase one held field, open one to a person, check an opening."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.asking import ask, confirm
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType, read_bytes
from editions.errors import FileUnusable

if TYPE_CHECKING:
    from certificates.keyfile import PublicKeyEntry
    from certificates.opening import OpeningVerdict

_BECAUSE = ("request", "court order", "error", "duty ended")
_LARGEST = 5_000_000
_LONGEST_KEYS = 65_536

_LAST = {
    3: "Something contradicts. Do not rely on this opening before the foundry has explained it.",
    4: "It is not proved: no key of this book is among those given.",
    5: "These words were sealed in that entry when it was recorded; whether they are true, and"
    " whether they were corrected since, no file can say.",
}
_ELSEWHERE = (
    "Day sheets, imported files, openings handed out and copies made by others are not known here:"
    " look after them too."
)
_POSTGRESQL = (
    "The server's write-ahead log, archives, replicas and backups are its keeper's: ask for those."
)


@click.group()
def command() -> None:
    """Erase one held field, open one to a person, check an opening."""


@command.command()
@click.argument("entry", type=options.TextType(120))
@click.argument("field", type=options.TextType(64))
@click.option(
    "--authority",
    type=options.TextType(120),
    help="Who may ask for it: a party's code, or an office and its paper. Open: name no person.",
)
@click.option(
    "--because", type=ChoiceType(_BECAUSE, "reason to erase"), help="The reason in a word; open."
)
@click.option("--reason", type=options.TextType(), help="The story; held, never published.")
@click.option("--no-duty", is_flag=True, help="No duty to keep it applies; --reason says why.")
@options.json_option
@pass_desk
def erase(
    desk: Desk,
    entry: str,
    field: str,
    authority: str | None,
    because: str | None,
    reason: str | None,
    no_duty: bool,
    as_json: bool,
) -> None:
    """Erase the held FIELD of ENTRY for good: erase 'P-0003#4' to --authority Y-0007 ….

    ENTRY is named as for `correct`. What corrections restated of the field goes with it. The entry
    keeps its digest, so the book proves as before; the erasing is itself an entry. What the law
    asks to keep is looked up first, in a checklist that is not legal advice.
    """
    from editions.registry.held import erase_held

    authority = ask(desk, authority, "On whose authority", option="--authority")
    because = ask(desk, because, "Because", option="--because")
    confirm(desk, f"Erase {field} of {entry} for good")
    made = erase_held(
        desk.registry,
        entry,
        field,
        authority=authority,
        because=because,
        reason=reason,
        no_duty=no_duty,
        by=desk.by,
    )
    output.entered(desk, as_json, made.entered, detail=f"{entry} {field}")
    _copies(desk, made.backups)


@command.command()
@pass_desk
def clear(desk: Desk) -> None:
    """Clear the database's files of what was erased, if others were reading at the time."""
    from editions.registry.held import clear_erased

    copies = clear_erased(desk.registry)
    output.say("The files hold nothing of what was erased.")
    _copies(desk, copies)


@command.command("open")
@click.argument("entry", type=options.TextType(120))
@click.argument("field", type=options.TextType(64))
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    required=True,
    help="The file to write.",
)
@pass_desk
def open_(desk: Desk, entry: str, field: str, to: Path) -> None:
    """Write one held FIELD of ENTRY to a file that anyone can check against the book.

    The file holds the words: give it only to whom they are meant for.
    """
    from editions.registry.held import open_held
    from editions.store.files import write_once

    made = open_held(desk.registry, entry, field)
    write_once(to, made.opening.to_bytes(), mode=0o600)
    output.line(str(to))
    for leaf in made.restated:
        output.remarked(f"corrected since; to open that too: held open {leaf[:16]} held_value")
    output.say(f"Whoever has it checks it by: bronzebook held check {to.name}")


@command.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--key",
    "key_file",
    type=click.Path(path_type=Path),
    help="A file of the foundry's public keys; else the key in the file, which proves less.",
)
@options.json_option
@click.pass_context
def check(ctx: click.Context, file: Path, key_file: Path | None, as_json: bool) -> None:
    """Check an opening, without a registry, and say what each check found.

    Exit status: 3 something contradicts; 4 no key of this book was given; 5 it proves itself.
    """
    from certificates.opening import check_opening

    verdict = check_opening(read_bytes(file, _LARGEST), _keys(key_file))
    if as_json:
        import msgspec

        output.print_json(msgspec.to_builtins(verdict))
    else:
        _print(verdict)
    ctx.exit(verdict.status)


def _copies(desk: Desk, copies: tuple[Path, ...]) -> None:
    """Say where the text still lies."""
    for copy in copies:
        output.say(f"a backup made earlier still holds it: {copy}")
    output.say(_ELSEWHERE)
    if desk.registry.engine.dialect.name == "postgresql":
        output.say(_POSTGRESQL)


def _keys(key_file: Path | None) -> tuple[PublicKeyEntry, ...]:
    from certificates.keyfile import read_keys

    if key_file is None:
        return ()
    try:
        return read_keys(read_bytes(key_file, _LONGEST_KEYS).decode())
    except UnicodeDecodeError:
        raise FileUnusable(
            f"{key_file} is not a file of keys.", "Ask the foundry for it."
        ) from None


def _print(verdict: OpeningVerdict) -> None:
    output.heading(verdict.subject, "one held field, opened")
    output.record(_says(verdict))
    rows = [(one.result, one.name, one.says) for one in verdict.checks]
    output.block("checks", rows, ("result", "what", "reason"))
    output.say("")
    output.say(_LAST[verdict.status])


def _says(verdict: OpeningVerdict) -> tuple[tuple[str, Any], ...]:
    value = "nothing was said" if verdict.value is None else verdict.value
    return (
        ("book", verdict.book),
        ("entry", verdict.kind.replace("_", " ")),
        ("happened", verdict.on),
        ("recorded", verdict.recorded),
        (verdict.field.replace("_", " "), value),
    )
