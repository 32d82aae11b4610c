"""A registry with one finished piece, on SQLite and then on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.registry import Registry
from tests.certificates import house
from tests.certificates.bench import Bench
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores


@pytest.fixture
def registry(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """A registry where P-0001 is finished and numbered 3/8, on each kind of database."""
    opened = patterns.copied("finished", stores, tmp_path / "home", house.built)
    yield opened
    opened.close()


@pytest.fixture
def book(plain_stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    """The same on one kind of database, for what is settled before any database is asked."""
    opened = patterns.copied("finished", plain_stores, tmp_path / "home", house.built)
    yield opened
    opened.close()


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """Papers of a foundry on a table, and every way of checking them."""
    monkeypatch.delenv("BRONZEBOOK_REGISTRY", raising=False)
    made = Bench(tmp_path)
    monkeypatch.chdir(made.table)
    yield made
    made.registry.close()
