"""Own alloys and lots of metal, described."""

from __future__ import annotations

from typing import TYPE_CHECKING

from editions.cli.showing.block import Block, Shown, of
from editions.trade.heats import Heat
from editions.trade.metal import LimitLine, Lot, OwnAlloy, Stated
from editions.trade.quantities import decimal_text

if TYPE_CHECKING:
    from editions.registry import Reading


def alloy(state: OwnAlloy, reading: Reading) -> Shown:  # noqa: ARG001 - as every description
    """An own alloy: the limits of its newest version, and when each was stated."""
    newest = state.versions[-1]
    return Shown(
        state.code,
        state.name,
        (
            ("title", state.title),
            ("version", len(state.versions)),
            ("sum at least", newest.total),
            ("copper plus nickel", "to the minimum" if newest.copper_plus_nickel else ""),
            ("density", f"{newest.density} g/cm3" if newest.density else ""),
            ("source", newest.source),
        ),
        (
            Block("limits", ("element", "lowest", "highest", "counts"), _limits(newest)),
            Block(
                "versions",
                ("version", "stated", "source"),
                tuple((n, one.on, one.source) for n, one in enumerate(state.versions, 1)),
            ),
        ),
    )


def lot(state: Lot, reading: Reading) -> Shown:
    """A lot: its analysis, what came in, what is left, and the heats that took of it."""
    from editions.rules.judging.lots import left_of

    took = reading.linked("charged from", state.code)
    heats = tuple(heat for heat in took if isinstance(heat, Heat))
    left = left_of(state, heats)
    return Shown(
        state.code,
        f"lot {state.name}",
        (
            ("kind", state.source),
            ("came in", state.mass),
            ("left", "" if left is None else f"{decimal_text(left, 3)} kg"),
            ("certificate", state.certificate),
        ),
        (
            Block("analysis", ("element", "per cent"), tuple(state.percentages.items())),
            Block("charged", ("heat",), tuple((of(reading, heat.code),) for heat in heats)),
        ),
    )


def _limits(stated: Stated) -> tuple[tuple[object, ...], ...]:
    return tuple(map(_limit, stated.limits))


def _limit(line: LimitLine) -> tuple[object, ...]:
    return (line.element, line.low, line.high, line.includes)
