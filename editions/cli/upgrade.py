"""``bronzebook upgrade``: bring an older registry's tables to this version."""

from __future__ import annotations

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk


@click.command()
@options.json_option
@pass_desk
def command(desk: Desk, as_json: bool) -> None:
    """Bring an older registry to this version; a SQLite registry is copied to backups/ first.

    Back up a PostgreSQL database by its own tools before.
    """
    from editions.registry import upgrade

    done = upgrade(desk.place(), home=desk.home)
    output.record(
        (
            ("revision before", done.before),
            ("revision now", done.after),
            ("backup", str(done.backup) if done.backup else None),
        ),
        as_json=as_json,
    )
    same = done.before == done.after
    output.say("Nothing to do." if same else "Done. Check it: bronzebook audit.")
