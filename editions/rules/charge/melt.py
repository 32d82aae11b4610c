"""The analysis to expect of a charge.

Of each element the charge holds the sum of what its parts hold, and the melt keeps what melting
leaves of it.  What a certificate leaves to 100 per cent is carried as *other*: nothing is ever made
to add up in silence, so a certificate of 100.2 carries two tenths less than nothing::

    melt of an element = sum of mass x per cent / 100, x (1 - loss / 100)
    melt               = melt of all elements + other
    per cent           = melt of the element / melt x 100

An element that a part does not report is not zero there: it may be all that the certificate leaves
to 100.  So each figure has a least and a most that the certificates leave open, by which it can be
judged, and a wider range in which every loss is taken at its lowest and highest too.

>>> part = Part(name="85-5-5-5", source="ingot", mass=Decimal(100),
...             figures={"Cu": "85", "Sn": "5", "Pb": "5", "Zn": "5"})
>>> melt = expected([part], {"Zn": loss("Zn", "4", "4", "given")})
>>> melt.melt, melt.of("Zn").percent
(Decimal('99.8000'), Decimal('4.8096'))
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

from editions.errors import NotKnown, Unreadable
from editions.rules.alloys.analysis import NOTHING, Meaning, read_percentages, round_to
from editions.rules.charge.losses import Loss, loss, of
from editions.rules.explaining import Explained, Figures
from editions.trade.text import shown

__all__ = ["ElementExpected", "Expected", "Part", "Source", "complete", "expected", "loss"]

Source = Literal["ingot", "returns", "addition"]

# A certificate that names less than this is no full analysis; ours, no source.
LEAST_SUM = Decimal(95)
_SHOWN = 4

FORMULA = (
    "melt of an element = sum of (mass charged x its per cent / 100) x (1 - loss / 100)",
    "melt = melt of all elements + what the certificates leave to 100, carried as other",
    "per cent = melt of the element / melt x 100",
    "least and most: figures below detection at both ends",
    "what a part does not report: nothing at least, at most all its certificate leaves to 100",
    "range: that, with every loss at its lowest and highest",
)


class Part(Figures, frozen=True, kw_only=True):
    """One thing charged: its mass in kg and its analysis by per cent, as reported."""

    name: str
    source: Source
    mass: Decimal
    figures: dict[str, str]


class ElementExpected(Figures, frozen=True, kw_only=True):
    """What to expect of one element; per cent of the melt, and kg.

    ``least`` and ``most`` are what the certificates leave open, ``low`` and ``high`` what the
    losses do besides.  ``not_reported_by`` names the parts whose certificate is silent on it.
    """

    element: str
    percent: Decimal
    least: Decimal
    most: Decimal
    low: Decimal
    high: Decimal
    charged: Decimal
    lost: Decimal
    not_reported_by: tuple[str, ...]


class Expected(Explained, frozen=True, kw_only=True):
    """The melt to expect of a charge: kg, and each element by per cent."""

    charged: Decimal
    melt: Decimal
    loss_percent: Decimal
    elements: tuple[ElementExpected, ...]
    sum_percent: Decimal
    other: Decimal

    def of(self, element: str) -> ElementExpected:
        """Return what to expect of an element.

        Raises:
            NotKnown: No part reports it.
        """
        for one in self.elements:
            if one.element == element:
                return one
        raise NotKnown(f"Nothing charged reports {element}.", "See the certificates.")

    def meanings(self) -> dict[str, Meaning]:
        """Return each figure with the least and the most it can mean, as it is judged."""
        return {x.element: Meaning(x.least, x.most, f"{x.percent:f}") for x in self.elements}


class _Held(Figures, frozen=True, kw_only=True):
    """What parts hold of one element, in kg: least, expected, most; and what may be unsaid."""

    low: Decimal
    middle: Decimal
    high: Decimal
    unsaid: Decimal


class _Kept(Figures, frozen=True, kw_only=True):
    """What the melt keeps of one element, in kg, at the usual losses and at the ends of theirs."""

    least: Decimal
    middle: Decimal
    most: Decimal
    low: Decimal
    high: Decimal
    charged: Decimal
    unsaid: Decimal
    lost: Decimal


def expected(
    parts: Sequence[Part], losses: Mapping[str, Loss], *, molten: Part | None = None
) -> Expected:
    """Return the analysis to expect of a charge.

    Args:
        parts: What is charged.
        losses: What melting takes, by element; of one that is not named, nothing.
        molten: What is in the crucible already, and loses no more.

    Raises:
        Unreadable: No part, a mass that is none, or an analysis that cannot be meant.
    """
    cold = [(part, _analysis(part)) for part in parts]
    hot = [] if molten is None else [(molten, _analysis(molten))]
    every = hot + cold
    charged = sum((part.mass for part, _ in every), Decimal(0))
    if not charged:
        raise Unreadable("Nothing is charged.", "Name ingot lots, returns or additions.")
    elements = list(dict.fromkeys(x for _, figures in every for x in figures))
    kept = {x: _kept(_held(x, cold), _held(x, hot), of(losses, x)) for x in elements}
    other = charged - sum((one.charged for one in kept.values()), Decimal(0))
    melt = other + sum((one.middle for one in kept.values()), Decimal(0))
    return Expected(
        charged=charged,
        melt=round_to(melt, _SHOWN),
        loss_percent=round_to((charged - melt) / charged * 100, _SHOWN),
        elements=tuple(_element(x, kept, other, melt, _silent_on(x, every)) for x in elements),
        sum_percent=round_to((melt - other) / melt * 100, _SHOWN),
        other=round_to(other, _SHOWN),
        formula=(*FORMULA, *_loss_lines(losses, elements)),
        sources=_sources(losses, elements),
    )


def complete(part: Part) -> Part:
    """Return a part whose certificate is a full analysis.

    Raises:
        Unreadable: The analysis cannot be meant, or names less than 95 per cent.
    """
    total = sum((x.high for x in _analysis(part).values()), Decimal(0))
    if total < LEAST_SUM:
        raise Unreadable(
            f"The analysis of {part.name} adds to {total} %.",
            f"A charge is reckoned from full analyses, of {LEAST_SUM} % and more: add what is"
            " missing, copper too.",
        )
    return part


def _analysis(part: Part) -> dict[str, Meaning]:
    """Read the analysis of a part."""
    if not part.mass.is_finite() or part.mass < 0:
        raise Unreadable(f"{part.name} has a mass of {part.mass} kg.", "A mass is above zero.")
    try:
        return read_percentages(part.figures)
    except Unreadable as fault:
        raise Unreadable(f"{shown(part.name)}: {fault.message}", fault.remedy) from None


def left_to_100(figures: Mapping[str, Meaning]) -> Decimal:
    """Return what a certificate leaves unsaid, per cent; never below nothing."""
    return max(Decimal(0), 100 - sum((x.middle for x in figures.values()), Decimal(0)))


def _silent_on(element: str, read: Iterable[tuple[Part, Mapping[str, Meaning]]]) -> tuple[str, ...]:
    """Return the names of the parts that do not report an element."""
    return tuple(part.name for part, figures in read if element not in figures and part.mass)


def _held(element: str, read: Iterable[tuple[Part, Mapping[str, Meaning]]]) -> _Held:
    """Return what a charge holds of an element."""
    low = middle = high = unsaid = Decimal(0)
    for part, figures in read:
        figure = figures.get(element, NOTHING)
        unsaid += Decimal(0) if element in figures else part.mass * left_to_100(figures) / 100
        low += part.mass * figure.low / 100
        middle += part.mass * figure.middle / 100
        high += part.mass * figure.high / 100
    return _Held(low=low, middle=middle, high=high, unsaid=unsaid)


def _kept(cold: _Held, hot: _Held, taken: Loss) -> _Kept:
    """Return what the melt keeps of an element."""
    return _Kept(
        least=cold.low * taken.kept + hot.low,
        middle=cold.middle * taken.kept + hot.middle,
        most=cold.high * taken.kept + hot.high,
        low=cold.low * taken.least_kept + hot.low,
        high=cold.high * taken.most_kept + hot.high,
        charged=cold.middle + hot.middle,
        unsaid=cold.unsaid + hot.unsaid,
        lost=cold.middle * (1 - taken.kept),
    )


def _element(
    element: str, kept: Mapping[str, _Kept], other: Decimal, melt: Decimal, silent: tuple[str, ...]
) -> ElementExpected:
    """Return what to expect of an element; at its least where the rest is at its most."""
    own = kept[element]
    rest_low = other + sum(x.low for name, x in kept.items() if name != element)
    rest_high = other + sum(x.high for name, x in kept.items() if name != element)
    return ElementExpected(
        element=element,
        percent=_percent(own.middle, melt),
        # What was not reported lies in "other": it changes its name, not the melt.
        least=_percent(own.least, melt),
        most=_percent(own.most + own.unsaid, melt),
        low=_percent(own.low, own.low + rest_high),
        high=_percent(own.high + own.unsaid, own.high + rest_low),
        charged=round_to(own.charged, _SHOWN),
        lost=round_to(own.lost, _SHOWN),
        not_reported_by=silent,
    )


def _percent(mass: Decimal, total: Decimal) -> Decimal:
    """Return a share in per cent, of nothing nothing."""
    return round_to(min(mass / total * 100, Decimal(100)) if total else Decimal(0), _SHOWN)


def _loss_lines(losses: Mapping[str, Loss], elements: Iterable[str]) -> tuple[str, ...]:
    """Return the losses that were reckoned with, a line each."""
    named = [losses[x] for x in elements if x in losses]
    return tuple(
        f"loss of {one.element}: {one.usual} %"
        + (f" ({one.low} to {one.high})" if one.low != one.high else "")
        for one in named
    )


def _sources(losses: Mapping[str, Loss], elements: Iterable[str]) -> tuple[str, ...]:
    """Return where the losses were read, each source once."""
    by_source: dict[str, list[str]] = {}
    for element in elements:
        by_source.setdefault(of(losses, element).source, []).append(element)
    return tuple(f"loss of {', '.join(what)}: {source}" for source, what in by_source.items())
