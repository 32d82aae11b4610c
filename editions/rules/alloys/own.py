"""An alloy by its name, wherever its limits are: the data files, or the foundry's own entries.

A published name always means the published limits.  Of an own alloy each version is an edition,
``version 1``, ``version 2``; a limit's last place is the finer of its two ends.

>>> find_alloy("UNS C87300", NoBook()).name
'C87300'
"""

from __future__ import annotations

from typing import Protocol

from editions.errors import Unreadable
from editions.rules.alloys import load_alloy
from editions.rules.alloys.model import Alloy, Density, Edition, Limit, SumRule
from editions.trade.kinds import State
from editions.trade.metal import LimitLine, OwnAlloy
from editions.trade.text import shown

_OWN = "the foundry's own limits"
_READ = "stated by the foundry"
_HERE = {"source": _OWN, "read": _READ}


class Names(Protocol):
    """As much of a book as names an alloy."""

    def state(self, code: str) -> State | None:
        """The state of a subject, or None."""

    def named(self, name: str) -> str | None:
        """The code that a name belongs to, or None."""


class NoBook:
    """A book that knows no name."""

    def state(self, code: str) -> State | None:  # noqa: ARG002 - as a book
        """Nothing."""
        return None

    def named(self, name: str) -> str | None:  # noqa: ARG002
        """Nothing."""
        return None


def find_alloy(name: str, book: Names, edition: str | None = None) -> Alloy:
    """Return an alloy by its published name, or by the name or code of an own alloy.

    Args:
        name: As it is called.
        book: Where own alloys are looked for.
        edition: Which version of an own alloy; the newest where None.

    Raises:
        Unreadable: Neither the data files nor the book hold limits of that name or version.
    """
    return alloy_held(name, book, edition) or load_alloy(name)


def alloy_held(name: str, book: Names, edition: str | None = None) -> Alloy | None:
    """Return an alloy as :func:`find_alloy` does, or None where nobody holds limits of that name.

    Raises:
        Unreadable: An own alloy of that name has no such version.
    """
    own = own_alloy(name, book)
    try:
        return load_alloy(name)
    except Unreadable:
        return None if own is None else alloy_of(own, edition)


def own_alloy(name: str, book: Names) -> OwnAlloy | None:
    """Return the own alloy that a name or a code means, or None."""
    plain = name.strip().upper()
    state = book.state(book.named(f"alloy {plain}") or plain)
    return state if isinstance(state, OwnAlloy) else None


def version_name(number: int) -> str:
    """Return how a version is named as an edition; the first is 1."""
    return f"version {number}"


def alloy_of(own: OwnAlloy, edition: str | None = None) -> Alloy:
    """Return one version of an own alloy, as it is judged by.

    Raises:
        Unreadable: It has no such version.
    """
    number = _version(own, edition)
    stated, name = own.versions[number - 1], version_name(number)
    elements = tuple(line.element for line in stated.limits)
    total = stated.total
    return Alloy(
        name=own.name,
        system="own",
        title=own.title,
        limits=tuple(_limit(line) for line in stated.limits),
        sum_rule=None if total is None else SumRule(low=total, elements=elements, **_HERE),
        copper_plus_nickel=stated.copper_plus_nickel,
        editions=(Edition(name=name, specification=f"{own.name}, {_OWN}, {own.code}"),),
        density=(
            None if stated.density is None else Density(value=stated.density, unit="g/cm3", **_HERE)
        ),
        sources=(stated.source or _OWN,),
    )


def _version(own: OwnAlloy, edition: str | None) -> int:
    """Return the number of a version by its name or number; the newest where None."""
    if edition is None:
        return len(own.versions)
    names = {version_name(n): n for n in range(1, len(own.versions) + 1)}
    wanted = edition.strip().casefold()
    number = names.get(wanted) or names.get(f"version {wanted}")
    if number is None:
        raise Unreadable(
            f"{own.name} has no edition {shown(edition)} here.", f"Held: {', '.join(names)}."
        )
    return number


def _limit(line: LimitLine) -> Limit:
    """Return one limit of a version."""
    ends = [end for end in (line.low, line.high) if end is not None]
    return Limit(
        element=line.element,
        low=line.low,
        high=line.high,
        places=max((len(end.partition(".")[2]) for end in ends), default=0),
        includes=line.includes,
        source=_OWN,
        read=_READ,
    )
