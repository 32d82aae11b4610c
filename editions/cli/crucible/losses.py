"""``bronzebook heat losses``: what melting takes, as the foundry's own heats tell it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.rules.charge.learned import Learned

_COLUMNS = ("element", "loss %", "spread", "heats", "lowest", "highest", "in planning")


@click.command("losses")
@explaining.explain_option
@options.json_option
@pass_desk
def command(desk: Desk, /, *, explain: bool, as_json: bool) -> None:
    """Tell the losses that past heats show, with how many heats; others are common ranges.

    A heat tells them where it was analysed and every part of its charge has a mass and an analysis
    in the book.
    """
    from editions.cli.crucible.book import past_heats
    from editions.rules.charge.learned import learn
    from editions.rules.charge.losses import published

    with desk.reading() as reading:
        told = learn(past_heats(reading), published())
    if as_json:
        output.print_json(explaining.json_of(told))
        return
    _tell(told)
    explaining.explained(told, explain)


def _tell(told: Learned) -> None:
    from editions.rules.charge.losses import with_own

    own = {one.element: one for one in told.losses}
    rows: list[tuple[object, ...]] = []
    for element, used in with_own(told.usable()).items():
        ends = "" if used.low == used.high else f" ({used.low} to {used.high})"
        planned = f"{used.usual}{ends}, {used.source}"
        one = own.pop(element, None)
        told_by = (one.loss, one.spread, one.heats, one.lowest, one.highest) if one else (None,) * 5
        rows.append((element, *told_by, planned))
    for one in own.values():
        row = (
            one.element,
            one.loss,
            one.spread,
            one.heats,
            one.lowest,
            one.highest,
            "0, conserved",
        )
        rows.append(row)
    output.block("losses", rows, _COLUMNS, first=True)
    click.echo()
    output.record([("heats looked at", told.heats)])
