"""What ``show`` prints of a subject: named values and small tables, one function a kind of subject.

A description is made of the folded state and of the names of what it refers to; nothing held is in
it.  It is printed by :func:`printed`::

    Shown("P-0003", "piece 3/8", pairs=(("run", "R-0001 run of 8"), …), blocks=(Block(…), …))
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from editions.cli import output
from editions.cli.showing.block import Block, Shown, of

if TYPE_CHECKING:
    from editions.registry import Reading
    from editions.trade.kinds import State

__all__ = ["Block", "Shown", "describe", "described_at_first", "of", "printed"]


def describe(state: State, reading: Reading) -> Shown:
    """The description of any subject."""
    from editions.cli.showing import certificates, editions, metal, pieces, shop
    from editions.trade import book, heats, molds, parties, runs, waxes, works
    from editions.trade import certificates as papers
    from editions.trade import colour as recipes
    from editions.trade import metal as stock
    from editions.trade import pieces as casts

    describers: dict[type[State], Any] = {
        book.Book: certificates.book,
        parties.Party: editions.party,
        works.Work: editions.work,
        works.Model: editions.model,
        runs.Run: editions.run,
        molds.Mold: shop.mold,
        waxes.Wax: shop.wax,
        heats.Heat: shop.heat,
        recipes.Recipe: shop.recipe,
        stock.OwnAlloy: metal.alloy,
        stock.Lot: metal.lot,
        casts.Piece: pieces.piece,
        papers.Certificate: certificates.certificate,
    }
    shown: Shown = describers[type(state)](state, reading)
    return shown


def described_at_first(reading: Reading, code: str) -> Shown:
    """The description of a subject as it would be had none of its entries been corrected.

    What was struck is not told there either.
    """
    from editions.registry.corrected_since import state_then
    from editions.store.effective import Changes, corrections_in

    stored = reading.stored_of(code)
    struck = corrections_in(one.raw for one in stored).struck
    state = state_then(stored, code, reading.size, Changes(struck=struck))
    assert state is not None  # noqa: S101 - what was corrected has entries
    return describe(state, reading)


def printed(shown: Shown) -> None:
    """Print a description."""
    output.heading(shown.code, shown.title)
    output.record(shown.pairs)
    for block in shown.blocks:
        if block.rows:
            output.block(block.name, block.rows, block.columns)
