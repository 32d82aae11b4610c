"""``bronzebook metal``: bronze for a wax, and a hollow bronze's figures checked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import (
    AreaType,
    bronze_density,
    density_of_book,
    given,
    metal_options,
    shown_mass,
)

if TYPE_CHECKING:
    from editions.cli.measures import Sourced
    from editions.rules.measures import Area, Density
    from editions.rules.metal import MetalNeeded
    from editions.rules.metal_check import MetalCheck
    from editions.trade.quantities import Quantity


@click.command()
@click.argument("waxes", nargs=-1, type=options.TextType(120), metavar="[WAX|PIECE]...")
@click.option("--part", type=options.QuantityType("mass"), help="The wax of the part: 1.05kg.")
@click.option("--gating", type=options.QuantityType("mass"), help="The wax of its gating: 0.3kg.")
@metal_options
@click.option("--mass", type=options.QuantityType("mass"), help="Check: what the bronze weighs.")
@click.option("--volume", type=options.QuantityType("volume"), help="Check: its metal's volume.")
@click.option("--wall", type=options.QuantityType("length"), help="Check: its wall, 3/16in.")
@click.option("--surface", type=AreaType(), help="Check: its outer surface, 0.35m2.")
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    waxes: tuple[str, ...],
    part: Quantity | None,
    gating: Quantity | None,
    alloy: str | None,
    density: Density | None,
    mass: Quantity | None,
    volume: Quantity | None,
    wall: Quantity | None,
    surface: Area | None,
    explain: bool,
    as_json: bool,
    **allowed: Any,
) -> None:
    """Reckon the bronze for a wax, with reserve and loss: metal --part 1.05kg --gating 0.3kg.

    Waxes and pieces of the book are named by code or tag, and bring what they weigh. With two or
    more of --mass, --volume, --wall and --surface a bronze is checked against itself.
    """
    figures = given(mass=mass, volume=volume, wall=wall, surface=surface)
    weighed, own = _of_book(desk, waxes) if waxes else (None, None)
    bronze, source = bronze_density(desk, density, alloy, own)
    need = _need(part or weighed, gating, bronze, source, bare=bool(figures), **allowed)
    check = _check(bronze, figures) if figures else None
    if as_json:
        answers = {"need": need, "check": check}
        output.print_json({n: a and explaining.json_of(a) for n, a in answers.items()})
    else:
        _tell(need, check, explain)
    for remark in need.remarks if need else ():
        output.remarked(remark)
    output.cautions("molten metal")


def _need(
    part: Quantity | None,
    gating: Quantity | None,
    bronze: Density,
    source: str,
    *,
    bare: bool,
    wax_density: Density | None,
    **allowed: Any,
) -> MetalNeeded | None:
    from editions.errors import Unreadable
    from editions.rules.metal import metal_for

    if part is None:
        if bare:
            return None
        raise Unreadable(
            "No wax is named.", "Give its mass, --part 1.05kg --gating 0.3kg, or its code, W-0001."
        )
    more = given(wax=wax_density, **allowed)
    return metal_for(part, gating, bronze=bronze, density_source=source, **more)


def _check(bronze: Density, figures: dict[str, Any]) -> MetalCheck:
    from editions.rules.metal_check import check_metal

    return check_metal(bronze, **figures)


def _of_book(desk: Desk, names: tuple[str, ...]) -> tuple[Quantity, Sourced | None]:
    """The wax of everything named, together, and the density that a run of it declares."""
    from editions.cli.shells import wax_of
    from editions.rules.metal import add_masses

    with desk.reading() as reading:
        found = [one for name in names for one in wax_of(reading, name)]
        likely = density_of_book(reading, *(one.alloy for one in found))
    return add_masses([one.mass for one in found]), likely


def _tell(need: MetalNeeded | None, check: MetalCheck | None, explain: bool) -> None:
    if need is not None:
        output.record(_needed(need))
        explaining.explained(need, explain)
    if need is not None and check is not None:
        click.echo()
    if check is not None:
        output.record(_checked(check))
        explaining.explained(check, explain)


def _needed(need: MetalNeeded) -> list[tuple[str, object]]:
    allowed = f"with {need.reserve_percent} % reserve and {need.loss_percent} % loss"
    wax = str(need.part) if need.gating is None else f"{need.part} + {need.gating} gating"
    return [
        ("wax", wax),
        ("bronze to wax", _densities(need)),
        ("casting", shown_mass(need.casting)),
        ("gating", shown_mass(need.gates)),
        ("poured", shown_mass(need.poured)),
        ("yield", "" if need.yield_percent is None else f"{need.yield_percent} %"),
        ("charge", f"{shown_mass(need.charge)}, {allowed}"),
    ]


def _densities(need: MetalNeeded) -> str:
    """How much heavier than its wax the bronze is, both densities in one unit: ``8.99 to 1 …``."""
    bronze, wax = (_in_grams(one) for one in (need.bronze_density, need.wax_density))
    return f"{need.factor:.2f} to 1, by densities of {bronze} and {wax}"


def _in_grams(density: Density) -> str:
    """A density in g/cm3, and beside it as it was read where that was another unit."""
    if density.unit == "g/cm3":
        return str(density)
    return f"{float(density.exact()):.2f} g/cm3 ({density})"


def _checked(check: MetalCheck) -> list[tuple[str, object]]:
    lines: list[tuple[str, object]] = [
        (one.of, f"{one.given}, {one.expected} by {one.by}: {one.differs_percent:+} %, {one.says}")
        for one in check.findings
    ]
    # Where the wall itself was given, the comparison above holds the figure already.
    if check.implied_wall is not None and not any(one.of == "wall" for one in check.findings):
        lines.append(("wall by metal and surface", check.implied_wall))
    if check.implied_surface is not None:
        lines.append(("surface by metal and wall", check.implied_surface))
    return lines
