"""The pour sheet: shells in pour order, the metal each takes, and what is left in the crucible.

Shells are poured in the order given.  A melt ends where the next shell with the reserve would ask
for more than the crucible holds; that shell begins the next melt.  A shell whose gating was not
weighed takes the share of gating that the shop reckons with, and the sheet says so.  After the
pour, what was weighed is set against what was poured: the yield of each, and of all::

    cumulative = metal of the shells of this melt, so far
    fits       = cumulative * (1 + reserve) <= crucible
    yield      = weighed after cutting off / metal poured

>>> sheet = pour_sheet(
...     [Shell(name="T-0101", part=Quantity("1.05", "kg"), gating=Quantity("0.30", "kg"))],
...     Terms(bronze=Density(value="0.302", unit="lb/in3"), crucible=Quantity("60", "kg")),
... )
>>> str(sheet.lines[0].metal), str(sheet.lines[0].left)
('12.1345 kg', '47.8655 kg')
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from editions.errors import Unreadable
from editions.rules import metal
from editions.rules.explaining import Explained, Figures, rounded
from editions.rules.measures import Density, mass_in
from editions.trade.quantities import Quantity
from editions.trade.text import shown

# A casting this far from what its wax foretold is worth another look: common practice, no source.
WEIGHED_TOLERANCE = 10

SOURCES = (
    *metal.SOURCES,
    f"A casting weighs within {WEIGHED_TOLERANCE} % of its forecast (common practice, no source).",
)


class Shell(Figures, frozen=True, kw_only=True):
    """A shell to pour: its wax, the gating where weighed apart, the casting where weighed after."""

    name: str
    part: Quantity
    gating: Quantity | None = None
    weighed: Quantity | None = None


class PourLine(Figures, frozen=True, kw_only=True):
    """One shell on the sheet; ``melt`` counts from 1, ``left`` is None without a crucible."""

    name: str
    melt: int
    metal: Quantity
    cumulative: Quantity
    left: Quantity | None
    casting: Quantity
    yield_expected_percent: Decimal | None
    weighed: Quantity | None = None
    yield_percent: Decimal | None = None


class Melt(Figures, frozen=True, kw_only=True):
    """One melt: what its shells take, and the cold charge that it asks for."""

    number: int
    shells: int
    poured: Quantity
    charge: Quantity


class PourSheet(Explained, frozen=True, kw_only=True):
    """The whole sheet; ``yield_percent`` is of the shells weighed after, whose gating is known."""

    lines: tuple[PourLine, ...]
    melts: tuple[Melt, ...]
    crucible: Quantity | None
    poured: Quantity
    reserve_percent: Decimal
    loss_percent: Decimal
    weighed: Quantity | None = None
    yield_percent: Decimal | None = None
    charged: Quantity | None = None
    yield_of_charge_percent: Decimal | None = None
    remarks: tuple[str, ...] = ()


class Terms(Figures, frozen=True, kw_only=True):
    """What a whole pour is reckoned by.

    ``crucible`` is what it holds, as a mass of bronze; without it there is one melt.
    ``gating_percent`` is the gating of a shell that says none, per cent of its part; ``reserve`` is
    per cent of what the shells take, ``loss`` per cent of the cold charge.
    """

    bronze: Density
    wax: Density = metal.WAX_DENSITY
    crucible: Quantity | None = None
    gating_percent: Decimal | None = None
    reserve: Decimal = metal.RESERVE
    loss: Decimal = metal.LOSS

    @property
    def factor(self) -> Fraction:
        """How many times the wax its bronze weighs."""
        return metal.factor_of(self.bronze, self.wax)

    @property
    def room(self) -> Fraction | None:
        """What the crucible holds, in kilograms."""
        return self.crucible.exact() if self.crucible else None

    def with_reserve(self, kilograms: Fraction) -> Fraction:
        """Return a mass with the reserve upon it."""
        return kilograms * (1 + Fraction(self.reserve) / 100)


class _Takes:
    """What one shell takes, exactly, in kilograms."""

    def __init__(self, shell: Shell, terms: Terms) -> None:
        self.shell = shell
        part = shell.part.exact()
        guessed = part * Fraction(terms.gating_percent or 0) / 100
        self.known = shell.gating is not None or terms.gating_percent is not None
        gating = shell.gating.exact() if shell.gating else guessed
        self.casting = part * terms.factor
        self.metal = (part + gating) * terms.factor
        self.weighed = shell.weighed.exact() if shell.weighed else None

    @property
    def yielded(self) -> Decimal | None:
        """The yield, where both the casting and the gating are known."""
        if self.weighed is None or not self.known:
            return None
        return _percent(self.weighed, self.metal)


class _After(NamedTuple):
    """What was weighed after the pour, and the yields it shows."""

    weighed: Quantity | None = None
    of_metal: Decimal | None = None
    of_charge: Decimal | None = None


def pour_sheet(
    shells: Sequence[Shell], terms: Terms, *, charged: Quantity | None = None
) -> PourSheet:
    """Return the sheet of a pour, of shells in pour order.

    ``charged`` is the cold charge as weighed, for the yield.

    Raises:
        Unreadable: No shells, a shell twice, a mass of zero, or a loss of everything.
    """
    _refuse_empty(shells, terms.crucible, charged)
    takes = [_Takes(shell, terms) for shell in shells]
    unit = shells[0].part.unit
    numbers = _melts(takes, terms)
    poured = sum((take.metal for take in takes), Fraction(0))
    after = _after(takes, charged, unit)
    return PourSheet(
        lines=_lines(takes, numbers, terms.room, unit),
        melts=_charges(takes, numbers, terms, unit),
        crucible=terms.crucible,
        poured=mass_in(poured, unit),
        reserve_percent=terms.reserve,
        loss_percent=terms.loss,
        weighed=after.weighed,
        yield_percent=after.of_metal,
        charged=charged,
        yield_of_charge_percent=after.of_charge,
        remarks=(
            *_remarks(takes, terms),
            *_short(poured, charged, terms, unit),
            *metal.wax_remarks(terms.wax),
        ),
        formula=(
            *metal.formula_of(terms.bronze, terms.wax, terms.factor, terms.reserve, terms.loss),
            *FORMULA,
        ),
        sources=SOURCES,
    )


FORMULA = (
    "a shell fits where the metal so far × (1 + reserve) is no more than the crucible holds",
    "yield = weighed after cutting off / metal poured",
)


def _melts(takes: Sequence[_Takes], terms: Terms) -> list[int]:
    """Return the melt of each shell: the next begins where a shell no longer fits."""
    numbers: list[int] = []
    number, so_far = 1, Fraction(0)
    for take in takes:
        so_far += take.metal
        over = terms.room is not None and terms.with_reserve(so_far) > terms.room
        if over and so_far != take.metal:
            number, so_far = number + 1, take.metal
        numbers.append(number)
    return numbers


def _lines(
    takes: Sequence[_Takes], numbers: Sequence[int], room: Fraction | None, unit: str
) -> tuple[PourLine, ...]:
    """Return a line a shell, the metal added up within each melt."""
    lines: list[PourLine] = []
    so_far: dict[int, Fraction] = {}
    for take, number in zip(takes, numbers, strict=True):
        so_far[number] = so_far.get(number, Fraction(0)) + take.metal
        left = None if room is None else max(room - so_far[number], Fraction(0))
        lines.append(
            PourLine(
                name=take.shell.name,
                melt=number,
                metal=mass_in(take.metal, unit),
                cumulative=mass_in(so_far[number], unit),
                left=None if left is None else mass_in(left, unit),
                casting=mass_in(take.casting, unit),
                yield_expected_percent=_percent(take.casting, take.metal) if take.known else None,
                weighed=take.shell.weighed,
                yield_percent=take.yielded,
            )
        )
    return tuple(lines)


def _charges(
    takes: Sequence[_Takes], numbers: Sequence[int], terms: Terms, unit: str
) -> tuple[Melt, ...]:
    """Return what each melt pours, and the charge it needs with reserve and loss."""
    melts: list[Melt] = []
    for number in dict.fromkeys(numbers):
        own = [take.metal for take, of in zip(takes, numbers, strict=True) if of == number]
        poured = sum(own, Fraction(0))
        charge = metal.charge_for(poured, terms.reserve, terms.loss)
        melts.append(
            Melt(
                number=number,
                shells=len(own),
                poured=mass_in(poured, unit),
                charge=mass_in(charge, unit),
            )
        )
    return tuple(melts)


def _after(takes: Sequence[_Takes], charged: Quantity | None, unit: str) -> _After:
    """Return what was weighed after the pour, against what those shells took and the charge."""
    done = [take for take in takes if take.weighed is not None]
    if not done:
        return _After()
    weighed = sum((take.weighed or Fraction(0) for take in done), Fraction(0))
    poured = sum((take.metal for take in done), Fraction(0))
    # Against the charge only where every casting was weighed: else the yield would seem too low.
    whole = charged.exact() if charged is not None and len(done) == len(takes) else None
    return _After(
        mass_in(weighed, unit),
        _percent(weighed, poured) if all(take.known for take in done) else None,
        None if whole is None else _percent(weighed, whole),
    )


def _percent(part: Fraction, whole: Fraction) -> Decimal:
    return rounded(100 * part / whole, 2)


def _remarks(takes: Sequence[_Takes], terms: Terms) -> tuple[str, ...]:
    """Return what the person at the furnace should know before, and look at after."""
    remarks: list[str] = []
    for take in takes:
        name, room = take.shell.name, terms.room
        if room is not None and take.metal > room:
            remarks.append(f"{name} takes more than the crucible holds.")
        elif room is not None and terms.with_reserve(take.metal) > room:
            remarks.append(f"{name} fits the crucible only without its reserve.")
        if take.weighed is not None:
            remarks += _looked_at(name, take)
    unknown = [take.shell.name for take in takes if take.shell.gating is None]
    if unknown:
        share = terms.gating_percent
        how = "no gating is counted" if share is None else f"{share} % of the part is counted"
        remarks.append(f"Gating not weighed apart, {how}: {', '.join(unknown)}.")
    return tuple(remarks)


def _short(poured: Fraction, charged: Quantity | None, terms: Terms, unit: str) -> tuple[str, ...]:
    """Return that a charge cannot have filled these shells, or not with the reserve and loss."""
    if charged is None:
        return ()
    needed = metal.charge_for(poured, terms.reserve, terms.loss)
    if charged.exact() < poured:
        asked = f"{mass_in(poured, unit).to(unit, 2)} {unit}"
        said = f"The charge of {charged} is less than the {asked} that these shells take"
        return (f"{said}: is it another heat, or another charge?",)
    if charged.exact() < needed:
        asked = f"{mass_in(needed, unit).to(unit, 2)} {unit}"
        return (f"The charge of {charged} leaves less than is allowed: {asked} was wanted.",)
    return ()


def _looked_at(name: str, take: _Takes) -> list[str]:
    differs = 100 * (Fraction(take.weighed or 0) / take.casting - 1)
    if abs(differs) <= WEIGHED_TOLERANCE:
        return []
    how = "heavier" if differs > 0 else "lighter"
    percent = rounded(abs(differs), 1)
    return [f"{name} is {percent} % {how} than its wax foretold: wall, core left in, or a misrun?"]


def _refuse_empty(
    shells: Sequence[Shell], crucible: Quantity | None, charged: Quantity | None
) -> None:
    if not shells:
        raise Unreadable("No shell is on the sheet.", "Name them in pour order: T-0101 T-0102.")
    names = [shell.name for shell in shells]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise Unreadable(f"{shown(twice)} is on the sheet twice.", "Name each shell once.")
    for shell in shells:
        if not shell.part.exact():
            raise Unreadable(
                f"The wax of {shown(shell.name)} weighs nothing.", "Weigh it: 1.05 kg."
            )
    if crucible is not None and not crucible.exact():
        raise Unreadable("The crucible holds nothing.", "Say what it holds: --crucible 60kg.")
    if charged is not None and not charged.exact():
        raise Unreadable("Nothing was charged.", "Say what was: --charged 62kg.")
