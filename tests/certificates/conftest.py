"""A registry with one finished piece, on SQLite and then on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.registry import Registry
from tests.certificates import house
from tests.helpers.stores import Stores


@pytest.fixture
def registry(stores: Stores, tmp_path: Path) -> Iterator[Registry]:
    """A registry where P-0001 is finished and numbered 3/8, on each kind of database."""
    opened = house.built(stores.fresh(), tmp_path / "home")
    yield opened
    opened.close()


@pytest.fixture
def book(plain_stores: Stores, tmp_path: Path) -> Iterator[Registry]:
    """The same on one kind of database, for what is settled before any database is asked."""
    opened = house.built(plain_stores.fresh(), tmp_path / "home")
    yield opened
    opened.close()
