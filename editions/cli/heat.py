"""``bronzebook heat``: open a heat, enter its analysis, pour its shells; reckon its charge."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from editions.cli import options, output, pouring
from editions.cli.asking import ask
from editions.cli.crucible import charge, history, judge, losses, trim
from editions.cli.desk import Desk, pass_desk
from editions.cli.words import DigestType, FigureType, PairType, pieces_argument

if TYPE_CHECKING:
    from editions.registry import Entered
    from editions.trade.heats import ChargeLine, Heat
    from editions.trade.quantities import Quantity


@click.group()
def command() -> None:
    """Plan and trim a charge; open a heat; enter its analysis; pour its shells."""


for _reckoned in (charge, trim, judge, losses, history, pouring):
    command.add_command(_reckoned.command)


@command.command("open")
@click.argument("number", type=options.TextType(24))
@click.option("--alloy", type=options.TextType(120), help="C87300, or the foundry's own word.")
@click.option("--ingot", multiple=True, metavar="LOT[=MASS]", help="An ingot lot charged.")
@click.option("--returns", multiple=True, metavar="HEAT[=MASS]", help="Returns of a heat.")
@click.option("--add", multiple=True, metavar="WHAT[=MASS]", help="An addition.")
@click.option(
    "--certificate",
    "certificates",
    multiple=True,
    type=PairType("LOT=FILE"),
    help="The certificate of a lot, kept by its digest: LOT=FILE.",
)
@click.option("--loss", "losses", multiple=True, help="Reckoned with, of an element: Zn=3..5.")
@click.option("--crucible", type=options.TextType(), default="", help="Which crucible.")
@options.code_option("H")
@options.on_option
@options.note_option
@options.json_option
@pass_desk
def open_(
    desk: Desk,
    /,
    number: str,
    alloy: str | None,
    ingot: tuple[str, ...],
    returns: tuple[str, ...],
    add: tuple[str, ...],
    certificates: tuple[tuple[str, str], ...],
    as_json: bool,
    **said: Any,
) -> None:
    """Open heat NUMBER with its alloy and its charge."""
    from editions.registry.acts.heats import open_heat

    charge = _charge(ingot, returns, add, certificates)
    alloy = ask(desk, alloy, "Which alloy", likely=_last_alloy(desk), option="--alloy")
    with desk.writing() as w:
        made = open_heat(w, number, alloy=alloy, charge=charge, **said)
    output.entered(desk, as_json, made, detail=f"{number}, {alloy}")


@command.command()
@click.argument("heat", type=options.CodeType("H"))
@click.argument("percentages", nargs=-1, required=True, type=FigureType("Cu=94.44"))
@click.option("--method", type=options.TextType(120), help="How it was found: spark OES.")
@click.option("--laboratory", type=options.TextType(120), help="Its code, or its name.")
@click.option("--edition", help="Which edition of the limits.  [default: the newest]")
@click.option("--report", type=DigestType(), help="The report's file, kept by its digest.")
@click.option("--melt", type=options.QuantityType("mass"), help="What the melt weighed.")
@options.on_option
@options.json_option
@pass_desk
def analyse(
    desk: Desk,
    /,
    heat: str,
    percentages: tuple[tuple[str, str], ...],
    method: str | None,
    as_json: bool,
    **said: Any,
) -> None:
    """Enter the analysis of HEAT and print the verdict: Cu=94.44 Si=4.26 Pb=<0.005."""
    from editions.registry.acts.heats import analyse_heat
    from editions.trade.heats import Heat

    figures = _each_once(percentages)
    method = ask(desk, method, "By which method", likely="spark OES", option="--method")
    with desk.writing() as w:
        made = analyse_heat(w, heat, figures, method=method, **said)
        judged = w.get(made.code, Heat)
    _tell_verdict(desk, made, judged, as_json=as_json)


@command.command()
@click.argument("heat", type=options.CodeType("H"))
@pieces_argument("shells")
@click.option("--metal", type=options.QuantityType("temperature"), help="Of the metal: 2000F.")
@click.option("--shell", type=options.QuantityType("temperature"), help="Of the shells.")
@options.hand_option
@options.on_option
@options.json_option
@pass_desk
def pour(
    desk: Desk,
    heat: str,
    shells: list[str],
    metal: Quantity | None,
    shell: Quantity | None,
    hand: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Pour SHELLS from HEAT, in that order: T-0101 T-0102/torso.

    A piece without a section means every section of it that is not poured yet.
    """
    from editions.registry.acts.heats import pour_heat
    from editions.registry.acts.typed import heat_of
    from editions.trade.heats import Heat

    with desk.writing() as w:
        before = len(heat_of(w, heat).shells)
        made = pour_heat(w, heat, shells, metal=metal, shell=shell, hand=hand, on=on)
        poured = w.get(made.code, Heat)
    count = len(poured.shells) - before
    detail = f"{poured.number}, {count} shell{'s' if count > 1 else ''}"
    output.entered(desk, as_json, made, detail=detail)
    if metal or shell:
        output.cautions("molten metal")


def _charge(
    ingot: tuple[str, ...],
    returns: tuple[str, ...],
    add: tuple[str, ...],
    certificates: tuple[tuple[str, str], ...],
) -> list[ChargeLine]:
    from editions.registry.acts.heats import charge_line

    lines = [charge_line("ingot", text) for text in ingot]
    lines += [charge_line("returns", text) for text in returns]
    lines += [charge_line("addition", text) for text in add]
    return _certified(lines, dict(certificates))


def _certified(lines: list[ChargeLine], certificates: dict[str, str]) -> list[ChargeLine]:
    import msgspec

    from editions.errors import NotKnown
    from editions.trade.text import shown

    stray = certificates.keys() - {line.name for line in lines}
    if stray:
        raise NotKnown(
            f"No lot {shown(min(stray))} is charged.", "Name the lot as --ingot names it."
        )
    digest = DigestType()
    return [
        msgspec.structs.replace(line, certificate=digest.read(certificates[line.name]))
        if line.name in certificates
        else line
        for line in lines
    ]


def _last_alloy(desk: Desk) -> str | None:
    """The alloy of the newest heat, which is the likely one of the next."""
    from editions.trade.heats import Heat

    if not desk.interactive:
        return None
    with desk.reading() as reading:
        heats = reading.all_of(Heat)
    return heats[-1].alloy if heats else "C87300"


def _each_once(pairs: tuple[tuple[str, str], ...]) -> dict[str, str]:
    from editions.errors import Unreadable
    from editions.trade.text import shown

    figures: dict[str, str] = {}
    for element, figure in pairs:
        if element in figures:
            raise Unreadable(f"{shown(element)} is given twice.", "Give each element once.")
        figures[element] = figure
    return figures


def _tell_verdict(desk: Desk, made: Entered, heat: Heat, *, as_json: bool) -> None:
    if as_json and desk.sheet is None:
        output.print_json([_verdict_value(made, heat)])
        return
    words = (heat.number, heat.verdict, heat.specification)
    output.entered(desk, as_json, made, detail=", ".join(part for part in words if part))
    if desk.sheet is None:
        for finding in heat.findings:
            click.echo(f"  {finding}")


def _verdict_value(made: Entered, heat: Heat) -> dict[str, Any]:
    import msgspec

    judged = ("number", "verdict", "specification", "edition", "findings")
    return {**msgspec.to_builtins(made), **{name: getattr(heat, name) for name in judged}}
