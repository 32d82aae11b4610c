"""What is read from the tables is found by their keys, so that a small look stays small."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy.dialects import sqlite

from editions.errors import Contradiction
from editions.registry import Registry
from editions.store import queries
from tests.helpers.patterns import Patterns
from tests.helpers.stores import Stores
from tests.store.books import small_book

# A path's nodes lie on many levels, a tile's on one.
PATH = [(0, 9), (1, 5), (2, 2)]
TILE = [(0, place) for place in range(8)]


@pytest.fixture
def book(stores: Stores, patterns: Patterns, tmp_path: Path) -> Iterator[Registry]:
    registry = patterns.copied("small", stores, tmp_path / "home", small_book)
    yield registry
    registry.close()


@pytest.mark.parametrize("places", [PATH, TILE, [*TILE, *PATH]])
def test_nodes_are_found_without_reading_the_whole_tree(
    book: Registry, places: list[tuple[int, int]]
) -> None:
    if book.engine.dialect.name != "sqlite":
        # PostgreSQL reads a table this small whole, whatever it is asked.
        return
    asked = queries.nodes_at(places).compile(
        dialect=sqlite.dialect(), compile_kwargs={"literal_binds": True}
    )
    with book.engine.connect() as owner:
        plan = owner.exec_driver_sql(f"EXPLAIN QUERY PLAN {asked}").all()
    assert not [row for row in plan if "SCAN" in row[3]]


@pytest.mark.parametrize("places", [PATH, TILE, [*PATH, *TILE, *PATH], TILE[::-1], []])
def test_nodes_come_in_the_order_that_was_asked(
    book: Registry, places: list[tuple[int, int]]
) -> None:
    with book.reading() as reading:
        read = queries.node_reader(reading.connection)
        assert read(places) == [read([place])[0] for place in places]


@pytest.mark.parametrize("missing", [(0, 10**6), (40, 0), (1, 6)])
def test_a_node_that_is_not_there_is_told(book: Registry, missing: tuple[int, int]) -> None:
    with book.reading() as reading:
        read = queries.node_reader(reading.connection)
        with pytest.raises(Contradiction, match="lacks node"):
            read([*PATH, missing])
