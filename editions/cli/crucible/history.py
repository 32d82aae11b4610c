"""``bronzebook heat history``: the heats that went into a piece or a heat, and their remelts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.rules.charge.returns import Charge, History
    from editions.trade.heats import Heat

_COLUMNS = ("heat", "share %", "remelts", "alloy", "verdict")


@click.command("history")
@click.argument("name", type=options.CodeType("P"))
@explaining.explain_option
@options.json_option
@pass_desk
def command(desk: Desk, /, name: str, *, explain: bool, as_json: bool) -> None:
    """Tell which heats went into the piece or heat NAME through returns, and how often remelted."""
    from editions.rules.charge.returns import history

    with desk.reading() as reading:
        heats = {heat.code: heat for heat in _all_heats(reading)}
        told = history(_heats_of(reading, name), {x: _charge(y) for x, y in heats.items()})
    if as_json:
        output.print_json(explaining.json_of(told))
        return
    _tell(told, heats)
    explaining.explained(told, explain)


def _all_heats(reading: Reading) -> tuple[Heat, ...]:
    from editions.trade.heats import Heat

    return reading.all_of(Heat)


def _heats_of(reading: Reading, name: str) -> list[str]:
    """The codes of the heats that a piece was poured from, or of the heat itself.

    Raises:
        NotKnown: If it is neither, or the piece is not poured.
    """
    from editions.errors import NotKnown
    from editions.registry.acts.typed import heat_of, piece_of

    if reading.named(f"heat {name.strip().upper()}") or name.strip().upper().startswith("H-"):
        return [heat_of(reading, name).code]
    piece = piece_of(reading, name)
    poured = [section.heat for section in piece.sections if section.heat is not None]
    if not poured:
        raise NotKnown(f"{name} is not poured yet.", "Name a piece that is, or a heat.")
    return list(dict.fromkeys(poured))


def _charge(heat: Heat) -> tuple[Charge, ...]:
    from editions.rules.charge.returns import Charge
    from editions.rules.charge.stock import kilograms

    return tuple(
        Charge(heat=line.heat, mass=None if line.mass is None else kilograms(line.mass))
        for line in heat.charge
    )


def _tell(told: History, heats: dict[str, Heat]) -> None:
    rows = []
    for one in told.heats:
        heat = heats[one.heat]
        ends = dict.fromkeys((one.fewest_remelts, one.most_remelts))
        remelts = " to ".join(map(str, ends))
        rows.append((heat.number, one.share, remelts, heat.alloy, heat.verdict))
    output.block("heats", rows, _COLUMNS, first=True)
    click.echo()
    output.record([("most remelts", told.most_remelts)])
