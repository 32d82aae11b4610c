"""The demonstration's story: an invented foundry, three works, eight years.

Nothing here is real: no foundry, artist, work or collector.  The story is told through the same
acts that the commands call, on a clock that moves from day to day, so that the book looks as it
would have grown.
"""

from __future__ import annotations

from editions.exchange.demo_story import gate, heron, people, seed
from editions.exchange.demo_story.shop import Shop, StoryClock

__all__ = ["ADDRESS", "FOUNDRY", "TOWN", "Shop", "StoryClock", "tell"]

FOUNDRY = "Quillmere Foundry"
TOWN = "Saltreach"
ADDRESS = "https://record.quillmere.example"


def tell(shop: Shop) -> None:
    """Tell the whole story into a registry that was just begun."""
    people.arrive(shop)
    seed.come_in(shop)
    heron.begin(shop)
    seed.cast(shop)
    heron.cast(shop)
    gate.cast(shop)
    seed.close(shop)
    heron.go_on(shop)
