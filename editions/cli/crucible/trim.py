"""``bronzebook heat trim``: what to add to a melt, or with what to dilute it, and how much."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import explaining, options, output
from editions.cli.crucible import telling
from editions.cli.crucible.floor import (
    alloy_option,
    floor_options,
    lots_of,
    read_floor_options,
    shop_unit,
)
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import PercentType
from editions.cli.words import PairType

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from editions.rules.charge.bring import BroughtTo
    from editions.rules.charge.losses import Loss
    from editions.rules.charge.molten import Melt
    from editions.rules.charge.stock import Lot
    from editions.rules.charge.trim import Trimmed
    from editions.trade.quantities import Quantity


@click.command("trim")
@click.argument("sample", nargs=-1, required=True, type=options.TextType(200))
@click.option(
    "--melt",
    required=True,
    type=options.QuantityType("mass"),
    help="What is in the crucible: 99.8 kg.",
)
@alloy_option
@click.option("--to", type=PairType("Zn=5.0"), help="Bring one element here with one addition.")
@floor_options
@click.option("--guard", type=PercentType(), help="Off each limit, % of its width.  [default: 5]")
@click.option("--crucible", type=options.QuantityType("mass"), help="What it holds at most.")
@click.option(
    "--recovery",
    "recovered",
    multiple=True,
    type=PairType("Zn=96"),
    help="Per cent of an addition's element that arrives.  [default: common losses]",
)
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    sample: tuple[str, ...],
    melt: Quantity,
    alloy: str | None,
    edition: str | None,
    to: tuple[str, str] | None,
    guard: Decimal | None,
    crucible: Quantity | None,
    recovered: tuple[tuple[str, str], ...],
    explain: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Mend a melt from its SAMPLE: Cu=85.2 Sn=5.0 Pb=5.0 Zn=4.8; nothing is entered.

    With --alloy the least metal is found that brings every element within its limits; what may be
    added is named with --ingot, --returns and --add. With --to one element is brought to one figure
    by the one addition named.
    """
    floor = read_floor_options(**said)
    lots, losses = lots_of(desk, floor), _losses(recovered)
    there = _melt(sample, melt)
    unit = shop_unit(melt)
    if to is not None:
        brought = _bring(there, to, lots, losses)
        _tell(brought, unit, as_json=as_json, explain=explain)
        return
    made = _trim(desk, there, lots, losses, alloy, edition, guard=guard, crucible=crucible)
    if as_json:
        output.print_json(explaining.json_of(made))
    else:
        _tell_trimmed(made, unit)
        explaining.explained(made, explain)
    for remark in made.remarks:
        output.remarked(remark)
    output.cautions("molten metal")
    _refuse(made)


def _melt(sample: Sequence[str], mass: Quantity) -> Melt:
    from editions.rules.alloys.reports import read_figures
    from editions.rules.charge.molten import Melt
    from editions.rules.charge.stock import kilograms

    return Melt(mass=kilograms(mass), figures=read_figures(" ".join(sample)))


def _losses(recovered: Sequence[tuple[str, str]]) -> dict[str, Loss]:
    """Common losses, and what the recoveries leave of an element."""
    from editions.rules.alloys.analysis import read_element
    from editions.rules.charge.losses import loss, with_own
    from editions.rules.measures import read_percent

    own = []
    for symbol, text in recovered:
        lost = 100 - read_percent(text)
        own.append(loss(read_element(symbol), lost, lost, f"recovery of {text} %, as given"))
    return with_own(own)


def _bring(
    melt: Melt, to: tuple[str, str], lots: Sequence[Lot], losses: dict[str, Loss]
) -> BroughtTo:
    from editions.errors import Unreadable
    from editions.rules.charge.bring import bring_to
    from editions.rules.measures import read_percent

    if len(lots) != 1:
        raise Unreadable(
            f"--to goes with one addition; {len(lots)} are named.", "Name one with --add."
        )
    return bring_to(to[0], read_percent(to[1]), melt, lots[0], losses)


def _trim(
    desk: Desk,
    melt: Melt,
    lots: Sequence[Lot],
    losses: dict[str, Loss],
    alloy: str | None,
    edition: str | None,
    *,
    guard: Decimal | None,
    crucible: Quantity | None,
) -> Trimmed:
    from editions.cli.crucible.book import alloy_meant
    from editions.errors import Unreadable
    from editions.rules.charge.rows import GUARD
    from editions.rules.charge.stock import kilograms
    from editions.rules.charge.trim import Asked, trim

    if alloy is None:
        raise Unreadable("--alloy is missing.", "Name the alloy, or one element with --to Zn=5.")
    asked = Asked(
        edition=edition,
        guard=GUARD if guard is None else guard,
        crucible=None if crucible is None else kilograms(crucible),
    )
    return trim(alloy_meant(desk, alloy, edition), melt, lots, losses, asked)


def _tell(brought: BroughtTo, unit: str, *, as_json: bool, explain: bool) -> None:
    if as_json:
        output.print_json(explaining.json_of(brought))
    else:
        output.record(
            [
                ("add", f"{telling.mass(brought.mass, unit)} of {brought.name}"),
                ("then", f"{brought.element} {brought.expected.of(brought.element).percent} %"),
                ("melt", telling.mass(brought.expected.melt, unit)),
            ]
        )
        explaining.explained(brought, explain)
    output.cautions("molten metal")


def _tell_trimmed(made: Trimmed, unit: str) -> None:
    telling.findings(made.before)
    telling.charge(made.lines, unit, title="add")
    telling.melt(made.expected, made.judgement, title="then")
    if made.in_the_way:
        telling.in_the_way(made.in_the_way)
    click.echo()
    output.record(
        [
            ("before", telling.verdict(made.before)),
            ("add", [f"{telling.mass(x.mass, unit)} of {x.name}" for x in made.lines] or "nothing"),
            ("dilutes", made.dilutes),
            ("melt", telling.mass(made.expected.melt, unit)),
            ("then", telling.verdict(made.judgement)),
        ]
    )


def _refuse(made: Trimmed) -> None:
    """End as refused where no addition mends the melt; what comes nearest was printed."""
    from editions.errors import Refused

    if not made.possible:
        way = "; ".join(one.says for one in made.in_the_way)
        raise Refused(
            f"These additions do not mend the melt. In the way: {way}.",
            "What is printed comes nearest. Name cleaner metal, a larger crucible, or pour off.",
        )
