"""``bronzebook compare``: a bronze against a reference, station by station."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import PercentType, given

if TYPE_CHECKING:
    from decimal import Decimal

    from editions.cli.sides import Sides
    from editions.rules.aftercast import Comparison, Estimate
    from editions.trade.quantities import Quantity


@click.command()
@click.argument("measured", nargs=-1, metavar="[PIECE] [STATION]...")
@click.option("--against", type=options.CodeType(), help="The reference: a piece or a model.")
@click.option("--kind", help="What the reference is: documented cast, master bronze or model.")
@click.option(
    "--file", type=click.Path(), help="CSV: station, reference, bronze; base, uncertainty."
)
@click.option(
    "--uncertainty", type=options.QuantityType("length"), help="Of lengths that say none: 0.2mm."
)
@click.option("--mass", type=options.QuantityType("mass"), help="Of the bronze.")
@click.option("--reference-mass", type=options.QuantityType("mass"), help="Of the reference.")
@click.option("--mark", "marks", multiple=True, help="A mark on the bronze; may repeat.")
@click.option("--reference-mark", "their_marks", multiple=True, help="One on the reference.")
@click.option("--contraction", type=PercentType(), help="Of a generation.  [default: 2.5 %]")
@click.option("--spread", type=PercentType(), help="Between generations.  [default: 0.6 %]")
@click.option("--cast-spread", type=PercentType(), help="Between casts.  [default: 0.3 %]")
@click.option("--station-spread", type=PercentType(), help="Between stations.  [default: 0.3 %]")
@click.option("--plot", type=click.Path(dir_okay=False), help="Draw it as well: FILE.svg.")
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    measured: tuple[str, ...],
    against: str | None,
    kind: str | None,
    file: str | None,
    plot: str | None,
    explain: bool,
    as_json: bool,
    **said: Any,
) -> None:
    """Compare a bronze with a reference, by lengths at stations that both have.

    A station is tail=292.6mm, or tail=300mm:292.6mm with the reference's length before it. Each may
    say how sure it is, 292.6mm±0.2mm, and whether the base was on, /with or /without,
    at either length: height=440mm:431mm/with.

    A PIECE of the book brings its stations. Without --against it is compared with the first
    measured cast of its run, else with the model.
    """
    from editions.cli.sides import sides_of

    sides = sides_of(desk, measured, against, kind, file)
    told = _compared(sides, **said)
    if plot is not None:
        _draw(told, sides, plot)
    if as_json:
        output.print_json({"of": sides.of, "against": sides.against, **explaining.json_of(told)})
    else:
        _tell(told, sides)
        explaining.explained(told, explain)
    for remark in (*sides.notes, *told.remarks):
        output.remarked(remark)


def _compared(
    sides: Sides,
    *,
    uncertainty: Quantity | None,
    mass: Quantity | None,
    reference_mass: Quantity | None,
    marks: tuple[str, ...],
    their_marks: tuple[str, ...],
    **assumed: Decimal | None,
) -> Comparison:
    """The comparison, with what was said of either side added to what the book holds of it."""
    import msgspec

    from editions.rules.aftercast import Assumptions, compare

    bronze = msgspec.structs.replace(
        sides.bronze, mass=mass or sides.bronze.mass, marks=(*sides.bronze.marks, *marks)
    )
    reference = msgspec.structs.replace(
        sides.reference,
        mass=reference_mass or sides.reference.mass,
        marks=(*sides.reference.marks, *their_marks),
    )
    spreads = Assumptions(**given(**assumed))
    return compare(bronze, reference, sides.kind, unsure=uncertainty, assumed=spreads)


def _tell(told: Comparison, sides: Sides) -> None:
    rows = [
        (
            one.name,
            one.base,
            str(one.reference),
            str(one.measured),
            f"{one.ratio:.4f} ± {one.unsure:.4f}",
            f"{one.apart:+.1f}",
            "apart" if one.outlying else "",
        )
        for one in told.stations
    ]
    columns = ("station", "base", "reference", "bronze", "ratio", "deviations", "")
    title = f"{sides.of} against {sides.against}"
    output.block("stations", rows, columns, first=True)
    output.block(
        "generations", _generations(told.estimate), ("generation", "95 in 100", "z", "Bayes", "")
    )
    click.echo()
    lines: list[tuple[str, object]] = [("compared", title), ("reference", told.reference.says)]
    lines += [("finding", line) for line in told.says]
    lines += _beside(told)
    lines += [("cannot tell", line) for line in told.cannot_see]
    lines += [("left out", line) for line in told.left_out]
    output.record(lines)


def _generations(found: Estimate) -> list[tuple[object, ...]]:
    best = max(one.log10_bayes for one in found.generations)
    return [
        (
            one.generation,
            f"{one.low:.4f} to {one.high:.4f}",
            f"{one.z:+.2f}",
            _odds(best - one.log10_bayes),
            "consistent" if one.consistent else "inconsistent",
        )
        for one in found.generations
    ]


def _odds(log10: float) -> str:
    """How much worse than the best a generation foretells the figure; beyond 1000 only that."""
    if log10 == 0:
        return "best"
    return f"1 : {10**log10:.3g}" if log10 <= 3 else "under 1 : 1000"


def _beside(told: Comparison) -> list[tuple[str, object]]:
    """Weight and marks, each marked as the weak line it is."""
    lines: list[tuple[str, object]] = []
    if told.weight is not None:
        w = told.weight
        ratios = (
            f"{w.ratio}; at this scale {w.equal_wall} at equal wall, {w.wall_shrunk} if it shrank"
        )
        lines.append(("weight (weak)", f"{w.mass} against {w.reference}, {ratios}: {w.says}"))
    if told.marks is not None:
        both = f"on both {', '.join(told.marks.both)}: " if told.marks.both else ""
        lines.append(("marks (weak)", both + told.marks.says))
    return lines


def _draw(told: Comparison, sides: Sides, place: str) -> None:
    from editions.cli.picturing import picture
    from editions.errors import FileUnusable

    path = Path(place)
    if path.suffix.lower() != ".svg":
        raise FileUnusable(f"{path.name} is not named as a drawing.", "Name it FILE.svg.")
    path.write_text(picture(told, sides), encoding="utf-8")
    output.say(f"Drawn: {path}")
