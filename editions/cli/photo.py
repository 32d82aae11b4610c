"""``bronzebook photo``: photographs, kept beside the registry and filed with what they show."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import read_bytes
from editions.errors import FileUnusable

if TYPE_CHECKING:
    from editions.store.photographs import Intake, Prepared


@click.group()
def command() -> None:
    """File a photograph with anything that has a code."""


@command.command()
@click.argument("code", type=options.CodeType())
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--caption", type=options.TextType(), default="", help="What it shows.")
@options.on_option
@options.json_option
@pass_desk
def add(
    desk: Desk,
    code: str,
    files: tuple[Path, ...],
    caption: str,
    on: str | None,
    as_json: bool,
) -> None:
    """File photographs with CODE: a piece, a mold, a model, a mark of it, anything.

    The original is kept untouched; what may be published is a smaller copy with nothing in it but
    the picture.
    """
    from editions.registry.acts.photographs import file_photograph

    with desk.reading() as reading:
        reading.resolve(code)
    taken = [keep(desk, prepared) for prepared in [prepare(file) for file in files]]
    with desk.writing() as w:
        made = [
            file_photograph(
                w, code, one.derivative_digest, one.original_digest, caption=caption, on=on
            )
            for one in taken
        ]
    told = [
        f"{file.name}, {one.width} × {one.height}" for file, one in zip(files, taken, strict=True)
    ]
    output.entered(desk, as_json, *made, detail=told)


def prepare(file: Path) -> Prepared:
    """A photograph judged and made smaller; nothing is written yet.

    Raises:
        FileUnusable: If it is no photograph, cut short, or too large; the file is named.
    """
    from editions.store import photographs
    from editions.trade.text import shown

    data = read_bytes(file, photographs.BYTES_LIMIT)
    try:
        return photographs.prepare(data)
    except FileUnusable as fault:
        raise FileUnusable(f"{shown(str(file), 200)}: {fault.message}", fault.remedy) from fault


def keep(desk: Desk, prepared: Prepared) -> Intake:
    """Both files written beside the registry, before anything is entered.

    Raises:
        MachineRefused: If there is no room, or no permission.
    """
    from editions.store import photographs

    return photographs.keep(desk.registry.home.photographs, prepared)
