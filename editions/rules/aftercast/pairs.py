"""Stations measured on both the bronze and its reference, paired like with like.

Two stations are the same where name and base agree; a length taken with the base is never set
against one without.  A length that does not say how sure it is takes the uncertainty given for all.
``±`` is one standard uncertainty: two readings in three lie within it.

>>> bronze = [Station(name=name, length=Quantity("292.6", "mm")) for name in ("tail", "beak")]
>>> model = [Station(name=name, length=Quantity("300", "mm")) for name in ("Tail", "beak", "foot")]
>>> pairs, alone = pair_stations(bronze, model, Quantity("0.15", "mm"))
>>> pairs[0].name, float(round(pairs[0].ratio, 4)), alone
('tail', 0.9753, ('foot: not measured on the bronze',))
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.explaining import Figures
from editions.rules.reference import key, latest
from editions.trade.quantities import Quantity
from editions.trade.statement import Station
from editions.trade.text import shown

FEWEST = 2
_FARTHEST = 3  # times larger or smaller: beyond, a unit was mistaken


class Pair(Figures, frozen=True, kw_only=True):
    """One station: its length on the reference and on the bronze, each with its uncertainty."""

    name: str
    base: str
    reference: Quantity
    reference_unsure: Quantity
    measured: Quantity
    measured_unsure: Quantity

    @property
    def ratio(self) -> Fraction:
        """The bronze's length against the reference's, exactly."""
        return self.measured.exact() / self.reference.exact()

    @property
    def variance(self) -> Fraction:
        """Variance of the logarithm of the ratio, by how sure both lengths are."""
        parts = (
            (self.measured_unsure, self.measured),
            (self.reference_unsure, self.reference),
        )
        return sum(((u.exact() / length.exact()) ** 2 for u, length in parts), Fraction(0))


def pair_stations(
    bronze: Sequence[Station], reference: Sequence[Station], unsure: Quantity | None = None
) -> tuple[tuple[Pair, ...], tuple[str, ...]]:
    """Return the stations that both have, in the bronze's order, and why others are left out.

    Args:
        bronze: As measured on the bronze; of one measured twice the last counts.
        reference: As measured on the reference.
        unsure: The standard uncertainty of a length that says none.

    Raises:
        Unreadable: Fewer than two pairs, a length or uncertainty of zero, none said, or a bronze
            three times larger or smaller than its reference.
    """
    _refuse_unmeasured(bronze, reference)
    theirs = latest(reference)
    pairs = tuple(
        _pair(station, theirs[name], unsure)
        for name, station in latest(bronze).items()
        if name in theirs
    )
    alone = _left_out(bronze, reference)
    if len(pairs) < FEWEST:
        raise Unreadable(_too_few(len(pairs)), "; ".join(alone) or "Measure at least five on both.")
    return pairs, alone


def _refuse_unmeasured(bronze: Sequence[Station], reference: Sequence[Station]) -> None:
    for stations, of in ((bronze, "the bronze"), (reference, "the reference")):
        if not stations:
            raise Unreadable(
                f"Nothing was measured on {of}.",
                "Measure at least five stations on both: tail=300mm:292.6mm.",
            )


def _too_few(count: int) -> str:
    if count:
        return "One station cannot tell a smaller bronze from a bent limb."
    return "No station was measured alike on both."


def _pair(bronze: Station, reference: Station, unsure: Quantity | None) -> Pair:
    pair = Pair(
        name=bronze.name,
        base=bronze.base,
        reference=reference.length,
        reference_unsure=_unsure(reference, unsure, "the reference"),
        measured=bronze.length,
        measured_unsure=_unsure(bronze, unsure, "the bronze"),
    )
    if not 1 / Fraction(_FARTHEST) < pair.ratio < _FARTHEST:
        raise Unreadable(
            f"{shown(pair.name)} is {pair.measured} against {pair.reference}.",
            "Is the unit right? A bronze three times larger or smaller is another work.",
        )
    return pair


def _unsure(station: Station, unsure: Quantity | None, of: str) -> Quantity:
    """Return how sure a length is, refused where it cannot be used."""
    said = station.uncertainty or unsure
    name = shown(station.name)
    if not station.length.exact():
        raise Unreadable(f"{name} has a length of zero on {of}.", "Measure it again.")
    if said is None:
        raise Unreadable(
            f"{name} does not say how sure it is on {of}.",
            "Write tail=300mm±0.2mm, or one for all: --uncertainty 0.2mm. Callipers on bronze are"
            " rarely surer than 0.2 mm, a tape than 1 mm (common practice, no source).",
        )
    if not said.exact():
        raise Unreadable(
            f"The uncertainty of {name} is zero on {of}; no calliper is that sure.",
            "Measure it three times and say how far apart the readings lie.",
        )
    if said.exact() >= station.length.exact():
        raise Unreadable(f"{name} is less sure than it is long on {of}.", "Check both figures.")
    return said


def _left_out(bronze: Sequence[Station], reference: Sequence[Station]) -> tuple[str, ...]:
    """Return a line for each station that has no like on the other side."""
    mine, theirs = latest(bronze), latest(reference)
    lines = [
        _alone(mine[name], theirs, ("the bronze", "the reference"))
        for name in mine
        if name not in theirs
    ]
    names = {name for name, _ in mine}
    lines += [
        _alone(theirs[name], {}, ("the reference", "the bronze"))
        for name in theirs
        if name[0] not in names
    ]
    return tuple(lines)


def _alone(station: Station, others: dict[tuple[str, str], Station], where: tuple[str, str]) -> str:
    """Say why a station is left out: measured otherwise there, or not at all."""
    like = next((one for (name, _), one in others.items() if name == key(station)[0]), None)
    if like is None:
        base = f", {_based(station)}" if station.base else ""
        return f"{station.name}{base}: not measured on {where[1]}"
    told = f"{_based(station)} on {where[0]}, {_based(like)} on {where[1]}"
    unsaid = "" if station.base and like.base else "; add /with or /without to the length"
    return f"{station.name}: {told}{unsaid}"


def _based(station: Station) -> str:
    return f"{station.base} the base" if station.base else "nothing said of the base"
