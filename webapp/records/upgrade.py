"""Brings a database to the tables this program knows, step by step (the folder `migrations`)."""

from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum, auto
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, func, inspect, select

import webapp
from webapp.problems import YardFileProblem
from webapp.records.database import Base, Database, troubles_named

# Any number will do, so long as every Flitchbook takes the same.
ONE_AT_A_TIME = 1_179_405_396


class Standing(Enum):
    """How a database stands to this program."""

    EMPTY = auto()
    BEHIND = auto()
    CURRENT = auto()
    NEWER = auto()
    FOREIGN = auto()


def migrations_folder() -> Path:
    """Find the steps: inside an installed package, or beside it where it is worked on."""
    package = Path(webapp.__file__).parent
    inside = package / "migrations"
    return inside if inside.is_dir() else package.parent / "migrations"


def newest_revision() -> str:
    """Name the last step this program knows."""
    return str(_steps().get_current_head())


def known_revisions() -> list[str]:
    """Name all steps, first to last."""
    return [step.revision for step in _steps().walk_revisions()][::-1]


def revision_of(connection: Connection) -> str | None:
    """Name the step a database has reached."""
    return MigrationContext.configure(connection).get_current_revision()


def standing_of(database: Database) -> Standing:
    """Compare a database with this program."""
    with database.looking() as connection:
        revision = revision_of(connection)
        if revision is None:
            # An empty book of steps is left where all steps were taken back.
            others = set(inspect(connection).get_table_names()) - {"alembic_version"}
            return Standing.FOREIGN if others else Standing.EMPTY
    if revision == newest_revision():
        return Standing.CURRENT
    return Standing.BEHIND if revision in known_revisions() else Standing.NEWER


def missing_tables(database: Database) -> list[str]:
    """Name the tables that this program needs and an up-to-date database lacks."""
    with database.looking() as connection:
        return sorted(set(Base.metadata.tables) - set(inspect(connection).get_table_names()))


def upgrade(database: Database, to: str = "head") -> None:
    """Take the steps up to one of them, all or none."""
    with _changing_tables(database) as connection:
        command.upgrade(_settings(connection), to)


def downgrade(database: Database, to: str = "base") -> None:
    """Take steps back down to one of them, all or none."""
    with _changing_tables(database) as connection:
        command.downgrade(_settings(connection), to)


@contextmanager
def _changing_tables(database: Database) -> Iterator[Connection]:
    with troubles_named(), database.engine.connect() as connection:
        if connection.dialect.name != "sqlite":
            with connection.begin():
                connection.execute(select(func.pg_advisory_xact_lock(ONE_AT_A_TIME)))
                yield connection
            return
        # SQLite changes a table by making it anew, which foreign keys would forbid; the switch
        # works only outside a transaction, and this connection is not used again.
        connection.connection.cursor().execute("PRAGMA foreign_keys = OFF")
        connection.detach()
        with connection.begin():
            yield connection
            _refuse_broken_links(connection)


def _refuse_broken_links(connection: Connection) -> None:
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        tables = ", ".join(sorted({row[0] for row in broken}))
        raise YardFileProblem(
            f"The yard's file was not upgraded: rows in {tables} belong to rows that are missing."
        )


def _settings(connection: Connection | None = None) -> Config:
    settings = Config()
    settings.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    settings.attributes["connection"] = connection
    return settings


def _steps() -> ScriptDirectory:
    return ScriptDirectory.from_config(_settings())
