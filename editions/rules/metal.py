"""Metal for the pour: from the weight of the wax to the weight of the bronze.

A wax and the bronze that takes its place fill the same space, so bronze weighs as much more as it
is denser.  Part and gating are weighed apart, before the first dip: the part's share is the yield.
To what the shell takes come a reserve, poured off or left as heel, and what melting loses::

    factor  = density of bronze / density of wax
    poured  = (part + gating) * factor
    charge  = poured * (1 + reserve) / (1 - loss)
    yield   = part / (part + gating)

>>> need = metal_for(
...     Quantity("1.05", "kg"),
...     Quantity("0.30", "kg"),
...     bronze=Density(value="0.302", unit="lb/in3"),
... )
>>> str(need.poured), str(need.yield_percent)
('12.1345 kg', '77.78')
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.alloys.own import Names, NoBook, find_alloy
from editions.rules.explaining import Explained, rounded
from editions.rules.measures import Density, mass_in
from editions.trade.quantities import Quantity

WAX_DENSITY = Density(value="0.93")
RESERVE = Decimal(10)
LOSS = Decimal(2)

# Casting waxes lie between these (from memory, high confidence).
_WAX_RANGE = (Fraction(9, 10), Fraction(1))
_PRACTICE = Fraction(11)

SOURCES = (
    "Wax is weighed with its gating, before the first dip (published practice).",
    "Published practice reckons about 11 of bronze to 1 of wax, more than densities ask for.",
    "Wax density 0.90 to 1.00 g/cm3: from memory, high confidence; weigh a block of your own.",
    "Reserve and melting loss: common practice, no source; your own heats know better.",
)


class MetalNeeded(Explained, frozen=True, kw_only=True):
    """The bronze that a wax asks for, in the shop's unit; percentages are in per cent.

    ``gates`` and ``yield_percent`` are None where the gating was not weighed apart.
    """

    part: Quantity
    gating: Quantity | None
    bronze_density: Density
    wax_density: Density
    factor: Decimal
    casting: Quantity
    gates: Quantity | None
    poured: Quantity
    yield_percent: Decimal | None
    reserve_percent: Decimal
    loss_percent: Decimal
    charge: Quantity
    remarks: tuple[str, ...] = ()


def metal_for(
    part: Quantity,
    gating: Quantity | None = None,
    *,
    bronze: Density,
    wax: Density = WAX_DENSITY,
    reserve: Decimal = RESERVE,
    loss: Decimal = LOSS,
    density_source: str = "as given",
) -> MetalNeeded:
    """Return the metal for one wax, its part and its gating (None where not known apart).

    ``reserve`` is per cent of what the shell takes, ``loss`` per cent of the cold charge;
    ``density_source`` says where the alloy's density was read.

    Raises:
        Unreadable: A part of no mass, or a loss of everything.
    """
    if not part.exact():
        raise Unreadable("The part weighs nothing.", "Weigh the wax: 1.05 kg.")
    factor = factor_of(bronze, wax)
    gates = gating.exact() * factor if gating else Fraction(0)
    poured = part.exact() * factor + gates
    return MetalNeeded(
        part=part,
        gating=gating,
        bronze_density=bronze,
        wax_density=wax,
        factor=rounded(factor, 5),
        casting=mass_in(poured - gates, part.unit),
        gates=mass_in(gates, part.unit) if gating else None,
        poured=mass_in(poured, part.unit),
        yield_percent=rounded(100 * (poured - gates) / poured, 2) if gating else None,
        reserve_percent=reserve,
        loss_percent=loss,
        charge=mass_in(charge_for(poured, reserve, loss), part.unit),
        remarks=_remarks(wax, gating, factor),
        formula=formula_of(bronze, wax, factor, reserve, loss),
        sources=(f"Density of the alloy, {bronze}: {density_source}.", *SOURCES),
    )


def add_masses(masses: Sequence[Quantity]) -> Quantity:
    """Return masses together, in the unit of the first, exactly."""
    unit = masses[0].unit
    total = sum((mass.exact() for mass in masses), Fraction(0)) / Quantity("1", unit).exact()
    return Quantity(f"{rounded(total, 9).normalize():f}", unit)


def alloy_density(name: str, book: Names | None = None) -> tuple[Density, str]:
    """Return the density of an alloy, published or the book's own, and where it was read.

    Raises:
        Unreadable: No such alloy is held, or its density is not.
    """
    alloy = find_alloy(name, book or NoBook())
    if alloy.density is None:
        raise Unreadable(
            f"No density of {alloy.name} is held here.", "Give it: --density 8.36, or 0.302 lb/in3."
        )
    held = alloy.density
    source = f"{alloy.name}, {held.source} ({held.read})"
    return Density(value=held.value, unit=held.unit), source


def factor_of(bronze: Density, wax: Density) -> Fraction:
    """Return how many times the wax its bronze weighs."""
    return bronze.exact() / wax.exact()


def charge_for(poured: Fraction, reserve: Decimal, loss: Decimal) -> Fraction:
    """Return the cold charge, in the unit of what is poured.

    Raises:
        Unreadable: A loss of everything.
    """
    if loss >= 100:
        raise Unreadable("A loss of 100 % leaves nothing to pour.", "Losses are near 2 %.")
    return poured * (1 + Fraction(reserve) / 100) / (1 - Fraction(loss) / 100)


def formula_of(
    bronze: Density, wax: Density, factor: Fraction, reserve: Decimal, loss: Decimal
) -> tuple[str, ...]:
    """Return the formula with the figures used."""
    return (
        f"factor = density of bronze / density of wax = {bronze} / {wax} = {rounded(factor, 5)}",
        "poured = (part + gating) × factor; yield = part / (part + gating)",
        f"charge = poured × (1 + reserve) / (1 - loss), reserve {reserve} %, loss {loss} %",
    )


def wax_remarks(wax: Density) -> tuple[str, ...]:
    """Return a remark on a wax density outside the usual."""
    low, high = _WAX_RANGE
    if low <= wax.exact() <= high:
        return ()
    return (
        f"A wax of {wax} is unusual: 0.90 to 1.00 g/cm3 is common (from memory, high confidence).",
    )


def _remarks(wax: Density, gating: Quantity | None, factor: Fraction) -> tuple[str, ...]:
    """Return what the shop may want to look at again."""
    remarks = wax_remarks(wax)
    if gating is None:
        remarks += ("The gating was not weighed apart: its metal is counted only if it is in WAX.",)
    if factor > _PRACTICE:
        remarks += ("More than 11 of bronze to 1 of wax, the practice published: check both.",)
    return remarks
