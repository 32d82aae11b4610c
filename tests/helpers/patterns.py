"""Registries made once on each kind of database, and copied for every test that asks for one.

A pattern is made by a test room's own builder, by the same acts as ever; a copy goes on where it
stopped, its clock and its chance included::

    book = patterns.copied("small book", stores, tmp_path, small_book)
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import NamedTuple

from editions.registry import Registry, open_registry
from editions.registry.writing import Clock, Random
from tests.helpers.stores import Stores

Make = Callable[[str, Path], Registry]
"""Makes a registry at a path or URL, its files in a folder."""


class Pattern(NamedTuple):
    """The files of a registry that was made, and its clock and chance as it left them."""

    home: Path
    clock: Clock
    chance: Random


class Patterns:
    """What was made so far, for one worker."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.made: dict[tuple[str, str], Pattern] = {}

    def copied(self, name: str, stores: Stores, home: Path, make: Make) -> Registry:
        """A copy of the registry that ``make`` makes, opened, with its files in ``home``."""
        kind = (name, type(stores).__name__)
        if kind not in self.made:
            self.made[kind] = self._made(kind, stores, make)
        pattern = self.made[kind]
        shutil.copytree(pattern.home, home, dirs_exist_ok=True)
        clock, chance = deepcopy((pattern.clock, pattern.chance))
        return open_registry(stores.copy(name), home=home, clock=clock, random=chance)

    def _made(self, kind: tuple[str, str], stores: Stores, make: Make) -> Pattern:
        home = self.folder / " ".join(kind)
        home.mkdir()
        registry = make(stores.kept(kind[0]), home)
        registry.close()
        return Pattern(home, registry.clock, registry.random)
