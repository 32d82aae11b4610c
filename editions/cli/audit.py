"""``bronzebook audit``: check the whole book and list every fault."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import read_bytes
from editions.errors import Contradiction, FileUnusable

if TYPE_CHECKING:
    from editions.store.audit import Report

_LONGEST = 1 << 20
_PAPER = "{} after the last certificate, which no paper witnesses"
_WITNESS = "{} after what the last certificate or witness covers"


@click.command()
@click.option(
    "--witness",
    "files",
    type=click.Path(path_type=Path),
    multiple=True,
    help="What a witness sent, its memory; those in the folder witnesses are read as well.",
)
@options.json_option
@pass_desk
def command(desk: Desk, files: tuple[Path, ...], as_json: bool) -> None:
    """Check every entry, tree node, checkpoint, held value, table and file, and list every fault.

    The book is replayed into a fresh database, and every table compared row by row. What witnesses
    saw has to be what the book says still. The tail is the part of the book after the last
    certificate, or what a witness saw since: nobody out of the house vouches for it yet.
    """
    from editions.registry.auditing import audit

    report = audit(desk.registry, {file.name: _memory(file) for file in files})
    _tell(report, as_json=as_json)
    if report.faults:
        count = len(report.faults)
        raise Contradiction(
            f"{count} {'fault' if count == 1 else 'faults'} found.",
            "Write nothing more; keep the registry as it is, and compare it with the last backup.",
        )
    output.say("No fault found.")


def _memory(file: Path) -> str:
    """The text of a witness's memory; whether it holds is told among the faults."""
    from editions.ledger.witness import FIRST

    text = read_bytes(file, _LONGEST).decode(errors="replace")
    if not text.startswith(FIRST):
        raise FileUnusable(f"{file} is not the memory of a witness.", "Ask the witness for it.")
    return text


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
            ("tail", (_WITNESS if report.witnesses else _PAPER).format(report.tail)),
        )
    )
    for one in report.witnesses:
        name = one.witness.partition("+")[0]
        output.line(f"witness: {name} saw {one.size} entries, {one.seen}; key {one.fingerprint}")
    for fault in report.faults:
        output.line(f"fault: {fault}")
