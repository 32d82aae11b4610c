"""``bronzebook upgrade``: bring an older registry's tables to this version."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk


@click.command()
@options.json_option
@pass_desk
def command(desk: Desk, as_json: bool) -> None:
    """Bring an older registry to this version. Make a backup first."""
    from editions.registry import upgrade

    before, after = upgrade(desk.place(), home=desk.home)
    output.record((("revision before", before), ("revision now", after)), as_json=as_json)
    output.say("Nothing to do." if before == after else "Done. Check it: bronzebook audit.")
