"""The whole catalogue of kinds: importing this module declares every kind, subject and fold."""

from editions.trade import (
    book,
    casting,
    certificates,
    colour,
    heats,
    held,
    keys,
    metal,
    molds,
    parties,
    pieces,
    runs,
    strikes,
    waxes,
    works,
)
from editions.trade.kinds import KINDS, STATES

__all__ = [
    "KINDS",
    "STATES",
    "book",
    "casting",
    "certificates",
    "colour",
    "heats",
    "held",
    "keys",
    "metal",
    "molds",
    "parties",
    "pieces",
    "runs",
    "strikes",
    "waxes",
    "works",
]
