"""What the book knows of the waxes that are poured: by wax, by piece, by shell, by heat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from editions.errors import NotKnown

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.trade.heats import Heat
    from editions.trade.pieces import Piece
    from editions.trade.quantities import Quantity


class KnownWax(NamedTuple):
    """A wax as the book holds it: whose shell it is, what it weighs, the alloy of its run."""

    name: str
    mass: Quantity
    alloy: str | None


def wax_of(reading: Reading, name: str) -> list[KnownWax]:
    """The wax named, or the waxes of the piece or section named: ``W-0001``, ``T-0101/head``.

    Raises:
        NotKnown: If there is none, it has no wax, or it was not weighed.
    """
    from editions.registry.acts.typed import label, piece_and_section
    from editions.trade.waxes import Wax

    if name.strip().upper().startswith("W-"):
        wax = reading.get(name.strip().upper(), Wax)
        return [_weighed(reading, wax.code, wax.code)]
    piece, wanted = piece_and_section(reading, name)
    sections = [s for s in piece.sections if wanted in (None, s.name)]
    found = []
    for section in sections:
        shell = label(piece) if len(piece.sections) == 1 else f"{label(piece)}/{section.name}"
        if section.wax is None:
            raise NotKnown(f"{shell} has no wax yet.", "Give its mass: NAME=1.05kg.")
        found.append(_weighed(reading, section.wax, shell))
    return found


def poured_in(reading: Reading, heat: Heat) -> list[tuple[KnownWax, Quantity | None]]:
    """The waxes of a heat's shells in pour order, each with its casting's mass where weighed.

    Raises:
        NotKnown: If a shell's wax was not weighed.
    """
    return list(_poured(reading, heat))


def _poured(reading: Reading, heat: Heat) -> Iterator[tuple[KnownWax, Quantity | None]]:
    from editions.registry.acts.typed import label
    from editions.trade.pieces import Piece

    for shell in heat.shells:
        piece = reading.get(shell.piece, Piece)
        single = len(piece.sections) == 1
        name = label(piece) if single else f"{label(piece)}/{shell.section}"
        wax = _wax_in(piece, shell.section, heat.code)
        if wax is None:
            raise NotKnown(f"{name} was poured from no wax known here.", "Give it: NAME=1.05kg.")
        # What a piece weighs is its casting's mass only where one casting is the whole of it.
        alone = single and piece.sections[0].heat == heat.code
        yield _weighed(reading, wax, name), piece.mass if alone else None


def _wax_in(piece: Piece, section: str, heat: str) -> str | None:
    """The wax that a section was in a heat, scrapped since or not."""
    part = piece.section(section)
    if part is None:
        return None
    if part.heat == heat:
        return part.wax
    return next((one.wax for one in part.scrapped if one.heat == heat), None)


def _weighed(reading: Reading, code: str, name: str) -> KnownWax:
    from editions.trade.runs import Run
    from editions.trade.waxes import Wax

    wax = reading.get(code, Wax)
    if wax.mass is None:
        raise NotKnown(f"{name}: the wax {code} was not weighed.", f"Give its mass: {name}=1.05kg.")
    run = reading.state(wax.run) if wax.run else None
    alloy = run.declared.alloy if isinstance(run, Run) else None
    return KnownWax(name, wax.mass, alloy)
