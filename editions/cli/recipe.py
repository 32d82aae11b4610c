"""``bronzebook recipe``: colour recipes, written down in versions."""

from __future__ import annotations

from typing import Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk


@click.group()
def command() -> None:
    """Write down a colour recipe, in versions."""


@command.command()
@click.argument("name", required=False, type=options.TextType(120))
@click.option("--recipe", type=options.CodeType("C"), help="Write the next version of this one.")
@click.option("--words", type=options.TextType(), default="", help="The colour in open words.")
@click.option(
    "--layer",
    "layers",
    multiple=True,
    metavar="'SOLUTION; STRENGTH; METHOD; HEAT'",
    help="A layer, in order; held, never published.",
)
@click.option("--by", type=options.CodeType("Y"), help="The patineur whose recipe it is.")
@options.code_option("C")
@options.on_option
@options.json_option
@pass_desk
def write(
    desk: Desk, /, name: str | None, layers: tuple[str, ...], as_json: bool, **said: Any
) -> None:
    """Write down recipe NAME, or the next version of one with --recipe."""
    from editions.registry.acts.colour import read_layer, write_recipe
    from editions.trade.colour import Recipe

    laid = [read_layer(layer) for layer in layers]
    with desk.writing() as w:
        made = write_recipe(w, name, layers=laid, **said)
        recipe = w.get(made.code, Recipe)
    output.entered(desk, as_json, made, detail=f"{recipe.name}, version {recipe.latest}")
    output.cautions(*topics(*layers, said["words"]))


def topics(*texts: str) -> list[str]:
    """The cautions that go with colour, and those that these solutions ask for besides."""
    said = " ".join(texts).casefold()
    topics = ["acids and salts"]
    if any(word in said for word in ("sulf", "sulph")):
        topics.append("sulfide fumes")
    if "ammoni" in said:
        topics.append("ammonia fumes")
    return topics
