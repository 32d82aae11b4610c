"""A small book for the tests of the store, and hands that tamper with it as its owner could."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import insert, select, text

from editions.registry import Registry, begin
from editions.store import connection, schema
from editions.store.audit import Report, audit
from editions.store.tables import metadata
from editions.trade.book import EntryCorrected
from editions.trade.molds import MoldMade
from editions.trade.parties import PartyEntered
from editions.trade.quantities import Quantity
from editions.trade.runs import Declaration, RunDeclared
from editions.trade.waxes import WaxPulled
from editions.trade.works import ModelEntered, WorkEntered
from tests.helpers.chance import Chance
from tests.helpers.clock import Clock

KEY_COST = 2**10
GUARDED = ("entries", "nodes", "checkpoints", "held")


def begun(url: str, home: Path) -> Registry:
    """A registry just begun at a path or URL, its files under ``home``."""
    return begin(
        url,
        home=home,
        foundry="Harrow Lane Bronze",
        address="https://book.harrowlane.example",
        passphrase="plaster and shellac",
        clock=Clock(),
        random=Chance(),
        key_cost=KEY_COST,
    )


def small_book(url: str, home: Path) -> Registry:
    """A registry with a run, a mold, three waxes in two batches, and a correction."""
    registry = begun(url, home)
    with registry.writing() as book:
        book.enter(PartyEntered(roles=("artist",), name="Ilse Varga", born="1931"), "Y-0002")
        book.enter(
            PartyEntered(roles=("hand",), private_name="Tomas Brandl", contact="barn 3"), "Y-0003"
        )
        book.enter(WorkEntered(artist="Y-0002", title="Heron", note="from the river"), "K-0001")
        book.enter(ModelEntered(work="K-0001", stage="original", material="clay"), "D-0001")
        declared = Declaration(work="K-0001", model="D-0001", size=8, authorised_by="Y-0002")
        book.enter(RunDeclared(declared=declared), "R-0001")
        book.enter(
            MoldMade(taken_from="D-0001", generation=0, sections=("whole",), material="silicone"),
            "M-0001",
        )
    pulled = [pull_wax(registry, at) for at in (1, 2, 3)]
    with registry.writing() as book:
        book.enter(
            EntryCorrected(
                entry=pulled[1],
                entry_kind="wax_pulled",
                changes={"mass": {"value": "1.31", "unit": "kg"}},
                touches=("W-0002", "M-0001"),
                reason="misread scale",
            ),
            "W-0002",
        )
    return registry


def pull_wax(registry: Registry, at: int) -> str:
    """Pull the ``at``-th wax of the small book's mold; returns the entry's leaf."""
    with registry.writing(by="Y-0003") as book:
        facts = WaxPulled(
            mold="M-0001", section="whole", pull=at, mass=Quantity("1.05", "kg"), note=f"pull {at}"
        )
        return book.enter(facts, f"W-{at:04}").leaf


def report_on(registry: Registry) -> Report:
    """The store's audit of a registry, by the log key beside it."""
    with connection.reading(registry.engine) as book:
        return audit(book, registry.log_verifier())


def tamper(registry: Registry, statement: str, **values: object) -> None:
    """Run one statement as the database's owner, the guards out of the way."""
    with registry.engine.connect() as owner:
        drop_guards(owner)
        owner.execute(text(statement), values)
        owner.commit()


def copy_rows(source: Registry, url: str) -> None:
    """Put the rows of a registry into a fresh PostgreSQL database, which is guarded then."""
    target = connection.engine_for(url)
    schema.build(target)
    with connection.reading(source.engine) as seen, target.begin() as owner:
        drop_guards(owner)
        for table in metadata.sorted_tables:
            rows = [dict(row) for row in seen.execute(select(table)).mappings()]
            if rows:
                owner.execute(insert(table), rows)
        for name in GUARDED:
            owner.exec_driver_sql(f"ALTER TABLE {name} ENABLE TRIGGER ALL")
    target.dispose()


def drop_guards(owner: connection.Connection) -> None:
    """Take away what refuses to change the book, as its owner could."""
    if owner.dialect.name == "sqlite":
        triggers = owner.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in triggers.all():
            owner.exec_driver_sql(f"DROP TRIGGER {name}")
    else:
        for name in GUARDED:
            owner.exec_driver_sql(f"ALTER TABLE {name} DISABLE TRIGGER ALL")
