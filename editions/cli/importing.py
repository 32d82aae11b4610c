"""``bronzebook import``: take an old book in from a CSV file, all of it or nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import door, options, output
from editions.cli.desk import Desk, pass_desk
from editions.errors import Refused

if TYPE_CHECKING:
    from editions.exchange.importing import Imported


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--rehearse", is_flag=True, help="Only say what would be entered.")
@options.json_option
@pass_desk
def command(desk: Desk, file: Path, rehearse: bool, as_json: bool) -> None:
    """Take an old book in from a CSV FILE: works and runs, molds and pulls, or earlier casts.

    The columns tell which. Every row is rehearsed first and every fault named with its row; then
    all rows are entered, or none. The file's digest stays with every entry as its source.
    """
    from editions.exchange.importing import import_csv

    done = import_csv(desk.registry, file, by=desk.by, rehearse=rehearse)
    _tell(done, as_json=as_json)
    if done.faults:
        count = len({fault.row for fault in done.faults})
        raise Refused(
            f"{count} of {done.rows} rows faulty; nothing was written.",
            "Mend them in the file and import it again.",
        )
    output.say("Rehearsed; nothing was written." if rehearse else "Entered.")


def _tell(done: Imported, *, as_json: bool) -> None:
    if as_json:
        import msgspec

        value = msgspec.to_builtins(done)
        value["faults"] = [fault._asdict() for fault in done.faults]
        output.print_json(value)
        return
    _say_faults(done)
    pairs = (("layout", done.layout), ("rows", done.rows), ("entries", done.entries))
    output.record((*pairs, ("codes", ", ".join(done.codes)), ("digest", done.digest)))
    for remark in done.remarks:
        output.remarked(remark)


def _say_faults(done: Imported) -> None:
    for fault in done.faults:
        label = f"row {fault.row}: "
        output.say(label + door.line(fault.message))
        if fault.remedy:
            output.say(" " * len(label) + door.line(fault.remedy))
