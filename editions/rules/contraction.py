"""From model to wax to bronze and back: what each stage takes, by a convention that is named.

A contraction is **of the pattern**: casting = pattern · (1 - s).  Stages follow each other: wax
shrinks in the mold, an investment may grow when it is fired, metal shrinks as it cools.  Where no
stage is named, the whole published contraction stands for all of them, with its range::

    bronze = model * product of (1 - s) over the stages
    model  = bronze / the same product

An aftercast goes through every stage once more.

>>> stages = (
...     Stage(name="wax", rate=read_rate("1.2%")),
...     Stage(name="metal", rate=read_rate("1.8%")),
... )
>>> str(sizes(Quantity("450", "mm"), "model", stages).bronze)
'436.597 mm'
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import prod
from typing import Literal

from editions.errors import Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import length_in
from editions.rules.rates import Rate, read_rate
from editions.trade.quantities import Quantity

Of = Literal["model", "wax", "bronze"]
Name = Literal["wax", "investment", "metal", "whole"]

CONVENTION = "of the pattern: casting = pattern × (1 - s)"

# Percent: what a published source gives for each stage, and for all of them together.
PUBLISHED: dict[Name, tuple[str, str]] = {
    "wax": ("1.0", "1.5"),
    "investment": ("0.3", "1.0"),
    "metal": ("1.8", "2.5"),
    "whole": ("1.5", "2.7"),
}
SOURCES = (
    "Published stages: wax 1.0 to 1.5 %, investment growing 0.3 to 1.0 %, metal 1.8 to 2.5 %.",
    "Published, model to bronze in all: 1.5 to 2.7 %.",
    "Your own first casts, measured, know better than any of these.",
)
_PLACES = {"mm": 3, "cm": 4, "m": 6, "in": 4, "ft": 7}


class Stage(Figures, frozen=True, kw_only=True):
    """One stage and its contraction; ``grows`` where it makes the form larger."""

    name: Name
    rate: Rate
    grows: bool = False
    source: str = ""

    @property
    def factor(self) -> Fraction:
        """What the stage multiplies every length by."""
        return 1 + self.rate.exact if self.grows else 1 - self.rate.exact


WHOLE = Stage(name="whole", rate=read_rate("2.1 %"))


class Sizes(Explained, frozen=True, kw_only=True):
    """A length at every stage of the chain; ``least`` and ``most`` where the rate has a range.

    The length of the stage that was ``given`` is as typed.
    ``wax`` is None where no stage says what the wax does.  ``ranged`` names what the range is of.
    """

    given: Of
    model: Quantity
    wax: Quantity | None
    bronze: Quantity
    aftercast: Quantity
    contraction_percent: Decimal
    convention: str = CONVENTION
    stages: tuple[Stage, ...]
    ranged: Of | None = None
    least: Quantity | None = None
    most: Quantity | None = None
    remarks: tuple[str, ...] = ()


def metal_stage(name: str) -> Stage:
    """Return the contraction of an alloy's metal, the middle of what its pattern rule allows.

    Raises:
        Unreadable: No such alloy is held, or no contraction of it.
    """
    alloy = load_alloy(name)
    if not alloy.contraction:
        raise Unreadable(
            f"No contraction of {alloy.name} is held here.", "Give it: --metal 1.8%, or 3/16in/ft."
        )
    held = alloy.contraction[0]
    single = held.low == held.high
    middle = rounded(sum(held.percent, Fraction(0)) / 2, 4).normalize()
    return Stage(
        name="metal",
        rate=read_rate(f"{held.low} {held.unit}" if single else f"{middle:f} %"),
        source=f"Contraction of {alloy.name}: {held.source} ({held.read}), for pattern making.",
    )


def sizes(length: Quantity, given: Of = "model", stages: Sequence[Stage] = (WHOLE,)) -> Sizes:
    """Return a length at every stage, from the one that is ``given``; stages in their order.

    Raises:
        Unreadable: A length of zero, a stage twice, or a wax whose stage is not known.
    """
    _refuse_stages(length, stages)
    in_wax = prod((x.factor for x in stages if x.name == "wax"), start=Fraction(1))
    whole = prod((x.factor for x in stages), start=Fraction(1))
    knows_wax = any(x.name == "wax" for x in stages)
    if given == "wax" and not knows_wax:
        raise Unreadable("How much the wax contracts is not said.", "Say it: --wax 1.2%.")
    model = length.exact() / {"model": Fraction(1), "wax": in_wax, "bronze": whole}[given]
    least, most = _range(length, given, stages)
    # The length that was given stays as it was typed: 17 3/4 in.
    found: dict[Of, Quantity] = {
        "model": _as(model, length),
        "wax": _as(model * in_wax, length),
        "bronze": _as(model * whole, length),
        given: length,
    }
    return Sizes(
        given=given,
        model=found["model"],
        wax=found["wax"] if knows_wax else None,
        bronze=found["bronze"],
        aftercast=_as(model * whole * whole, length),
        contraction_percent=rounded(100 * (1 - whole), 3),
        stages=tuple(stages),
        ranged=None if least is None else "model" if given == "bronze" else "bronze",
        least=least,
        most=most,
        remarks=_remarks(stages),
        formula=(CONVENTION, _product(stages), "an aftercast goes through every stage again"),
        sources=(*(stage.source for stage in stages if stage.source), *SOURCES),
    )


def _range(
    length: Quantity, given: Of, stages: Sequence[Stage]
) -> tuple[Quantity | None, Quantity | None]:
    """Return the least and the most that the published whole contraction makes of a length."""
    if tuple(stages) != (WHOLE,):
        return None, None
    low, high = (1 - Fraction(text) / 100 for text in PUBLISHED["whole"])
    if given == "bronze":
        return _as(length.exact() / low, length), _as(length.exact() / high, length)
    return _as(length.exact() * high, length), _as(length.exact() * low, length)


def _as(millimetres: Fraction, like: Quantity) -> Quantity:
    return length_in(millimetres, like.unit, _PLACES[like.unit])


def _product(stages: Sequence[Stage]) -> str:
    """Return the formula with the stages put in."""
    steps = " × ".join(
        f"(1 {'+' if stage.grows else '-'} {stage.rate} {stage.name})" for stage in stages
    )
    return f"bronze = model × {steps}"


def _remarks(stages: Sequence[Stage]) -> tuple[str, ...]:
    """Return a remark on each stage outside what is published for it."""
    remarks = []
    for stage in stages:
        low, high = (Fraction(text) for text in PUBLISHED[stage.name])
        if not low <= 100 * stage.rate.exact <= high:
            remarks.append(
                f"{stage.name} {stage.rate} is outside the {PUBLISHED[stage.name][0]} to"
                f" {PUBLISHED[stage.name][1]} % published."
            )
    return tuple(remarks)


def _refuse_stages(length: Quantity, stages: Sequence[Stage]) -> None:
    if not length.exact():
        raise Unreadable("A length of zero has no size.", "Write it as 450 mm.")
    names = [stage.name for stage in stages]
    if len(set(names)) < len(names):
        raise Unreadable("A stage is named twice.", "Name each once.")
    if "whole" in names and len(names) > 1:
        raise Unreadable(
            "The whole contraction and a stage of it are both given.", "Give one or the other."
        )
