"""``bronzebook mix``: solutions for colour, diluted, scaled, and what may not meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from editions.cli import explaining, options, output, weighing
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import CountType, PairType

if TYPE_CHECKING:
    from editions.rules.measures import Area
    from editions.rules.solutions.mixing import How
    from editions.rules.solutions.parts import Part
    from editions.rules.solutions.volumes import Volume
    from editions.trade.quantities import Quantity

_STOCK = 'A liquid as bought: "nitric acid=68 % w/w at 1.405".'
_BULK = 'For spoons, what the powder weighs loose, g/ml: "liver of sulfur=0.9".'
_PRICE = 'For the cost: "ferric nitrate=18.50/500g", "nitric acid=24/l".'


class _Mixing(click.Group):
    """The group; what begins with ``NAME=…`` is a solution without saying so."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called."""
        if "=" in args[0]:
            args = ["solution", *args]
        return super().resolve_command(ctx, args)


@click.group(cls=_Mixing)
def command() -> None:
    """Weigh out a solution: mix "ferric nitrate=5 % w/v" --make-up-to 500ml; or one of these."""


@command.command()
@click.argument("parts", nargs=-1, required=True, metavar="NAME=STRENGTH …")
@click.option("--make-up-to", metavar="VOLUME", help="All of it: 500ml, 1l, 1qt.")
@click.option("--added-to", metavar="VOLUME", help="So much water, and the rest besides.")
@click.option("--density", help="Of the finished solution, g/ml, where a strength needs it.")
@click.option("--stock", multiple=True, type=PairType("NAME=VALUE"), help=_STOCK)
@click.option("--bulk", multiple=True, type=PairType("NAME=VALUE"), help=_BULK)
@click.option("--price", multiple=True, type=PairType("NAME=VALUE"), help=_PRICE)
@explaining.explain_option
@options.json_option
def solution(
    *,
    parts: tuple[str, ...],
    make_up_to: str | None,
    added_to: str | None,
    density: str | None,
    stock: tuple[tuple[str, str], ...],
    bulk: tuple[tuple[str, str], ...],
    price: tuple[tuple[str, str], ...],
    explain: bool,
    as_json: bool,
) -> None:
    """Weigh out PARTS: "copper nitrate=40 g/l" "NH4Cl=0.5 mol/l" "nitric acid=2 % v/v"."""
    from editions.rules.solutions.mixing import mix
    from editions.rules.solutions.scaling import cost
    from editions.rules.solutions.strengths import read_density

    volume, how = _volume(make_up_to, added_to)
    wanted = _parts(parts, dict(stock), dict(bulk))
    made = mix(wanted, volume, how, read_density(density) if density else None)
    priced = cost([made], dict(price)) if price else None
    if as_json:
        both = {"cost": explaining.json_of(priced)} if priced else {}
        output.print_json({**explaining.json_of(made), **both})
    else:
        weighing.tell(made, priced)
        explaining.explained(made, explain)
    output.cautions(*weighing.topics([part.substance for part in wanted]))


@command.command()
@click.argument("strong")
@click.argument("weak")
@click.option("--to", "finished", required=True, help="How much: 750ml, 1qt; by weight 500g.")
@explaining.explain_option
@options.json_option
def dilute(strong: str, weak: str, finished: str, explain: bool, as_json: bool) -> None:
    """Dilute STRONG to WEAK with water: dilute "10 % w/v" "3 % w/v" --to 750ml."""
    from editions.rules.solutions.diluting import dilute as diluted
    from editions.rules.solutions.volumes import read_volume
    from editions.trade.quantities import read_quantity

    by_mass = strong.casefold().rstrip().endswith(("w/w", "m/m", "weight"))
    whole = read_quantity(finished, "mass") if by_mass else read_volume(finished)
    made = diluted(strong, weak, whole)
    pairs = [("stock", f"{made.stock} {made.unit}"), ("water", f"{made.water} {made.unit}")]
    explaining.tell(made, pairs, as_json=as_json, explain=explain)
    output.cautions("acids and salts")


@command.command()
@click.argument("mass", type=options.QuantityType("mass"))
@click.argument("asked")
@click.argument("on_hand")
@explaining.explain_option
@options.json_option
def swap(mass: Quantity, asked: str, on_hand: str, explain: bool, as_json: bool) -> None:
    """Weigh ON_HAND for MASS of ASKED, two hydrates of one salt.

    swap 40g "copper nitrate trihydrate" "copper nitrate 2.5-hydrate"
    """
    from editions.rules.solutions.diluting import substance
    from editions.rules.solutions.diluting import swap as swapped

    made = swapped(substance(asked), substance(on_hand), mass)
    pairs = [("asked", made.asked), ("weigh", f"{made.grams} g of {made.on_hand}")]
    explaining.tell(made, pairs, as_json=as_json, explain=explain)
    output.cautions("acids and salts")


