"""``bronzebook publish``: the public record as static files, for any host."""

from __future__ import annotations

import os
from pathlib import Path

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@options.json_option
@pass_desk
def command(desk: Desk, folder: Path, as_json: bool) -> None:
    """Write the public record into FOLDER as static files, for any host.

    Tiles are written first, then the pages, the checkpoint last, so that a copy that was cut short
    claims nothing that it does not hold.
    """
    from editions.pages.publish import publish

    with output.counting("Writing records") as progress:
        published = publish(desk.registry, folder, progress=progress, processes=os.cpu_count() or 1)
    output.record(output.values_of(published), as_json=as_json)
    output.say(f"Published in {folder}; copy the folder to the root of the host.")
