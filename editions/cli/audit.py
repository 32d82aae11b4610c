"""``bronzebook audit``: check the whole book and list every fault."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.errors import Contradiction

if TYPE_CHECKING:
    from editions.store.audit import Report


@click.command()
@options.json_option
@pass_desk
def command(desk: Desk, as_json: bool) -> None:
    """Check every entry, tree node, checkpoint, held value, table and file, and list every fault.

    The book is replayed into a fresh database, and every table compared row by row. The tail is
    the part of the book after the last certificate: no paper out of the house witnesses it yet.
    """
    from editions.registry.auditing import audit

    report = audit(desk.registry)
    _tell(report, as_json=as_json)
    if report.faults:
        count = len(report.faults)
        raise Contradiction(
            f"{count} {'fault' if count == 1 else 'faults'} found.",
            "Write nothing more; keep the registry as it is, and compare it with the last backup.",
        )
    output.say("No fault found.")


def _tell(report: Report, *, as_json: bool) -> None:
    if as_json:
        import msgspec

        output.print_json(msgspec.to_builtins(report))
        return
    output.record(
        (
            ("entries", report.entries),
            ("checkpoints", report.checkpoints),
            ("held values", report.held),
            ("certificates", report.certificates),
            ("tail", f"{report.tail} after the last certificate, which no paper witnesses"),
        )
    )
    for fault in report.faults:
        output.line(f"fault: {fault}")