@command.command()
@click.argument("code", metavar="RECIPE", type=options.CodeType("C"))
@click.option("--version", type=CountType(1, 100_000), help="Its version.  [default: the latest]")
@click.option("--area", help="The surface: 0.8m2, 9ft2.")
@click.option("--mass", type=options.QuantityType("mass"), help="Or: mass of the bronze, and")
@click.option("--wall", type=options.QuantityType("length"), help="its wall, 3/16in, and")
@click.option("--density", default="8.5", help="its density, g/cm3.", show_default=True)
@click.option("--spread", required=True, help="What a coat takes: 60ml/m2. Measure it once.")
@click.option("--coats", type=CountType(1, 50), default=1, help="Coats of each layer.")
@click.option("--price", multiple=True, type=PairType("NAME=VALUE"), help=_PRICE)
@explaining.explain_option
@options.json_option
@pass_desk
def recipe(
    desk: Desk,
    /,
    *,
    code: str,
    version: int | None,
    area: str | None,
    mass: Quantity | None,
    wall: Quantity | None,
    density: str,
    spread: str,
    coats: int,
    price: tuple[tuple[str, str], ...],
    explain: bool,
    as_json: bool,
) -> None:
    """Scale the layers of RECIPE to a surface: what each layer takes, and what to weigh."""
    from editions.registry.recipes import layers_of
    from editions.rules.solutions.scaling import cost, read_spread, scale
    from editions.rules.solutions.substances import mentioned

    surface = _surface(area, mass, wall, density)
    with desk.reading() as reading:
        layers = layers_of(reading, code, version)
    made = scale(layers, surface, read_spread(spread), coats)
    worked = [layer.solution for layer in made.layers if layer.solution]
    priced = cost(worked, dict(price)) if price else None
    if as_json:
        both = {"cost": explaining.json_of(priced)} if priced else {}
        output.print_json({**explaining.json_of(made), **both})
    else:
        output.record([("surface", f"{made.area_m2} m²"), ("each layer", f"{made.millilitres} ml")])
        rows = [row for layer in made.layers for row in weighing.layer_rows(layer)]
        output.block("layers", rows, ("layer", "what", "weigh", "measure", "heat"))
        weighing.tell_cost(priced)
        explaining.explained(made, explain)
    for remark in made.remarks:
        output.remarked(remark)
    spoken = [one for layer in layers for one in mentioned(layer.solution)]
    output.cautions(*weighing.topics(spoken))


@command.command()
@click.argument("names", nargs=-1, required=True)
@options.json_option
def together(names: tuple[str, ...], as_json: bool) -> None:
    """Ask whether NAMES may meet: together "liver of sulfur" vinegar. Refuses what may not."""
    from editions.rules.solutions.substances import substance
    from editions.rules.solutions.together import clashes, refuse_clashes

    meeting = [substance(name) for name in names]
    found = clashes(meeting)
    if as_json:
        import msgspec

        output.print_json(msgspec.to_builtins(found))
    for remark in refuse_clashes(meeting):
        output.remarked(remark)
    if not as_json:
        output.line(
            "Nothing is held here against them together; what is not held is not therefore safe."
            if not found
            else "Not refused; see the remarks."
        )
        for one in meeting:
            output.say(one.warns())
    output.cautions(*weighing.topics(meeting))


@command.command("list")
@options.json_option
def list_(as_json: bool) -> None:
    """List the substances known here, with formula and molar mass."""
    from editions.rules.solutions.substances import substances

    rows = [
        (
            one.name, one.formula or one.mixture or " or ".join(one.which),
            str(one.chemical().molar_mass()) if one.formula else None,
            one.colours or None, ", ".join(one.families) or None,
        )
        for one in substances()
    ]  # fmt: skip
    columns = ("name", "formula", "g/mol", "colours", "families")
    output.table(rows, columns, as_json=as_json)


def _volume(make_up_to: str | None, added_to: str | None) -> tuple[Volume, How]:
    from editions.errors import Unreadable
    from editions.rules.solutions.volumes import read_volume

    if make_up_to is not None and added_to is None:
        return read_volume(make_up_to), "made up to"
    if added_to is not None and make_up_to is None:
        return read_volume(added_to), "added to"
    raise Unreadable(
        "Made up to how much, or added to how much water?",
        "--make-up-to 1l is a litre in the end; --added-to 1l is a litre of water and the rest.",
    )


def _parts(texts: tuple[str, ...], stock: dict[str, str], bulk: dict[str, str]) -> list[Part]:
    import msgspec

    from editions.errors import NotKnown
    from editions.rules.solutions.parts import read_part
    from editions.rules.solutions.strengths import read_density, read_stock
    from editions.rules.solutions.substances import substance

    stocks = {substance(name).name: read_stock(text) for name, text in stock.items()}
    bulks = {substance(name).name: read_density(text) for name, text in bulk.items()}
    parts = [read_part(text) for text in texts]
    stray = (stocks.keys() | bulks.keys()) - {part.substance.name for part in parts}
    if stray:
        raise NotKnown(f"No {min(stray)} goes into this.", "Name it as the part is named.")
    return [
        msgspec.structs.replace(
            part, stock=stocks.get(part.substance.name), bulk=bulks.get(part.substance.name)
        )
        for part in parts
    ]


def _surface(area: str | None, mass: Quantity | None, wall: Quantity | None, density: str) -> Area:
    from editions.errors import Unreadable
    from editions.rules.measures import read_area, read_density
    from editions.rules.metal_check import check_metal

    if area is not None:
        return read_area(area)
    if mass is None or wall is None:
        raise Unreadable("The surface is not said.", "Give --area 0.8m2, or --mass and --wall.")
    surface = check_metal(read_density(density), mass=mass, wall=wall).implied_surface
    if surface is None:
        raise Unreadable("No surface follows from these.", "Give --area.")
    return surface
