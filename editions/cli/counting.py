"""``bronzebook run count``: how many of a work exist, can exist, are promised, are free."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.rules.counting import EditionCount


@click.command("count")
@click.argument("code", metavar="WORK|RUN", type=options.CodeType())
@explaining.explain_option
@options.json_option
@pass_desk
def command(desk: Desk, /, code: str, explain: bool, as_json: bool) -> None:
    """Count WORK over all its runs, scales, alloys and colours: what exists, what can."""
    from editions.registry.counting import count_work

    with desk.reading() as reading:
        found = count_work(reading, code)
    if as_json:
        output.print_json(explaining.json_of(found))
        return
    _tell(found)
    explaining.explained(found, explain)


def _tell(found: EditionCount) -> None:
    output.heading(found.work, found.title)
    output.record(
        [
            ("exist", found.exist),
            ("can exist", _bounded(found.can_exist)),
            ("promised", found.promised),
            ("free", _bounded(found.free)),
            ("elsewhere", found.elsewhere or ""),
            ("outside any run", found.outside_runs or ""),
            ("destroyed", found.destroyed or ""),
            ("trial casts besides", found.trials or ""),
        ]
    )
    runs = [
        (
            run.code, run.title, run.scale, run.exist, _bounded(run.can_exist), run.promised,
            _bounded(run.free), run.elsewhere or "", "closed" if run.closed else "open",
        )
        for run in found.runs
    ]  # fmt: skip
    output.block("runs", runs, _COLUMNS)
    groups = [(one.by, one.value, one.exist, one.destroyed or "") for one in found.groups]
    if groups:
        output.block("counted by", groups, ("by", "which", "exist", "destroyed"))
    for remark in found.remarks:
        output.remarked(remark)


_COLUMNS = (
    "code", "declared", "scale", "exist", "can exist", "promised", "free", "elsewhere", "state",
)  # fmt: skip


def _bounded(number: int | None) -> object:
    return "not bounded" if number is None else number
