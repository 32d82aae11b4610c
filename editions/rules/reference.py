"""Reference measurements proposed from the first cast: a proposal that somebody confirms.

Casts of a run are compared with a documented cast of it, not with the model, which is larger.  So
the first cast is measured at fixed stations, and before its figures are registered they are looked
at: is each as much smaller than the model as bronze is, does it say how sure it is, are there
enough.  Nothing here is entered; the person who measured confirms.

>>> cast = Station(name="tail", length=Quantity("293.6", "mm"))
>>> model = Station(name="tail", length=Quantity("300", "mm"))
>>> proposed = propose_reference([cast], [model])
>>> str(proposed.lines[0].contraction_percent), proposed.lines[0].says
('2.13', 'as published')
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from statistics import median

from editions.errors import Unreadable
from editions.rules.contraction import PUBLISHED
from editions.rules.explaining import Explained, Figures, rounded
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.text import shown

ENOUGH = 5

SOURCES = (
    "A bronze is legitimately smaller than its model, so compare with a documented cast.",
    "Stations by callipers, fixed, not across joints; overall height is unreliable (JAIC; Getty).",
    "Model to bronze in all 1.5 to 2.7 % smaller (published).",
)


class ReferenceLine(Figures, frozen=True, kw_only=True):
    """One station as proposed; the contraction is None where the model was not measured there."""

    name: str
    base: str
    length: Quantity
    uncertainty: Quantity | None
    model: Quantity | None = None
    contraction_percent: Decimal | None = None
    doubtful: bool = False
    says: str


class ReferenceProposal(Explained, frozen=True, kw_only=True):
    """Every station of the first cast, the contraction that it shows, and what is to be mended."""

    lines: tuple[ReferenceLine, ...]
    contraction_percent: Decimal | None
    remarks: tuple[str, ...] = ()


def propose_reference(cast: Sequence[Station], model: Sequence[Station] = ()) -> ReferenceProposal:
    """Return the reference measurements that a first cast offers.

    Args:
        cast: The first cast's stations.
        model: The stations of the model that its mold was taken from, where measured.

    Raises:
        Unreadable: Nothing was measured, or a station is named twice.
    """
    if not cast:
        raise Unreadable("The first cast has no stations.", "Measure it: tail=293.6mm±0.2mm.")
    _refuse_zero([*cast, *model])
    of_model = latest(model)
    if len(latest(cast)) < len(cast):
        raise Unreadable("A station is named twice.", "Name each once, with or without the base.")
    lines = tuple(_line(station, of_model.get(key(station))) for station in cast)
    seen = [Fraction(x.contraction_percent) for x in lines if x.contraction_percent is not None]
    return ReferenceProposal(
        lines=lines,
        contraction_percent=rounded(median(seen), 2) if seen else None,
        remarks=_remarks(lines),
        formula=(
            "contraction = 1 - cast / model, each station alone; together their median",
            "reference = the first cast's own lengths, as measured",
        ),
        sources=SOURCES,
    )


def key(station: Station) -> tuple[str, str]:
    """Return what makes two stations the same: the name in any case, and the base."""
    return station.name.casefold(), station.base


def latest(stations: Sequence[Station]) -> dict[tuple[str, str], Station]:
    """Return stations by name and base, the last measured of each."""
    return {key(station): station for station in stations}


def is_overall(name: str) -> bool:
    """Whether a station is an overall height, which a base or a tilt easily changes."""
    plain = name.casefold()
    return "height" in plain and ("overall" in plain or "total" in plain or plain == "height")


def _line(station: Station, model: Station | None) -> ReferenceLine:
    smaller = None
    says, doubtful = "the model was not measured there", False
    if model is not None:
        smaller = 100 * (1 - station.length.exact() / model.length.exact())
        doubtful = not _as_published(smaller, station, model)
        low, high = PUBLISHED["whole"]
        says = f"outside {low} to {high} %: measure again" if doubtful else "as published"
    return ReferenceLine(
        name=station.name,
        base=station.base,
        length=station.length,
        uncertainty=station.uncertainty,
        model=model.length if model else None,
        contraction_percent=None if smaller is None else rounded(smaller, 2),
        doubtful=doubtful,
        says=says,
    )


def _as_published(smaller: Fraction, station: Station, model: Station) -> bool:
    """Whether a contraction, with twice its uncertainty, meets the published range."""
    unsure = [
        100 * x.uncertainty.exact() / x.length.exact() for x in (station, model) if x.uncertainty
    ]
    slack = 2 * sum(unsure, Fraction(0))
    low, high = (Fraction(text) for text in PUBLISHED["whole"])
    return low - slack <= smaller <= high + slack


def _refuse_zero(stations: Sequence[Station]) -> None:
    for station in stations:
        if not station.length.exact():
            raise Unreadable(f"{shown(station.name)} has a length of zero.", "Measure it again.")


def _remarks(lines: Sequence[ReferenceLine]) -> tuple[str, ...]:
    remarks = []
    if len(lines) < ENOUGH:
        remarks.append(f"{len(lines)} stations: at least {ENOUGH} make a reference, up to 30 help.")
    unsure = dict.fromkeys(line.name for line in lines if line.uncertainty is None)
    if unsure:
        remarks.append(f"No uncertainty is said of {', '.join(unsure)}: add it, 293.6mm±0.2mm.")
    remarks += [
        f"{line.name} is an overall height: unreliable, say with or without the base."
        for line in lines
        if is_overall(line.name) and not line.base
    ]
    return tuple(remarks)
