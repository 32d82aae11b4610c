"""``bronzebook colour``: the colour laid on a piece, and how it differed from its recipe."""

from __future__ import annotations

from typing import Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import CountType, pieces_argument


@click.command()
@pieces_argument()
@click.option("--recipe", type=options.CodeType("C"), help="The recipe followed.")
@click.option("--version", type=CountType(1, 100_000), help="Its version.  [default: the latest]")
@click.option("--words", type=options.TextType(), default="", help="The colour in open words.")
@click.option("--differs", type=options.TextType(), help="How it differed; held, never published.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def command(desk: Desk, /, pieces: list[str], as_json: bool, **said: Any) -> None:
    """Record the colour that PIECES were given."""
    from editions.registry.acts.colour import apply_colour
    from editions.trade.pieces import Piece

    with desk.writing() as w:
        made = [apply_colour(w, piece, **said) for piece in pieces]
        words = w.get(made[0].code, Piece).colours[-1].words
    output.entered(desk, as_json, *made, detail=[f"{piece} {words}".strip() for piece in pieces])
