"""Building and checking the schema, by Alembic, from the folder of revisions.

The revisions are data: the checkout's ``migrations`` folder, else the copy packed in the wheel.
They are never imported as a package.
"""

from __future__ import annotations

import logging
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from editions.errors import RegistryUnusable
from editions.store.connection import plain_errors, writing
from editions.store.replay import rebuild
from editions.store.tables import metadata

# On SQLite three a table; on PostgreSQL what each of them may not suffer.
_BOOK = ("entries", "nodes", "checkpoints", "held")
_GUARDS = {
    "sqlite": {f"{t}_{g}" for t in _BOOK for g in ("no_update", "no_delete", "next_only")},
    "postgresql": {f"{t}_{g}" for t in _BOOK for g in ("no_change", "no_truncate")}
    | {"entries_next_only", "held_only_erased"},
}
_STANDING = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled = 'O'"
    " AND tgrelid IN (SELECT oid FROM pg_class"
    " WHERE relnamespace = current_schema()::regnamespace)",
}

APPLICATION_ID = 0x42524E5A  # "BRNZ", in the header of every registry file


def revisions_folder() -> Path:
    """Where the revisions lie: in the checkout, or packed beside this module."""
    packed = Path(__file__).with_name("_migrations")
    return packed if packed.is_dir() else Path(__file__).parents[2] / "migrations"


def build(engine: Engine) -> None:
    """Bring an empty or older database to the newest revision."""
    from alembic import command

    logging.getLogger("alembic").setLevel(logging.WARNING)
    with plain_errors(), engine.connect().execution_options(writer=True) as connection:
        _prepare(connection)
        config = _config(connection)
        command.upgrade(config, "head")
        connection.commit()
        _assert_guards(connection)


def _prepare(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        # A batch recreate with foreign keys on would delete children; off, before the transaction.
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
        connection.commit()


def _config(connection: Connection | None = None):  # type: ignore[no-untyped-def]
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(revisions_folder()).replace("%", "%%"))
    config.attributes["connection"] = connection
    config.attributes["metadata"] = metadata
    return config


def _assert_guards(connection: Connection) -> None:
    kind = connection.dialect.name
    standing = set(connection.exec_driver_sql(_STANDING[kind]).scalars())
    broken: object = None
    if kind == "sqlite":
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        connection.exec_driver_sql("PRAGMA foreign_keys=ON")
    if broken or not standing >= _GUARDS[kind]:
        raise RegistryUnusable(
            "The guards of the book are not all in place.",
            "Restore a copy of the registry.",
        )


def newest() -> str:
    """The newest revision this program knows."""
    from alembic.script import ScriptDirectory

    head = ScriptDirectory.from_config(_config()).get_current_head()
    assert head is not None  # noqa: S101 - the folder holds at least the first revision
    return head


def known_revisions() -> frozenset[str]:
    """Every revision this program knows; file names begin with them."""
    versions = revisions_folder() / "versions"
    return frozenset(path.name.split("_")[0] for path in versions.glob("[0-9]*.py"))


def check(engine: Engine) -> None:
    """Refuse a database that is not a registry, or not of this program's revision.

    Raises:
        RegistryUnusable: If it is foreign, newer or older.
    """
    with plain_errors(), engine.connect() as connection:
        revision = _revision(connection)
    known = known_revisions()
    _refuse_newer(revision, known)
    if revision != max(known):
        raise RegistryUnusable(
            f"This registry is of revision {revision}, older than this program's {max(known)}.",
            "Run: bronzebook upgrade.",
        )


def revisions(engine: Engine) -> tuple[str, str]:
    """The revision that a registry is of, and this program's.

    Raises:
        RegistryUnusable: If it is foreign or newer.
    """
    with plain_errors(), engine.connect() as connection:
        revision = _revision(connection)
    known = known_revisions()
    _refuse_newer(revision, known)
    return revision, max(known)


def upgrade(engine: Engine) -> tuple[str, str]:
    """Bring a registry to this program's revision; returns the revision before and after.

    The projections are folded anew, since a newer program may know more of its subjects.

    Raises:
        RegistryUnusable: If it is foreign or newer.
    """
    before, after = revisions(engine)
    if before != after:
        build(engine)
        with writing(engine) as book:
            rebuild(book)
    return before, after


def _refuse_newer(revision: str, known: frozenset[str]) -> None:
    if revision not in known:
        raise RegistryUnusable(
            f"This registry is of revision {revision}, newer than this program.",
            "Install a newer bronzebook.",
        )


def _revision(connection: Connection) -> str:
    if connection.dialect.name == "sqlite":
        application = connection.exec_driver_sql("PRAGMA application_id").scalar()
        if application != APPLICATION_ID:
            raise RegistryUnusable("That database is not a registry.", "Check the path.")
    if not inspect(connection).has_table("alembic_version"):
        raise RegistryUnusable("That database is not a registry.", "Begin one: bronzebook begin.")
    revision = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return str(revision)


def has_tables(engine: Engine) -> bool:
    """Whether a database holds any table at all."""
    with plain_errors():
        return bool(inspect(engine).get_table_names())


def differences(engine: Engine) -> list[object]:
    """What Alembic would still change to make the database equal the tables; empty when true."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return list(compare_metadata(context, metadata))
