"""``bronzebook lot``: metal as it comes in, with the analysis of its certificate."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import ChoiceType, DigestType

if TYPE_CHECKING:
    from editions.registry import Entered, Reading, Writing
    from editions.rules.alloys.reports import Report
    from editions.trade.metal import Lot
    from editions.trade.quantities import Quantity


@click.group()
def command() -> None:
    """Take in ingot and additions with their certificates; list what is left."""


@command.command()
@click.argument("name", type=options.TextType(120))
@click.argument("percentages", nargs=-1, required=True, type=options.TextType(200))
@click.option("--kind", "source", type=ChoiceType(("ingot", "addition"), "kind"), default="ingot")
@click.option("--mass", type=options.QuantityType("mass"), help="What came in: 250 kg.")
@click.option("--certificate", type=DigestType(), help="The certificate's file, kept by digest.")
@options.code_option("L")
@options.on_option
@options.json_option
@pass_desk
def receive(
    desk: Desk,
    /,
    name: str,
    percentages: tuple[str, ...],
    mass: Quantity | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Take in lot NAME with its analysis: Cu=94.60 Si=4.10 Pb<0.005 Fe=800ppm."""
    from editions.registry.acts.metal import receive_lot
    from editions.rules.alloys.reports import read_figures

    figures = read_figures(" ".join(percentages))
    with desk.writing() as w:
        made = receive_lot(w, name, figures, mass=mass, **said)
    output.entered(desk, as_json, made, detail=f"{name}, {mass}" if mass else name)


@command.command()
@click.argument("file")
@click.option("--decimal-comma", is_flag=True, help="The file writes 94,60.")
@options.on_option
@options.json_option
@pass_desk
def read(desk: Desk, /, file: str, decimal_comma: bool, on: str | None, as_json: bool) -> None:
    """Take in every lot of FILE.csv, or none: columns lot, kind, mass, and elements."""
    from editions.cli.crucible.floor import read_text
    from editions.rules.alloys.reports import read_sheet

    reports = read_sheet(read_text(file), decimal_comma=decimal_comma)
    with desk.writing() as w:
        made = [_received(w, report, on) for report in reports]
    output.entered(desk, as_json, *made, detail=[report.name for report in reports])


@command.command("list")
@options.json_option
@pass_desk
def list_(desk: Desk, as_json: bool) -> None:
    """List the lots of the book: what came in, and what is left."""
    from editions.trade.metal import Lot

    with desk.reading() as reading:
        rows = [
            (lot.code, lot.source, lot.name, lot.mass and str(lot.mass), _left(reading, lot))
            for lot in reading.all_of(Lot)
        ]
    output.table(rows, ("code", "kind", "lot", "came in", "left"), as_json=as_json)


def _received(w: Writing, report: Report, on: str | None) -> Entered:
    from editions.errors import Unreadable
    from editions.registry.acts.metal import receive_lot
    from editions.rules.charge.stock import lot_of_report
    from editions.trade.quantities import read_quantity

    kind = lot_of_report(report).source
    if kind == "returns":
        raise Unreadable(
            f"{report.name} is of kind returns.", "Returns are known by their heat; leave it out."
        )
    mass = report.more.get("mass")
    return receive_lot(
        w,
        report.name,
        report.figures,
        source=kind,
        mass=None if mass is None else read_quantity(mass, "mass"),
        on=on,
    )


def _left(reading: Reading, lot: Lot) -> str | None:
    from editions.cli.crucible.book import left_in_kilograms

    left = left_in_kilograms(reading, lot.code)
    return None if left is None else f"{left.normalize():f} kg"
