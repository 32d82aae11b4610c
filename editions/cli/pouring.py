"""``bronzebook heat sheet``: shells in pour order, metal each, and yield after the pour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import (
    PercentType,
    bronze_density,
    density_of_book,
    given,
    metal_options,
    shown_mass,
)
from editions.cli.words import PairType

if TYPE_CHECKING:
    from editions.cli.measures import Sourced
    from editions.registry import Reading
    from editions.rules.measures import Density
    from editions.rules.pour_sheet import PourSheet, Shell, Terms
    from editions.trade.quantities import Quantity

_COLUMNS = ("shell", "melt", "metal", "so far", "left", "expected", "weighed", "yield")


class _OnSheet(NamedTuple):
    """What goes on the sheet: its shells, the density that the book names, and the charge."""

    shells: list[Shell]
    density: Sourced | None = None
    charged: Quantity | None = None


@click.command("sheet")
@click.argument("shells", nargs=-1, type=options.TextType(200), metavar="[SHELL]...")
@click.option("--heat", type=options.CodeType("H"), help="The shells of a heat, as it poured them.")
@metal_options
@click.option(
    "--gating-share", type=PercentType(), help="Gating of a shell that says none, % of part."
)
@click.option("--crucible", type=options.QuantityType("mass"), help="What it holds of bronze.")
@click.option(
    "--weighed", multiple=True, type=PairType("T-0101=9.5kg"), help="A casting, cut off, weighed."
)
@click.option("--charged", type=options.QuantityType("mass"), help="The cold charge as weighed.")
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    shells: tuple[str, ...],
    heat: str | None,
    alloy: str | None,
    density: Density | None,
    weighed: tuple[tuple[str, str], ...],
    charged: Quantity | None,
    explain: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Print the sheet of a pour, SHELLS in pour order: T-0101+0.3kg head=1.05kg+0.3kg.

    A shell of the book is named by tag or code and brings the mass of its wax; any other is
    NAME=PART, its gating after +. After the pour, --weighed and --charged show the yield.
    """
    from editions.rules.pour_sheet import pour_sheet

    found = _on_sheet(desk, shells, heat)
    bronze, source = bronze_density(desk, density, alloy, found.density)
    told = pour_sheet(
        _with_weighed(found.shells, weighed),
        _terms(bronze, **said),
        charged=charged or found.charged,
    )
    if as_json:
        output.print_json(explaining.json_of(told))
    else:
        _tell(told, f"{bronze}, {source}")
        explaining.explained(told, explain)
    for remark in told.remarks:
        output.remarked(remark)
    output.cautions("molten metal")


def _terms(
    bronze: Density, *, wax_density: Density | None, gating_share: Any, **more: Any
) -> Terms:
    from editions.rules.pour_sheet import Terms

    return Terms(bronze=bronze, **given(wax=wax_density, gating_percent=gating_share, **more))


def _on_sheet(desk: Desk, names: tuple[str, ...], heat: str | None) -> _OnSheet:
    """The shells named, from the book where they do not say what they weigh."""
    if heat is not None:
        with desk.reading() as reading:
            found = _of_heat(reading, heat)
        extra = [shell for name in names for shell in _typed_or_known(desk, name)[0]]
        return found._replace(shells=[*found.shells, *extra])
    each = [_typed_or_known(desk, name) for name in names]
    return _OnSheet(
        [shell for shells, _ in each for shell in shells],
        next((density for _, density in each if density is not None), None),
    )


def _of_heat(reading: Reading, text: str) -> _OnSheet:
    from editions.cli.shells import poured_in
    from editions.registry.acts.typed import heat_of
    from editions.rules.metal import add_masses
    from editions.rules.pour_sheet import Shell

    heat = heat_of(reading, text)
    shells = [
        Shell(name=wax.name, part=wax.mass, weighed=mass) for wax, mass in poured_in(reading, heat)
    ]
    masses = [line.mass for line in heat.charge if line.mass is not None]
    whole = len(masses) == len(heat.charge) > 0
    charged = add_masses(masses) if whole else None
    return _OnSheet(shells, density_of_book(reading, heat.alloy), charged)


def _typed_or_known(desk: Desk, text: str) -> tuple[list[Shell], Sourced | None]:
    """One word of the command line as shells, and the density that their run declares."""
    from editions.cli.shells import wax_of
    from editions.rules.pour_sheet import Shell
    from editions.trade.quantities import read_quantity

    before, plus, after = text.rpartition("+")
    gating = read_quantity(after, "mass") if plus else None
    name, sign, part = (before if plus else text).partition("=")
    if sign:
        mass = read_quantity(part, "mass")
        return [Shell(name=name.strip(), part=mass, gating=gating)], None
    with desk.reading() as reading:
        waxes = wax_of(reading, name)
        density = density_of_book(reading, *(wax.alloy for wax in waxes))
    if gating is not None and len(waxes) > 1:
        from editions.errors import Unreadable

        raise Unreadable(
            f"{name} has {len(waxes)} shells and one gating.", f"Name each: {waxes[0].name}+0.3kg."
        )
    shells = [Shell(name=wax.name, part=wax.mass, gating=gating) for wax in waxes]
    return shells, density


def _with_weighed(shells: list[Shell], weighed: tuple[tuple[str, str], ...]) -> list[Shell]:
    """The shells with what each casting weighed after."""
    import msgspec

    from editions.errors import NotKnown
    from editions.trade.quantities import read_quantity
    from editions.trade.text import shown

    masses = {name: read_quantity(text, "mass") for name, text in weighed}
    for name in masses:
        if name not in {shell.name for shell in shells}:
            raise NotKnown(
                f"{shown(name)} is not on the sheet.",
                f"On it: {', '.join(shell.name for shell in shells)}.",
            )
    return [
        msgspec.structs.replace(shell, weighed=masses.get(shell.name, shell.weighed))
        for shell in shells
    ]


def _tell(told: PourSheet, density: str) -> None:
    rows = [
        (
            line.name,
            line.melt,
            shown_mass(line.metal),
            shown_mass(line.cumulative),
            shown_mass(line.left),
            shown_mass(line.casting),
            None if line.weighed is None else str(line.weighed),
            None if line.yield_percent is None else f"{line.yield_percent} %",
        )
        for line in told.lines
    ]
    output.block("shells", rows, _COLUMNS, first=True)
    output.block("melts", _melts(told), ("melt", "shells", "poured", "charge"))
    click.echo()
    output.record(
        [
            ("density", density),
            ("crucible", told.crucible),
            ("poured", shown_mass(told.poured)),
            ("weighed after", shown_mass(told.weighed)),
            ("yield", "" if told.yield_percent is None else f"{told.yield_percent} %"),
            ("charged", told.charged),
            ("yield of the charge", _percent(told)),
            ("allowed", f"{told.reserve_percent} % reserve, {told.loss_percent} % melting loss"),
        ]
    )


def _melts(told: PourSheet) -> list[tuple[object, ...]]:
    return [
        (melt.number, melt.shells, shown_mass(melt.poured), shown_mass(melt.charge))
        for melt in told.melts
    ]


def _percent(told: PourSheet) -> str:
    of_charge = told.yield_of_charge_percent
    return "" if of_charge is None else f"{of_charge} %"
