"""Alloys as data files, one an alloy, each limit with its source and edition.

The limits were read in reprints and excerpts, never in the standard itself; each says so.  Judge a
heat with ``editions.rules.alloys.judge.judge``, which names the edition it used.

>>> load_alloy("UNS C87300").title
'Silicon bronze, 95-4-1'
>>> "CC491K" in alloy_names()
True
"""

from __future__ import annotations

import difflib
import tomllib
from functools import lru_cache
from importlib import resources

import msgspec

from editions.errors import Unreadable
from editions.rules.alloys.model import (
    Alloy,
    Contraction,
    Edition,
    Limit,
    MeltingRange,
    PourRange,
    SumRule,
)
from editions.trade.text import shown

__all__ = [
    "Alloy",
    "Contraction",
    "Edition",
    "Limit",
    "MeltingRange",
    "PourRange",
    "SumRule",
    "alloy_names",
    "load_alloy",
]


@lru_cache(maxsize=1)
def alloy_names() -> tuple[str, ...]:
    """Return the names of the alloys whose limits are held here, in order."""
    files = (entry.name for entry in resources.files(__name__).iterdir())
    return tuple(sorted(x.removesuffix(".toml").upper() for x in files if x.endswith(".toml")))


def load_alloy(name: str) -> Alloy:
    """Return an alloy by its name, with or without its system: ``UNS C87300``, ``EN CC491K``.

    Raises:
        Unreadable: No limits are held for an alloy of that name.
    """
    plain = "".join(name.upper().split()).removeprefix("UNS").removeprefix("EN")
    if plain not in alloy_names():
        near = difflib.get_close_matches(plain[:20], alloy_names(), n=1)
        held = f"Did you mean {near[0]}?" if near else f"Held here: {', '.join(alloy_names())}."
        raise Unreadable(f"No limits are held here for an alloy {shown(name)}.", held)
    return _load(plain)


@lru_cache(maxsize=64)
def _load(name: str) -> Alloy:
    """Read one data file."""
    text = (resources.files(__name__) / f"{name.lower()}.toml").read_text(encoding="utf-8")
    return msgspec.convert(tomllib.loads(text), Alloy)
