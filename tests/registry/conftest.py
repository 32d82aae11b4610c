"""A registry just begun, on SQLite and then on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from editions.registry import Registry
from editions.registry.acts.corrections import correct_entry
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.registry.builders import a_party, a_registry


@pytest.fixture
def registry(
    stores: Stores, patterns: Patterns, tmp_path: Path, clock: Clock, chance: Chance
) -> Iterator[Registry]:
    """A registry of an invented foundry, on each kind of database, its files in ``tmp_path``."""
    begun = just_begun(patterns, stores, tmp_path, clock, chance)
    yield begun
    begun.close()


@pytest.fixture
def book(
    plain_stores: Stores, patterns: Patterns, tmp_path: Path, clock: Clock, chance: Chance
) -> Iterator[Registry]:
    """The same on one kind of database, for what is settled before any database is asked."""
    begun = just_begun(patterns, plain_stores, tmp_path, clock, chance)
    yield begun
    begun.close()


def just_begun(
    patterns: Patterns, stores: Stores, home: Path, clock: Clock, chance: Chance
) -> Registry:
    """A registry whose clock and chance are the test's own, as its beginning has left them."""
    begun = patterns.copied("begun", stores, home, a_registry)
    vars(clock).update(vars(begun.clock))
    vars(chance).update(vars(begun.random))
    begun.clock, begun.random = clock, chance
    return begun


@pytest.fixture
def hand(registry: Registry) -> str:
    """A hand whose contact was corrected twice, and whose name once."""
    code = a_party(registry, private_name="Tomas Brandl", contact="barn 3")
    with registry.writing() as w:
        correct_entry(w, f"{code}#1", {"contact": "barn 4"}, reason="moved")
        correct_entry(w, f"{code}#1", {"contact": "barn 5", "private_name": "Thomas Brandl"})
    return code
