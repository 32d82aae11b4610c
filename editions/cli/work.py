"""``bronzebook work``: enter a work."""

from __future__ import annotations

from typing import Any

import click

from editions.cli import likely, options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk


@click.group()
def command() -> None:
    """Enter a work."""


@command.command()
@click.argument("artist", required=False, type=options.CodeType("Y"))
@click.argument("title", required=False, type=options.TextType(120))
@click.option(
    "--also", "other_titles", multiple=True, metavar="TITLE", help="Another title; may repeat."
)
@click.option("--year", type=options.WhenType(), help="When it was made: 2019, 2018/2019.")
@options.code_option("K")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def add(desk: Desk, /, artist: str | None, title: str | None, as_json: bool, **said: Any) -> None:
    """Enter the work TITLE of ARTIST: add Y-0002 "Heron, standing"."""
    from editions.registry.acts.works import enter_work

    artist = likely.code(desk, artist, "Y", "Which artist", "ARTIST", role="artist")
    title = ask(desk, title, "Under which title", option="TITLE")
    with desk.writing() as w:
        made = enter_work(w, artist, title, **said)
    output.entered(desk, as_json, made, detail=title)
