"""Which heats went into a heat through its returns, and through how many remelts.

Returns are charged again, and their heat was charged with returns of its own.  Of an earlier heat
the share is that of its metal in the charge, multiplied along every way it came, and the remelts
are how often it was melted again; by several ways, both ends are told.  Melting losses are not
taken off the shares.  Where a mass was not weighed, the share is not known.

>>> charges = {"H-2": (Charge(heat="H-1", mass=Decimal(40)), Charge(heat=None, mass=Decimal(60)))}
>>> ancestors(["H-2"], charges)[1].share
Decimal('40.00')
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from editions.rules.explaining import Explained, Figures, rounded

Charges = Mapping[str, Sequence["Charge"]]


class Charge(Figures, frozen=True, kw_only=True):
    """One line of a charge: the earlier heat, None where it is no returns; kg, None unweighed."""

    heat: str | None
    mass: Decimal | None


class Ancestor(Figures, frozen=True, kw_only=True):
    """A heat whose metal is in another: per cent of the charge, and how often it was remelted."""

    heat: str
    share: Decimal | None
    fewest_remelts: int
    most_remelts: int


class History(Explained, frozen=True, kw_only=True):
    """The heats whose metal is in something, and through how many remelts the oldest came."""

    heats: tuple[Ancestor, ...]
    most_remelts: int


class _Seen(Figures, frozen=True, kw_only=True):
    """What is known of a heat's metal so far: its share where known, and its remelts."""

    share: Fraction | None
    fewest: int
    most: int

    def besides(self, other: _Seen) -> _Seen:
        """Return what two ways to a heat say of it together."""
        known = self.share is not None and other.share is not None
        return _Seen(
            share=(self.share or 0) + (other.share or Fraction(0)) if known else None,
            fewest=min(self.fewest, other.fewest),
            most=max(self.most, other.most),
        )


def history(heats: Iterable[str], charges: Charges) -> History:
    """Return :func:`ancestors` with how they were reckoned.

    Args:
        heats: Codes of the heats asked about.
        charges: What each heat was charged with.
    """
    found = ancestors(heats, charges)
    return History(
        heats=found,
        most_remelts=max((one.most_remelts for one in found), default=0),
        formula=(
            "share = mass of the returns / whole charge, multiplied along each way back",
            "several heats asked about count in equal shares; melting losses are not taken off",
            "remelts = how often the returns were melted again, fewest and most over all ways",
        ),
        sources=("the charges in the book",),
    )


def ancestors(heats: Iterable[str], charges: Charges) -> tuple[Ancestor, ...]:
    """Return the heats themselves and every heat whose returns went into them.

    Args:
        heats: Codes of the heats asked about; metal of several counts in equal shares.
        charges: What each heat was charged with; a heat that is not there had no returns.
    """
    asked = list(dict.fromkeys(heats))
    seen = {x: _Seen(share=Fraction(1, len(asked)), fewest=0, most=0) for x in asked}
    order = _newest_first(asked, charges)
    places = {heat: place for place, heat in enumerate(order)}
    for heat, place in places.items():
        for earlier, found in _back(seen[heat], charges.get(heat, ())):
            # A book that leads back to a heat itself holds a slip of the pen; it ends there.
            if places[earlier] > place:
                known = seen.get(earlier)
                seen[earlier] = found if known is None else known.besides(found)
    return tuple(_ancestor(heat, seen[heat]) for heat in order)


def _newest_first(heats: Sequence[str], charges: Charges) -> list[str]:
    """Return every heat that can be reached, each before the heats whose returns it took."""
    done: dict[str, None] = {}
    begun: set[str] = set()
    stack = [(heat, False) for heat in heats]
    while stack:
        heat, left = stack.pop()
        if left:
            done[heat] = None
        elif heat not in begun:
            begun.add(heat)
            stack.append((heat, True))
            stack += [(line.heat, False) for line in charges.get(heat, ()) if line.heat is not None]
    return list(reversed(done))


def _back(seen: _Seen, charge: Sequence[Charge]) -> Iterable[tuple[str, _Seen]]:
    """Return the earlier heats of a charge, and what one step back says of each."""
    masses = [line.mass for line in charge]
    total = None if None in masses else sum((x for x in masses if x), Decimal(0))
    for line in charge:
        if line.heat is not None:
            share = _share(seen.share, line.mass, total)
            yield line.heat, _Seen(share=share, fewest=seen.fewest + 1, most=seen.most + 1)


def _share(whole: Fraction | None, mass: Decimal | None, total: Decimal | None) -> Fraction | None:
    """Return the share of a line in the heat asked about."""
    if whole is None or mass is None or not total:
        return None
    return whole * Fraction(mass) / Fraction(total)


def _ancestor(heat: str, seen: _Seen) -> Ancestor:
    """Return a heat as it is told."""
    return Ancestor(
        heat=heat,
        share=None if seen.share is None else rounded(seen.share * 100, 2),
        fewest_remelts=seen.fewest,
        most_remelts=seen.most,
    )
