"""What a heat can have poured, by the masses recorded: no more than was charged.

The bronze of a shell is reckoned from its wax (:mod:`editions.rules.metal`); gating and waxes that
were not weighed count as nothing, so the sum is the least that was poured.  A pour entered for the
wrong heat is the commonest slip of the day, so what is beyond the charge is remarked on.
"""

from __future__ import annotations

from fractions import Fraction

from editions.errors import Unreadable
from editions.rules.judging.desk import Desk
from editions.rules.metal import WAX_DENSITY, alloy_density, factor_of
from editions.trade.heats import Heat, Shell
from editions.trade.pieces import Piece
from editions.trade.quantities import decimal_text
from editions.trade.waxes import Wax

_HUNDRED_GRAMS = 1


def beyond_charge(heat: Heat, shells: tuple[Shell, ...], desk: Desk) -> tuple[str, ...]:
    """Remark on shells that take more than the whole charge of their heat, earlier pours counted.

    Nothing is said where a line of the charge was not weighed, or no density is held.
    """
    charged = _charged(heat)
    try:
        density, _ = alloy_density(heat.alloy, desk)
    except Unreadable:
        return ()
    waxes = sum((_wax(heat, shell, desk) for shell in (*heat.shells, *shells)), Fraction(0))
    poured = waxes * factor_of(density, WAX_DENSITY)
    if charged is None or poured <= charged:
        return ()
    takes, whole = (decimal_text(mass, _HUNDRED_GRAMS) for mass in (poured, charged))
    says = f"By their waxes the shells of heat {heat.number} take {takes} kg at least"
    return (f"{says}; {whole} kg were charged. Is it this heat?",)


def _charged(heat: Heat) -> Fraction | None:
    """Return the whole charge in kg, or None where it was not wholly weighed."""
    masses = [line.mass.exact() for line in heat.charge if line.mass is not None]
    return sum(masses, Fraction(0)) if len(masses) == len(heat.charge) > 0 else None


def _wax(heat: Heat, shell: Shell, desk: Desk) -> Fraction:
    """Return the mass in kg of the wax that a shell was made from, scrapped since or not."""
    piece = desk.state(shell.piece)
    section = piece.section(shell.section) if isinstance(piece, Piece) else None
    if section is None:
        return Fraction(0)
    earlier = next((one.wax for one in section.scrapped if one.heat == heat.code), None)
    code = section.wax if section.heat in (None, heat.code) else earlier
    wax = desk.state(code) if code else None
    return wax.mass.exact() if isinstance(wax, Wax) and wax.mass else Fraction(0)
