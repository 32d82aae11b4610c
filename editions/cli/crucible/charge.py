"""``bronzebook heat charge``: the analysis to expect of a charge, or the cheapest that will do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from editions.cli import explaining, options, output
from editions.cli.crucible import telling
from editions.cli.crucible.floor import (
    Floor,
    alloy_option,
    floor_options,
    known,
    loss_options,
    losses_of,
    lots_of,
    read_floor_options,
    shop_unit,
)
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import PercentType

if TYPE_CHECKING:
    from decimal import Decimal

    from editions.rules.alloys import Alloy
    from editions.rules.charge.losses import Loss
    from editions.rules.charge.melt import Part
    from editions.rules.charge.plan import Plan, Wanted
    from editions.trade.quantities import Quantity


@click.command("charge")
@alloy_option
@click.option("--melt", type=options.QuantityType("mass"), help="Plan the cheapest for this melt.")
@floor_options
@click.option("--guard", type=PercentType(), help="Off each limit, % of its width.  [default: 5]")
@click.option("--returns-at-most", type=PercentType(), help="Share of returns in the charge, %.")
@loss_options
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    alloy: str | None,
    edition: str | None,
    melt: Quantity | None,
    guard: Decimal | None,
    returns_at_most: Decimal | None,
    lost: tuple[str, ...],
    published_losses: bool,
    explain: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Reckon a charge, or plan the cheapest one with --melt; nothing is entered.

    Without --melt the masses named are charged and the melt to expect is told. With it they bound
    what may be taken, the file's lots lie on the floor too, and the cheapest charge is found that
    keeps the alloy's limits and a guard band, or what stands in the way.
    """
    floor = read_floor_options(**said)
    losses = losses_of(desk, lost, published_losses)
    meant = _alloy(desk, alloy, edition)
    unit = shop_unit(melt, *(one.mass for one in floor.named))
    if melt is None:
        _reckon(desk, floor, meant, edition, losses, unit, as_json=as_json, explain=explain)
        return
    made = _plan(desk, floor, _named(meant), _wanted(melt, edition, guard, returns_at_most), losses)
    if as_json:
        output.print_json(explaining.json_of(made))
    else:
        _tell(made, unit)
        explaining.explained(made, explain)
    for remark in made.remarks:
        output.remarked(remark)
    output.cautions("molten metal")
    _refuse(made)
    if not as_json:
        output.say(f"To record it: {_recording(made, unit)}")


def _alloy(desk: Desk, name: str | None, edition: str | None) -> Alloy | None:
    from editions.cli.crucible.book import alloy_meant

    return None if name is None else alloy_meant(desk, name, edition)


def _named(alloy: Alloy | None) -> Alloy:
    from editions.errors import Unreadable

    if alloy is None:
        raise Unreadable(
            "--alloy is missing.", "Name the alloy whose limits the charge is to keep."
        )
    return alloy


def _reckon(
    desk: Desk,
    floor: Floor,
    alloy: Alloy | None,
    edition: str | None,
    losses: dict[str, Loss],
    unit: str,
    *,
    as_json: bool,
    explain: bool,
) -> None:
    from editions.rules.alloys.judge import judge_meanings
    from editions.rules.charge.melt import expected

    melt = expected(_parts(desk, floor), losses)
    judged = None if alloy is None else judge_meanings(alloy, melt.meanings(), edition)
    if as_json:
        told = explaining.json_of(melt)
        verdict = None if judged is None else explaining.json_of(judged)
        output.print_json({"expected": told, "judgement": verdict})
    else:
        telling.melt(melt, judged, first=True)
        click.echo()
        output.record(telling.totals(melt, judged, unit))
        explaining.explained(melt, explain)
        if judged is not None and explain:
            explaining.explained(judged, explain)
    output.cautions("molten metal")


def _parts(desk: Desk, floor: Floor) -> Sequence[Part]:
    """What is named, with its mass; no lot beyond its stock."""
    from editions.errors import Unreadable
    from editions.rules.charge.stock import in_stock, kilograms

    if not floor.named:
        raise Unreadable(
            "Nothing is charged.", "Name it with --ingot, --returns, --add; or plan with --melt."
        )
    lots, parts = [], []
    for one in floor.named:
        if one.mass is None:
            raise Unreadable(f"{one.name} has no mass.", f"Write {one.name}=60kg.")
        lot = known(desk, floor, one)
        lots.append(lot)
        parts.append(lot.part(kilograms(one.mass)))
    in_stock(parts, lots)
    return parts


def _wanted(
    melt: Quantity, edition: str | None, guard: Decimal | None, returns: Decimal | None
) -> Wanted:
    from editions.rules.charge.plan import Wanted
    from editions.rules.charge.rows import GUARD
    from editions.rules.charge.stock import kilograms

    return Wanted(
        melt=kilograms(melt),
        edition=edition,
        guard=GUARD if guard is None else guard,
        returns_at_most=returns,
    )


def _plan(desk: Desk, floor: Floor, alloy: Alloy, wanted: Wanted, losses: dict[str, Loss]) -> Plan:
    from editions.rules.charge.plan import plan

    return plan(alloy, lots_of(desk, floor), wanted, losses)


def _tell(made: Plan, unit: str) -> None:
    telling.charge(made.lines, unit, first=True)
    telling.melt(made.expected, made.judgement)
    if made.in_the_way:
        telling.in_the_way(made.in_the_way)
    click.echo()
    largest = "" if made.largest is None else telling.mass(made.largest, unit)
    output.record(
        [
            *telling.totals(made.expected, made.judgement, unit),
            ("cost", made.cost),
            ("held by", made.held_by),
            ("largest melt within", largest),
        ]
    )


def _recording(made: Plan, unit: str) -> str:
    """The command that opens a heat with this charge."""
    import shlex

    options = {"ingot": "--ingot", "returns": "--returns", "addition": "--add"}
    words = ["bronzebook", "heat", "open", "NUMBER", "--alloy", made.alloy]
    for line in made.lines:
        words += [options[line.source], f"{line.name}={telling.stock_mass(line.mass, unit)}"]
    return shlex.join(words)


def _refuse(made: Plan) -> None:
    """End as refused where no charge keeps every limit; what comes nearest was printed."""
    from editions.errors import Refused

    if not made.possible:
        way = "; ".join(one.says for one in made.in_the_way)
        raise Refused(
            f"No charge from this floor will do. In the way: {way}.",
            "What is printed comes nearest. Add lots, a smaller melt, or a narrower guard band.",
        )
