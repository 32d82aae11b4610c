"""The demonstration's story: an invented foundry, three works, eight years.

Nothing here is real: no foundry, artist, work or collector.  The story is told through the same
acts that the commands call, on a clock that moves from day to day, so that the book looks as it
would have grown.
"""

from __future__ import annotations

from collections.abc import Callable

from editions.exchange.demo_story import gate, heron, people, seed
from editions.exchange.demo_story.shop import Shop, StoryClock
from editions.exchange.demo_story.wren import SIGNING_ARTIST, WRENS, signed_sheet, wrens

__all__ = [
    "ADDRESS", "FOUNDRY", "SIGNING_ARTIST", "TOWN", "WRENS", "Shop", "StoryClock", "signed_sheet",
    "tell", "wrens",
]  # fmt: skip

FOUNDRY = "Quillmere Foundry"
TOWN = "Saltreach"
ADDRESS = "https://record.quillmere.example"


def tell(shop: Shop, say: Callable[[str], None]) -> None:
    """Tell the whole story into a registry that was just begun, a line for each chapter."""
    people.arrive(shop)
    say("An older run comes in from the binder: Seed, Standing by Bram Quessel.")
    seed.come_in(shop)
    heron.begin(shop)
    say("Its last casts are poured; one is scrapped, and its number given again.")
    seed.cast(shop)
    say("Heron, Folding by Ilvane Toresk: a run of eight and four proofs begins.")
    heron.cast(shop)
    say("The Long Gate: five sections, three heats, one section cast again.")
    gate.cast(shop)
    say("The mold of Seed, Standing is destroyed before a witness; the run is closed.")
    seed.close(shop)
    heron.go_on(shop)
