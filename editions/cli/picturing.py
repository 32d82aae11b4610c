"""A comparison drawn: what the statistics found, as the figures of a chart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.charts.stations import Bar, Words, Zone, signed, stations_chart

if TYPE_CHECKING:
    from editions.cli.sides import Sides
    from editions.rules.aftercast import Comparison, Estimate


def picture(told: Comparison, sides: Sides) -> str:
    """The comparison drawn, as SVG text."""
    found = told.estimate
    reach = f"{signed(_percent(found.low))} to {signed(_percent(found.high))} %, 95 in 100"
    said = Words(
        title=f"Size of {sides.of} against {sides.against}",
        subtitle=f"{found.stations} stations: {signed(_percent(found.scale))} % ({reach})",
        description=" ".join((*told.says, *told.cannot_see)),
        notes=(f"Finding: {found.verdict}.", told.reference.says, *told.cannot_see),
    )
    return stations_chart(said, _bars(told), _wholes(told), _zones(found))


def _percent(scale: float) -> float:
    return 100 * (scale - 1)


def _bars(told: Comparison) -> list[Bar]:
    return [
        Bar(
            one.name,
            _percent(one.ratio),
            _percent(one.ratio - 1.96 * one.unsure),
            _percent(one.ratio + 1.96 * one.unsure),
            one.outlying,
        )
        for one in told.stations
    ]


def _wholes(told: Comparison) -> list[Bar]:
    wholes = [_whole("all stations", told.estimate)]
    if told.without_outlying is not None:
        wholes.append(_whole("without those apart", told.without_outlying)._replace(apart=True))
    return wholes


def _whole(label: str, found: Estimate) -> Bar:
    return Bar(label, _percent(found.scale), _percent(found.low), _percent(found.high))


def _zones(found: Estimate) -> list[Zone]:
    return [
        Zone(
            f"generation {one.generation}",
            _percent(one.low),
            _percent(one.high),
            one.consistent,
        )
        for one in found.generations
    ]
