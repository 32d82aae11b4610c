"""A registry just begun, on SQLite and then on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.registry import Registry
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock
from tests.helpers.stores import Stores
from tests.registry.builders import a_registry


@pytest.fixture
def registry(store_url: str, tmp_path: Path, clock: Clock, chance: Chance) -> Iterator[Registry]:
    """A registry of an invented foundry, on each kind of database, its files in ``tmp_path``."""
    begun = a_registry(store_url, tmp_path, now=clock, random=chance)
    yield begun
    begun.close()


@pytest.fixture
def book(plain_stores: Stores, tmp_path: Path, clock: Clock, chance: Chance) -> Iterator[Registry]:
    """The same on one kind of database, for what is settled before any database is asked."""
    begun = a_registry(plain_stores.fresh(), tmp_path, now=clock, random=chance)
    yield begun
    begun.close()
