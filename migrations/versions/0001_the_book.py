"""The book, the held values and the projections, with the guards that keep the book append-only.

A revision states its tables in full and never imports the program's.  There is no way down: a book
is not un-kept.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.schema import SchemaItem
from sqlalchemy.types import TypeEngine

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
BOOK = ("entries", "nodes", "checkpoints", "held")
PROJECTIONS = ("touches", "subjects", "names", "links", "numbers", "counters")
CLERK = "bronzebook_clerk"

SQLITE_GUARDS = """
CREATE TRIGGER {t}_no_update BEFORE UPDATE ON {t}
BEGIN SELECT RAISE(ABORT, 'the book is append-only'); END;
CREATE TRIGGER {t}_no_delete BEFORE DELETE ON {t}
BEGIN SELECT RAISE(ABORT, 'the book is append-only'); END;
CREATE TRIGGER {t}_next_only BEFORE INSERT ON {t} WHEN {wrong}
BEGIN SELECT RAISE(ABORT, 'the book takes only the next entry'); END;
"""

# An INSERT OR REPLACE slips past a DELETE trigger, so every insert must also be the next one.
SQLITE_WRONG = {
    "entries": "NEW.position <> (SELECT COALESCE(MAX(position) + 1, 0) FROM entries)",
    "nodes": "EXISTS (SELECT 1 FROM nodes WHERE level = NEW.level AND place = NEW.place)",
    "checkpoints": "NEW.size <= (SELECT COALESCE(MAX(size), 0) FROM checkpoints)",
    "held": "EXISTS (SELECT 1 FROM held WHERE position = NEW.position AND field = NEW.field)",
}

POSTGRES_GUARDS = """
CREATE FUNCTION bronzebook_refuse() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'the book is append-only'; END $$;
CREATE FUNCTION bronzebook_next() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
  IF NEW.position <> (SELECT COALESCE(MAX(position) + 1, 0) FROM entries) THEN
    RAISE EXCEPTION 'the book takes only the next entry';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER entries_next_only BEFORE INSERT ON entries
  FOR EACH ROW EXECUTE FUNCTION bronzebook_next();
"""

POSTGRES_GUARD = """
CREATE TRIGGER {t}_no_change BEFORE UPDATE OR DELETE ON {t}
  FOR EACH ROW EXECUTE FUNCTION bronzebook_refuse();
CREATE TRIGGER {t}_no_truncate BEFORE TRUNCATE ON {t}
  FOR EACH STATEMENT EXECUTE FUNCTION bronzebook_refuse();
"""

# Where the owner may not create roles, the triggers alone stand guard.
POSTGRES_CLERK = """
DO $$ BEGIN
  BEGIN
    CREATE ROLE {clerk} NOLOGIN;
  EXCEPTION WHEN duplicate_object OR unique_violation OR insufficient_privilege THEN NULL;
  END;
  IF EXISTS (SELECT 1 FROM pg_roles WHERE rolname = '{clerk}') THEN
    GRANT SELECT, INSERT ON {book} TO {clerk};
    GRANT SELECT, INSERT, UPDATE, DELETE ON {projections} TO {clerk};
    GRANT SELECT ON alembic_version TO {clerk};
  END IF;
END $$;
"""


def _column(name: str, kind: TypeEngine[Any]) -> sa.Column[Any]:
    return sa.Column(name, kind, nullable=False)


def _table(name: str, *parts: SchemaItem) -> None:
    op.create_table(name, *parts, sqlite_strict=True)


def upgrade() -> None:
    _book()
    _projections()
    if op.get_bind().dialect.name == "sqlite":
        _guard_sqlite()
    else:
        _guard_postgresql()


def _book() -> None:
    _table(
        "entries",
        _column("position", WHOLE),
        _column("id", sa.Text()),
        _column("kind", sa.Text()),
        _column("subject", sa.Text()),
        _column("at", sa.Text()),
        _column("leaf", sa.LargeBinary()),
        _column("bytes", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("position", name="pk_entries"),
        sa.UniqueConstraint("id", name="uq_entries_id"),
        sa.UniqueConstraint("leaf", name="uq_entries_leaf"),
    )
    _table(
        "nodes",
        _column("level", WHOLE),
        _column("place", WHOLE),
        _column("hash", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("level", "place", name="pk_nodes"),
    )
    _table(
        "checkpoints",
        _column("size", WHOLE),
        _column("frontier", sa.LargeBinary()),
        _column("note", sa.Text()),
        sa.PrimaryKeyConstraint("size", name="pk_checkpoints"),
    )
    _table(
        "held",
        _column("position", WHOLE),
        _column("field", sa.Text()),
        _column("salt", sa.LargeBinary()),
        _column("value", sa.LargeBinary()),
        sa.PrimaryKeyConstraint("position", "field", name="pk_held"),
    )


def _projections() -> None:
    _table(
        "touches",
        _column("code", sa.Text()),
        _column("position", WHOLE),
        sa.PrimaryKeyConstraint("code", "position", name="pk_touches"),
    )
    op.create_index("ix_touches_position", "touches", ["position"])
    _table(
        "subjects",
        _column("code", sa.Text()),
        _column("letter", sa.Text()),
        _column("title", sa.Text()),
        _column("words", sa.Text()),
        _column("open", WHOLE),
        _column("state", sa.Text()),
        sa.PrimaryKeyConstraint("code", name="pk_subjects"),
    )
    op.create_index("ix_subjects_letter_open", "subjects", ["letter", "open"])
    _table(
        "names",
        _column("name", sa.Text()),
        _column("code", sa.Text()),
        sa.PrimaryKeyConstraint("name", name="pk_names"),
    )
    _table(
        "links",
        _column("code", sa.Text()),
        _column("role", sa.Text()),
        _column("target", sa.Text()),
        sa.PrimaryKeyConstraint("code", "role", "target", name="pk_links"),
    )
    op.create_index("ix_links_target_role", "links", ["target", "role"])
    _table(
        "numbers",
        _column("run", sa.Text()),
        _column("number", sa.Text()),
        _column("code", sa.Text()),
        sa.PrimaryKeyConstraint("run", "number", name="pk_numbers"),
    )
    _table(
        "counters",
        _column("letter", sa.Text()),
        _column("last", WHOLE),
        sa.PrimaryKeyConstraint("letter", name="pk_counters"),
    )


def _guard_sqlite() -> None:
    for table, wrong in SQLITE_WRONG.items():
        guards = SQLITE_GUARDS.format(t=table, wrong=wrong)
        for statement in guards.split("END;"):
            if statement.strip():
                op.execute(f"{statement} END;")


def _guard_postgresql() -> None:
    op.execute(POSTGRES_GUARDS)
    for table in BOOK:
        op.execute(POSTGRES_GUARD.format(t=table))
    op.execute(
        POSTGRES_CLERK.format(clerk=CLERK, book=", ".join(BOOK), projections=", ".join(PROJECTIONS))
    )
