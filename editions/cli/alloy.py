"""``bronzebook alloy``: alloys whose limits are held, and alloys of the foundry's own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk

if TYPE_CHECKING:
    from editions.rules.alloys import Alloy, Edition

_STATED = ("total", "copper_plus_nickel", "density", "source")


@click.group()
def command() -> None:
    """State an alloy of your own; list and show the limits of any."""


@command.command()
@click.argument("name", type=options.TextType(120))
@click.argument("limits", nargs=-1, required=True, type=options.TextType(200))
@click.option("--title", type=options.TextType(200), default="", help="A few words more.")
@click.option("--sum", "total", help="The least that all of these make together, per cent.")
@click.option("--copper-plus-nickel", is_flag=True, help="Nickel helps copper to its minimum.")
@click.option("--density", help="In g/cm3: 8.36.")
@click.option("--source", type=options.TextType(200), default="", help="Where they are from.")
@options.code_option("A")
@options.on_option
@options.json_option
@pass_desk
def state(desk: Desk, /, name: str, limits: tuple[str, ...], as_json: bool, **said: Any) -> None:
    """State the LIMITS of an alloy of your own: Cu=94.. Si=3.5..4.5 Pb=..0.09 Ni+Co=..1.0.

    The NAME of one that is there restates it: a new version, by which later analyses are judged.
    """
    from editions.registry.acts.metal import limits_stated, read_limit, state_alloy
    from editions.trade.metal import OwnAlloy

    lines = [read_limit(word) for text in limits for word in text.split()]
    stated = limits_stated(lines, **{x: said.pop(x) for x in _STATED})
    with desk.writing() as w:
        made = state_alloy(w, name, stated, **said)
        alloy = w.get(made.code, OwnAlloy)
    output.entered(desk, as_json, made, detail=f"{alloy.name}, version {len(alloy.versions)}")


@command.command("list")
@options.json_option
@pass_desk
def list_(desk: Desk, as_json: bool) -> None:
    """List every alloy whose limits are held, and the foundry's own."""
    from editions.cli.crucible.book import if_there
    from editions.rules.alloys import alloy_names, load_alloy
    from editions.rules.alloys.own import alloy_of
    from editions.trade.metal import OwnAlloy

    held = [load_alloy(name) for name in alloy_names()]
    with if_there(desk) as reading:
        own = () if reading is None else reading.all_of(OwnAlloy)
    rows = [
        (one.name, one.system, one.title, ", ".join(x.name for x in one.editions))
        for one in [*held, *map(alloy_of, own)]
    ]
    output.table(rows, ("alloy", "system", "title", "editions"), as_json=as_json)


@command.command()
@click.argument("name", type=options.TextType(120))
@click.option("--edition", help="Which edition of the limits.  [default: the newest]")
@options.json_option
@pass_desk
def show(desk: Desk, name: str, edition: str | None, as_json: bool) -> None:
    """Show the limits of alloy NAME, each with its source and how it was read."""
    from editions.cli.crucible.book import alloy_meant
    from editions.rules.alloys.judge import read_edition

    alloy = alloy_meant(desk, name, edition)
    used = read_edition(alloy, edition)
    if as_json:
        output.print_json(_value(alloy, used))
    else:
        _tell(alloy, used)


def _value(alloy: Alloy, used: Edition) -> dict[str, Any]:
    import msgspec

    plain: dict[str, Any] = msgspec.to_builtins(alloy)
    return {**plain, "limits": msgspec.to_builtins(alloy.limits_in(used)), "edition": used.name}


def _tell(alloy: Alloy, used: Edition) -> None:
    output.heading(alloy.name, alloy.title)
    limits = [(x.element, x.text, x.includes, x.source, x.read) for x in alloy.limits_in(used)]
    if alloy.sum_rule:
        rule = alloy.sum_rule
        limits.append(("sum", f"at least {rule.low}", (), rule.source, rule.read))
    output.block("limits", limits, ("element", "per cent", "counts", "source", "read"), first=True)
    output.block("figures", _figures(alloy), ("what", "figure", "source", "read"))
    click.echo()
    output.record(
        [
            ("edition", used.specification),
            ("other editions", [x.name for x in alloy.editions if x.name != used.name]),
            *(("remark", text) for text in alloy.remarks),
            *(("source", text) for text in alloy.sources),
        ]
    )


def _figures(alloy: Alloy) -> list[tuple[str, str, str, str]]:
    found = []
    if alloy.density:
        one = alloy.density
        found.append(("density", f"{one.value} {one.unit}", one.source, one.read))
    found += [
        ("liquidus, solidus", f"{x.liquidus}, {x.solidus} {x.unit}", x.source, x.read)
        for x in alloy.melting
    ]
    found += [
        (f"pour, {x.section} sections", f"{x.low} to {x.high} {x.unit}", x.source, x.read)
        for x in alloy.pour
    ]
    found += [
        ("contraction", _ends(x.low, x.high, x.unit), x.source, x.read) for x in alloy.contraction
    ]
    return found


def _ends(low: str, high: str, unit: str) -> str:
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
