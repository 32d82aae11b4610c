"""Bronzes of a work, and how they may be counted: by scale, by mold, by series, by pouring.

Whoever counts says which count together; every law reads that in its own way:

>>> heron = [cast("P-1", scale="1:1", cast_on="2019"), cast("P-2", scale="1:2", cast_on="2021")]
>>> [group.exist for group in grouped(heron, "scale")]
[1, 1]
>>> place_of(heron, "P-2"), place_of(heron, "P-2", apart="scale")
(Place(first=2, last=2), Place(first=1, last=1))

Whether scales count together, proofs beside numbers, or molds apart is for the one who asks.  A
checklist, not legal advice; ask a licensed adviser.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from editions.rules.counts import NUMBERED
from editions.rules.explaining import Figures
from editions.trade.dates import certainly_before

Life = Literal["lifetime", "posthumous", "not known"]
Quality = Literal[
    "scale", "alloy", "colour", "run", "model", "life", "series", "mold", "generation"
]


class Cast(Figures, frozen=True, kw_only=True):
    """One bronze, by all that it may be counted by; empty where the book does not say."""

    code: str
    run: str = ""
    model: str = ""
    scale: str = ""
    alloy: str = ""
    colour: str = ""
    designation: str = ""
    series: str = NUMBERED
    cast_on: str = ""
    life: Life = "not known"
    generation: int | None = None
    molds: tuple[str, ...] = ()
    trial: bool = False
    destroyed: bool = False
    from_object: bool = False


class Place(NamedTuple):
    """The place of a cast in the order of pouring: between these, where dates leave it open."""

    first: int
    last: int


class Group(Figures, frozen=True, kw_only=True):
    """Casts that are alike in one quality."""

    by: str
    value: str
    exist: int
    destroyed: int


def cast(code: str, **said: object) -> Cast:
    """Return a cast of which only some qualities are known."""
    return Cast(code=code, **said)  # type: ignore[arg-type]


def grouped(casts: Iterable[Cast], by: Quality) -> tuple[Group, ...]:
    """Count casts by a quality, in the order met; one that served two molds counts under each."""
    exist: dict[str, int] = {}
    destroyed: dict[str, int] = {}
    for one in casts:
        for value in quality(one, by):
            exist[value] = exist.get(value, 0) + (not one.destroyed)
            destroyed[value] = destroyed.get(value, 0) + one.destroyed
    return tuple(
        Group(by=by, value=value, exist=number, destroyed=destroyed[value])
        for value, number in exist.items()
    )


def quality(one: Cast, by: Quality) -> tuple[str, ...]:
    """Return what a cast is by a quality; ``not said`` where the book does not tell."""
    if by == "mold":
        return one.molds or ("not said",)
    if by == "series":
        return (one.series or "numbered",)
    value = getattr(one, by)
    return ("not said" if value in ("", None) else str(value),)


def counted(
    casts: Iterable[Cast],
    *,
    series: Sequence[str] | None = None,
    destroyed: bool = False,
    trials: bool = False,
    alike: tuple[Quality, str] | None = None,
) -> tuple[Cast, ...]:
    """Return the casts that count together.

    Args:
        casts: All casts of the work.
        series: Only these: ``""`` the numbered run, ``AP``, ``EA``; all where absent.
        destroyed: Count destroyed ones too: what was made was made.
        trials: Count trial casts too.
        alike: Only those of one value of a quality: ``("mold", "M-0002")``.
    """
    return tuple(
        one
        for one in casts
        if (series is None or one.series in series)
        and (destroyed or not one.destroyed)
        and (trials or not one.trial)
        and (alike is None or alike[1] in quality(one, alike[0]))
    )


def place_of(casts: Sequence[Cast], code: str, apart: Quality | None = None) -> Place | None:
    """Return the place of a cast among these in the order of pouring, destroyed ones included.

    Args:
        casts: Those that count together; each is dated or not.
        code: The cast asked about; None is returned where it is not among them.
        apart: A quality of which only those alike count, where the counting keeps them apart.
    """
    asked = next((one for one in casts if one.code == code), None)
    if asked is None:
        return None
    others = [one for one in casts if one.code != code]
    if apart is not None:
        wanted = set(quality(asked, apart))
        others = [one for one in others if wanted & set(quality(one, apart))]
    before = sum(_before(one, asked) for one in others)
    after = sum(_before(asked, one) for one in others)
    return Place(before + 1, len(others) + 1 - after)


def life_of(cast_on: str | None, died: str | None) -> Life:
    """Return whether a cast was made in the artist's lifetime, as far as both dates tell."""
    if not cast_on:
        return "not known"
    if died is None:
        return "lifetime"
    if certainly_before(died, cast_on):
        return "posthumous"
    # Cast in the month or the year of the death, neither is certain.
    return "lifetime" if certainly_before(cast_on, died) else "not known"


def _before(one: Cast, other: Cast) -> bool:
    return bool(one.cast_on and other.cast_on) and certainly_before(one.cast_on, other.cast_on)
