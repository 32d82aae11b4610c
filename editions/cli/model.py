"""``bronzebook model``: the chain of models that ends in bronze, and its measurements."""

from __future__ import annotations

from typing import Any

import click

from editions.cli import likely, options, output
from editions.cli.asking import ask
from editions.cli.desk import Desk, pass_desk


@click.group()
def command() -> None:
    """Enter a model of the chain; measure it."""


@command.command()
@click.argument("work", required=False, type=options.CodeType("K"))
@click.argument("stage", required=False, type=options.TextType(40))
@click.option("--from", "made_from", type=options.CodeType("D"), help="The model it was made from.")
@click.option("--material", type=options.TextType(120), help="What it is made of.")
@click.option("--scale", type=options.TextType(120), help="Against the original: 2:1.")
@click.option("--maker", type=options.CodeType("Y"), help="Who made it.")
@options.code_option("D")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def add(desk: Desk, /, work: str | None, stage: str | None, as_json: bool, **said: Any) -> None:
    """Enter a model of WORK: add K-0001 enlargement --from D-0001 --scale 2:1.

    STAGE is original, plaster, enlargement, reduction, scan, print or master-bronze.
    """
    from editions.registry.acts.typed import one_of
    from editions.registry.acts.works import STAGES, enter_model

    work = likely.code(desk, work, "K", "Of which work", "WORK")
    stage = ask(
        desk,
        stage,
        "Which stage",
        likely="original",
        read=lambda text: one_of(text, STAGES, "stage"),
        option="STAGE",
    )
    with desk.writing() as w:
        made = enter_model(w, work, stage, **said)
    output.entered(desk, as_json, made, detail=f"{stage} of {work}")


@command.command()
@click.argument("model", type=options.CodeType("D"))
@click.argument("stations", nargs=-1, metavar="STATION=LENGTH...")
@click.option("--method", type=options.TextType(), default="", help="Callipers, tape, scan.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def measure(
    desk: Desk, /, model: str, stations: tuple[str, ...], as_json: bool, **said: Any
) -> None:
    """Measure MODEL at named stations: height=450mm±1mm span=17.5in/without."""
    from editions.registry.acts.works import measure_model
    from editions.trade.stations import read_station, station_text

    taken = [read_station(text) for text in stations]
    with desk.writing() as w:
        made = measure_model(w, model, taken, **said)
    output.entered(desk, as_json, made, detail=", ".join(map(station_text, taken)))
