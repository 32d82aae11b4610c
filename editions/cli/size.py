"""``bronzebook size``: from model to wax to bronze and back, and a first cast's reference."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, cast

import click

from editions.cli import explaining, options, output
from editions.cli.desk import Desk, pass_desk
from editions.cli.measures import RateType

if TYPE_CHECKING:
    from collections.abc import Sequence

    from editions.registry import Reading
    from editions.rules.contraction import Of, Sizes, Stage
    from editions.rules.rates import Rate
    from editions.rules.reference import ReferenceProposal
    from editions.trade.quantities import Quantity
    from editions.trade.statement import Station

# A figure and perhaps a unit; anything else is a code or a tag.
_LENGTH = re.compile(r"[0-9][0-9.,/\s]*(?:-[0-9]+/[0-9]+)?\s*(?:[a-z]+|[\"'″′])?", re.IGNORECASE)


@click.command()
@click.argument("what", required=False, type=options.TextType(120), metavar="[LENGTH|MODEL|PIECE]")
@click.argument("stations", nargs=-1, metavar="[STATION=LENGTH]...")
@click.option(
    "--of",
    type=click.Choice(("model", "wax", "bronze"), case_sensitive=False),
    default="model",
    help="What LENGTH is the length of.  [default: model]",
)
@click.option("--wax", type=RateType(), help="Contraction of the wax: 1.2%.")
@click.option("--investment", type=RateType(), help="By how much the fired mold grows: 0.5%.")
@click.option("--metal", type=RateType(), help="Contraction of the metal: 1.8%, 3/16in/ft.")
@click.option("--alloy", type=options.TextType(120), help="Of its metal, as held: C87300.")
@click.option("--whole", type=RateType(), help="Model to bronze in all.  [default: 2.1%]")
@click.option("--rate", type=RateType(), help="Say a contraction in the trade's other words.")
@click.option("--enter", is_flag=True, help="Enter STATIONS as PIECE's own, without asking.")
@explaining.explain_option
@options.json_option
@pass_desk
def command(
    desk: Desk,
    /,
    *,
    what: str | None,
    stations: tuple[str, ...],
    of: str,
    alloy: str | None,
    rate: Rate | None,
    enter: bool,
    explain: bool,
    as_json: bool,
    **rates: Rate | None,
) -> None:
    """Reckon model, wax and bronze from one length: size 450mm --of bronze.

    Of a MODEL every station is reckoned. The stations of a PIECE, in the book or typed, are
    proposed as the reference its run is compared with; typed ones are entered when you confirm.
    """
    from editions.errors import Unreadable

    how = {"explain": explain, "as_json": as_json}
    if rate is not None:
        _say_rate(rate, **how)
    if what is None:
        if rate is None:
            raise Unreadable("No length is given.", "Write: size 450mm, or size 450mm --of bronze.")
        return
    kept = _stages(rates, alloy)
    if _LENGTH.fullmatch(what.strip()):
        _say_length(what, cast("Of", of), kept, **how)
    elif what.strip().upper().startswith("D-"):
        _say_model(desk, what, kept, **how)
    else:
        _propose(desk, what, stations, enter=enter, **how)


def _stages(rates: dict[str, Rate | None], alloy: str | None) -> tuple[Stage, ...]:
    """The stages said, in the order they happen.

    Raises:
        Unreadable: If the metal's contraction is said twice.
    """
    from editions.errors import Unreadable
    from editions.rules.contraction import WHOLE, Stage, metal_stage

    if alloy is not None and rates["metal"] is not None:
        raise Unreadable("--metal and --alloy both say how the metal contracts.", "Give one.")
    said = [
        Stage(name=cast("Any", name), rate=rate, grows=name == "investment")
        for name in ("wax", "investment", "metal", "whole")
        if (rate := rates[name]) is not None
    ]
    if alloy is not None:
        said.append(metal_stage(alloy))
    return tuple(said) or (WHOLE,)


def _say_rate(rate: Rate, *, explain: bool, as_json: bool) -> None:
    from editions.rules.rates import say_rate

    told = say_rate(rate)
    lines: list[tuple[str, object]] = [
        ("contraction", told.rate),
        ("of the pattern", f"{told.percent} %"),
        ("inches to the foot", f"{told.inches_per_foot}, a rule of {told.nearest_rule} is nearest"),
        ("of the casting", f"{told.of_casting_percent} %, as a shrink rule is laid out"),
    ]
    explaining.tell(told, lines, as_json=as_json, explain=explain)


def _say_length(
    text: str, of: Of, stages: Sequence[Stage], *, explain: bool, as_json: bool
) -> None:
    from editions.rules.contraction import sizes
    from editions.trade.quantities import read_quantity

    told = sizes(read_quantity(text, "length"), of, stages)
    explaining.tell(told, _lines(told), as_json=as_json, explain=explain)
    for remark in told.remarks:
        output.remarked(remark)


def _lines(told: Sizes) -> list[tuple[str, object]]:
    ranged = ""
    if told.least is not None and told.most is not None:
        ranged = f" ({_shown(told.least)} to {_shown(told.most)})"
    return [
        ("model", _shown(told.model) + (ranged if told.ranged == "model" else "")),
        ("wax", _shown(told.wax)),
        ("bronze", _shown(told.bronze) + (ranged if told.ranged == "bronze" else "")),
        ("an aftercast of it", _shown(told.aftercast)),
        ("contraction", f"{told.contraction_percent} % {told.convention}"),
    ]


def _shown(length: Quantity | None) -> str:
    """A length to a tenth of a millimetre; inches as a rule is marked as well."""
    from fractions import Fraction

    from editions.rules.rates import in_parts

    if length is None:
        return ""
    if length.unit in ("in", "ft"):
        inches = in_parts(length.exact() / Fraction(254, 10))
        return f"{length.to('in', 3)} in ({inches} in)"
    places = {"mm": 1, "cm": 2, "m": 4}[length.unit]
    return f"{length.to(length.unit, places)} {length.unit}"


def _say_model(
    desk: Desk, code: str, stages: Sequence[Stage], *, explain: bool, as_json: bool
) -> None:
    """Reckon every station of a model that the book holds."""
    from editions.errors import NotKnown
    from editions.rules.contraction import sizes
    from editions.rules.reference import latest
    from editions.trade.works import Model

    with desk.reading() as reading:
        model = reading.get(code.strip().upper(), Model)
    stations = list(latest(model.stations).values())
    if not stations:
        raise NotKnown(
            f"{model.code} was not measured.", f"Measure it: model measure {model.code} tail=300mm."
        )
    told = [(station, sizes(station.length, "model", stages)) for station in stations]
    if as_json:
        output.print_json([{"station": s.name, **explaining.json_of(one)} for s, one in told])
        return
    rows = [
        (s.name, s.base, str(s.length), _shown(one.wax), _shown(one.bronze), _spread(one))
        for s, one in told
    ]
    output.table(rows, ("station", "base", "model", "wax", "bronze", "from to"))
    explaining.explained(told[0][1], explain)
    for remark in told[0][1].remarks:
        output.remarked(remark)


def _spread(told: Sizes) -> str:
    if told.least is None or told.most is None:
        return ""
    return f"{_shown(told.least)} to {_shown(told.most)}"


def _propose(
    desk: Desk, name: str, typed: Sequence[str], *, enter: bool, explain: bool, as_json: bool
) -> None:
    """Propose a cast's stations as its run's reference; enter those typed, once confirmed."""
    from editions.registry.acts.typed import piece_of
    from editions.rules.reference import propose_reference
    from editions.trade.stations import read_station

    stations = [read_station(text) for text in typed]
    with desk.reading() as reading:
        piece = piece_of(reading, name)
        model = _model_stations(reading, piece.run)
    told = propose_reference(stations or piece.stations, model)
    if as_json and not enter:
        output.print_json(explaining.json_of(told))
    elif not as_json:
        _tell_proposal(told)
        explaining.explained(told, explain)
    for remark in told.remarks:
        output.remarked(remark)
    if stations:
        _confirmed(desk, piece.code, stations, enter=enter, as_json=as_json)


def _model_stations(reading: Reading, run: str | None) -> tuple[Station, ...]:
    """The stations of the model that a run is cast from."""
    from editions.trade.runs import Run
    from editions.trade.works import Model

    declared = reading.state(run) if run else None
    model = declared.declared.model if isinstance(declared, Run) else None
    held = reading.state(model) if model else None
    return held.stations if isinstance(held, Model) else ()


def _tell_proposal(told: ReferenceProposal) -> None:
    rows = [
        (
            line.name,
            line.base,
            str(line.length),
            f"± {line.uncertainty}" if line.uncertainty else "",
            None if line.model is None else str(line.model),
            "" if line.contraction_percent is None else f"{line.contraction_percent} %",
            line.says,
        )
        for line in told.lines
    ]
    columns = ("station", "base", "first cast", "sure to", "model", "smaller", "finding")
    output.table(rows, columns, title="Proposed as the reference of its run")
    if told.contraction_percent is not None:
        output.record([("contraction of the run", f"{told.contraction_percent} %")])


def _confirmed(
    desk: Desk, piece: str, stations: Sequence[Station], *, enter: bool, as_json: bool
) -> None:
    """Enter stations as those of a piece, where whoever measured confirms."""
    from editions.registry.acts.pieces import measure_piece
    from editions.trade.stations import station_text

    if not enter and not (
        desk.interactive and click.confirm(f"Enter these as measured on {piece}?", err=True)
    ):
        output.say("Nothing was entered. To enter them, add --enter.")
        return
    with desk.writing() as w:
        made = measure_piece(w, piece, stations)
    output.entered(desk, as_json, made, detail=", ".join(map(station_text, stations)))
