"""What a foundry's own heats say of its losses, and how a heat came out against what was expected.

Of each heat that was analysed and whose charge is known part by part, the share of an element that
the melt kept is, where the melt was weighed, and else against copper, whose loss is known best::

    kept = analysed % x melt / charged
    kept = (analysed % / charged) / (analysed Cu % / charged Cu) x (1 - loss of copper)

The loss is the median over the heats, its spread 1.4826 times the median absolute deviation from
it, which one bad heat does not move (Rousseeuw and Croux, 1993).  A loss below nothing is kept as
found: the element was picked up.  Fewer than three heats say nothing yet.

>>> robust([Decimal(3), Decimal(4), Decimal(5), Decimal(40)])
(Decimal('4.5'), Decimal('1.48260'))
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from statistics import median

from editions.rules.alloys.analysis import Meaning, read_percentages, round_to
from editions.rules.charge.losses import Loss, of
from editions.rules.charge.melt import Expected, Part
from editions.rules.explaining import Explained, Figures

# Below this share of a charge the analysis says more of the laboratory than of the loss; ours.
LEAST_SHARE = Decimal("0.2")
FEWEST = 3
# 1 / 0.6745: makes the deviation comparable to a standard deviation (Rousseeuw and Croux, 1993).
_TO_SIGMA = Decimal("1.4826")
_ANCHOR = "Cu"
_SHOWN = 4


class PastHeat(Figures, frozen=True, kw_only=True):
    """A heat of which charge and analysis are known; ``melt`` in kg where it was weighed."""

    number: str
    parts: tuple[Part, ...]
    analysed: dict[str, str]
    melt: Decimal | None = None


class LearnedLoss(Figures, frozen=True, kw_only=True):
    """An element's loss over the heats that tell it: median, spread, and how many heats."""

    element: str
    loss: Decimal
    spread: Decimal
    heats: int
    lowest: Decimal
    highest: Decimal


class Learned(Explained, frozen=True, kw_only=True):
    """The foundry's own losses, by element, and how many heats were looked at."""

    heats: int
    losses: tuple[LearnedLoss, ...]

    def usable(self) -> tuple[Loss, ...]:
        """Return the losses that enough heats tell, as they are reckoned with; never below 0."""
        return tuple(_as_loss(one) for one in self.losses if one.heats >= FEWEST)


class Compared(Figures, frozen=True, kw_only=True):
    """One element of a heat: expected, analysed, and whether that lies within the range."""

    element: str
    expected: Decimal
    low: Decimal
    high: Decimal
    analysed: str
    difference: Decimal
    says: str


def learn(heats: Sequence[PastHeat], losses: Mapping[str, Loss]) -> Learned:
    """Return the losses that past heats tell.

    Args:
        heats: Heats with their charge and analysis.
        losses: What is reckoned with for copper, where a melt was not weighed.
    """
    found: dict[str, list[Decimal]] = {}
    for heat in heats:
        for element, lost in losses_of(heat, losses).items():
            found.setdefault(element, []).append(lost)
    return Learned(
        heats=len(heats),
        losses=tuple(_learned(element, figures) for element, figures in found.items()),
        formula=(
            "kept = analysed % x melt / charged, where the melt was weighed",
            "kept = (analysed % / charged) / (the same of Cu) x (1 - loss of Cu), elsewhere",
            "loss = median of 100 (1 - kept); spread = 1.4826 x median absolute deviation",
            f"elements below {LEAST_SHARE} % of a charge, or not reported throughout, are left out",
            f"used in planning from {FEWEST} heats on",
        ),
        sources=(
            "Rousseeuw and Croux, Alternatives to the median absolute deviation, 1993",
            f"loss of {_ANCHOR}: {of(losses, _ANCHOR).source}",
        ),
    )


def losses_of(heat: PastHeat, losses: Mapping[str, Loss]) -> dict[str, Decimal]:
    """Return what one heat says was lost of each element, per cent of what was charged."""
    read = [(part.mass, read_percentages(part.figures)) for part in heat.parts]
    total = sum((mass for mass, _ in read), Decimal(0))
    analysed = {x: y.low for x, y in read_percentages(heat.analysed).items() if y.low == y.high}
    charged = {
        element: mass
        for element in analysed
        if (mass := _charged(element, read)) is not None and mass > total * LEAST_SHARE
    }
    melt = heat.melt if heat.melt is not None else _melt_by_copper(charged, analysed, losses)
    if melt is None:
        return {}
    found = {x: 100 - 100 * analysed[x] * melt / mass for x, mass in charged.items()}
    if heat.melt is None:
        found.pop(_ANCHOR)
    return found


def robust(figures: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """Return the median, and the median absolute deviation on the scale of a deviation."""
    middle = median(figures)
    return middle, _TO_SIGMA * median([abs(x - middle) for x in figures])


def compared(melt: Expected, analysed: Mapping[str, str]) -> tuple[Compared, ...]:
    """Return expected against analysed, for each element of which both are known."""
    read = read_percentages(analysed)
    return tuple(
        _compared(melt, x, read[x]) for x in read if x in {y.element for y in melt.elements}
    )


def _compared(melt: Expected, element: str, found: Meaning) -> Compared:
    """Return one element, expected against analysed."""
    one = melt.of(element)
    places = len(found.written.partition(".")[2])
    low, high = round_to(one.low, places), round_to(one.high, places)
    says = "as expected"
    if found.low > high:
        says = f"above the range by {found.low - high}"
    elif found.high < low:
        says = f"below the range by {low - found.high}"
    return Compared(
        element=element,
        expected=one.percent,
        low=one.low,
        high=one.high,
        analysed=found.written,
        difference=found.middle - one.percent,
        says=says,
    )


def _charged(element: str, read: Sequence[tuple[Decimal, Mapping[str, Meaning]]]) -> Decimal | None:
    """Return what was charged of an element, kg times 100; None where a part does not say."""
    held = Decimal(0)
    for mass, figures in read:
        figure = figures.get(element)
        if figure is None or figure.low != figure.high:
            return None
        held += mass * figure.low
    return held


def _melt_by_copper(
    charged: Mapping[str, Decimal], analysed: Mapping[str, Decimal], losses: Mapping[str, Loss]
) -> Decimal | None:
    """Return the melt, in kg, that copper's known loss makes of a charge."""
    if _ANCHOR not in charged or not analysed[_ANCHOR]:
        return None
    return charged[_ANCHOR] * of(losses, _ANCHOR).kept / analysed[_ANCHOR]


def _learned(element: str, figures: Sequence[Decimal]) -> LearnedLoss:
    """Return an element's loss over its heats."""
    middle, spread = robust(figures)
    return LearnedLoss(
        element=element,
        loss=round_to(middle, _SHOWN),
        spread=round_to(spread, _SHOWN),
        heats=len(figures),
        lowest=round_to(min(figures), _SHOWN),
        highest=round_to(max(figures), _SHOWN),
    )


def _as_loss(one: LearnedLoss) -> Loss:
    """Return a learned loss with its spread as its range."""
    nothing = Decimal(0)
    return Loss(
        element=one.element,
        low=max(nothing, one.loss - one.spread),
        usual=max(nothing, one.loss),
        high=max(nothing, one.loss + one.spread),
        source=f"own heats: median of {one.heats}, spread {one.spread}",
    )
