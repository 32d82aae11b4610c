"""The tables, on SQLite and PostgreSQL alike.

Constraint names are settled from the first revision on.  Positions count from 0 and come from the
book, never from a sequence.  SQLite tables are STRICT.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

metadata = MetaData(naming_convention=CONVENTION)

# SQLite keeps every integer in 64 bits; PostgreSQL must be told.
Whole = BigInteger().with_variant(Integer, "sqlite")


def _table(
    name: str, *parts: Column[object] | PrimaryKeyConstraint | UniqueConstraint | Index
) -> Table:
    return Table(name, metadata, *parts, sqlite_strict=True)


def _column(name: str, kind: object, *, nullable: bool = False) -> Column[object]:
    return Column(name, kind, nullable=nullable)  # type: ignore[arg-type]


entries = _table(
    "entries",
    _column("position", Whole),
    _column("id", Text),
    _column("kind", Text),
    _column("subject", Text),
    _column("at", Text),
    _column("leaf", LargeBinary),
    _column("bytes", LargeBinary),
    PrimaryKeyConstraint("position"),
    UniqueConstraint("id"),
    UniqueConstraint("leaf"),
)

nodes = _table(
    "nodes",
    _column("level", Whole),
    _column("place", Whole),
    _column("hash", LargeBinary),
    PrimaryKeyConstraint("level", "place"),
)

checkpoints = _table(
    "checkpoints",
    _column("size", Whole),
    _column("frontier", LargeBinary),
    _column("note", Text),
    PrimaryKeyConstraint("size"),
)

held = _table(
    "held",
    _column("position", Whole),
    _column("field", Text),
    _column("salt", LargeBinary),
    _column("value", LargeBinary),
    PrimaryKeyConstraint("position", "field"),
)

touches = _table(
    "touches",
    _column("code", Text),
    _column("position", Whole),
    PrimaryKeyConstraint("code", "position"),
    Index(None, "position"),
)

subjects = _table(
    "subjects",
    _column("code", Text),
    _column("letter", Text),
    _column("title", Text),
    _column("words", Text),
    _column("open", Whole),
    _column("state", Text),
    PrimaryKeyConstraint("code"),
    Index(None, "letter", "open"),
)

names = _table(
    "names",
    _column("name", Text),
    _column("code", Text),
    PrimaryKeyConstraint("name"),
)

links = _table(
    "links",
    _column("code", Text),
    _column("role", Text),
    _column("target", Text),
    PrimaryKeyConstraint("code", "role", "target"),
    Index(None, "target", "role"),
)

numbers = _table(
    "numbers",
    _column("run", Text),
    _column("number", Text),
    _column("code", Text),
    PrimaryKeyConstraint("run", "number"),
)

counters = _table(
    "counters",
    _column("letter", Text),
    _column("last", Whole),
    PrimaryKeyConstraint("letter"),
)

erasures = _table(
    "erasures",
    _column("position", Whole),
    _column("field", Text),
    _column("erased", Whole),
    PrimaryKeyConstraint("position", "field"),
)

BOOK_TABLES = (entries, nodes, checkpoints)
PROJECTIONS = (touches, subjects, names, links, numbers, counters, erasures)
