"""``bronzebook mark``: marks as they are found on the metal."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.photo import keep, prepare


@click.group()
def command() -> None:
    """Record a mark as it is found on the metal."""


@command.command()
@click.argument("piece", type=options.CodeType("P"))
@click.argument("text", type=options.TextType(120))
@click.option("--place", type=options.TextType(), default="", help="Where on the piece.")
@click.option("--method", type=options.TextType(), default="", help="stamped, cold cut, cast in.")
@click.option("--number", type=options.DesignationType(), help="The number in it, if it says more.")
@click.option("--photo", type=click.Path(path_type=Path), help="A photograph of it.")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def add(
    desk: Desk, /, piece: str, text: str, photo: Path | None, as_json: bool, **said: Any
) -> None:
    """Record that PIECE bears the mark TEXT, as it stands in the metal."""
    from editions.registry.acts.marks import record_mark
    from editions.registry.acts.photographs import file_photograph

    with desk.reading() as reading:
        reading.resolve(piece)
    taken = keep(desk, prepare(photo)) if photo else None
    digest = taken.derivative_digest if taken else None
    with desk.writing() as w:
        made = [record_mark(w, piece, text, photograph=digest, **said)]
        if taken and digest:
            caption = f"mark {text}"
            made.append(
                file_photograph(
                    w, piece, digest, taken.original_digest, caption=caption, on=said["on"]
                )
            )
    output.entered(desk, as_json, *made, detail=f"{piece} {text}")
