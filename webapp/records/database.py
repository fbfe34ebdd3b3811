"""Engine, sessions, base class and the names of constraints."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from enum import StrEnum
from functools import partial
from pathlib import Path
from sqlite3 import Connection as SqliteConnection
from sqlite3 import Error as SqliteError
from time import monotonic, sleep
from typing import Any, ClassVar
from uuid import UUID

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Connection,
    Dialect,
    Double,
    Engine,
    Index,
    MetaData,
    String,
    Uuid,
    create_engine,
    event,
    make_url,
    text,
)
from sqlalchemy import DateTime as SqlDateTime
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import DeclarativeBase, Session, sessionmaker
from sqlalchemy.types import TypeDecorator

from webapp.records.database_trouble import is_busy, problem_of
from webapp.records.watched_file import WatchedFile

NAMING_SCHEME = {
    "pk": "pk_%(table_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
}
BUSY_WAIT_S = 10.0
Json = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


class UtcDateTime(TypeDecorator[datetime]):
    """A moment kept in UTC; one without its offset is refused (SQLite alone drops offsets)."""

    impl = SqlDateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn the moment to UTC on its way in."""
        if value is None:
            return None
        if value.utcoffset() is None:
            raise ValueError(f"{value.isoformat()} has no offset from UTC")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the moment back in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if dialect.name == "sqlite" else value.astimezone(UTC)


class Base(DeclarativeBase):
    """Every table of the yard hangs on this."""

    metadata = MetaData(naming_convention=NAMING_SCHEME)
    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime: UtcDateTime(),
        float: Double(),
        str: String(),
        UUID: Uuid(),
        dict[str, Any]: Json,
    }


def unique_while_live(table: str, *columns: str, also: str = "") -> Index:
    """Make the index that lets no two live rows share these columns; struck rows may."""
    condition = text("struck_at IS NULL" + also)
    return Index(
        f"ix_{table}_{'_'.join(columns)}_live",
        *columns,
        unique=True,
        sqlite_where=condition,
        postgresql_where=condition,
    )


def one_of(column: str, words: type[StrEnum]) -> CheckConstraint:
    """Make the check that a column holds one of these words (or nothing)."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def not_negative(column: str) -> CheckConstraint:
    """Make the check that a number is not below zero."""
    return CheckConstraint(f"{column} >= 0", name=column)


def in_order(first: str, last: str) -> CheckConstraint:
    """Make the check that an end does not come before its beginning."""
    return CheckConstraint(f"{last} >= {first}", name=f"{first}_{last}")


class YardSession(Session):
    """A session that keeps the history of changes (see history.py)."""


class Database:
    """One yard: one SQLite file, or one PostgreSQL database."""

    def __init__(self, url: str, *, busy_wait_s: float = BUSY_WAIT_S) -> None:
        self.engine = _engine(url, busy_wait_s)
        self._readers = _session_maker(self.engine, writes=False)
        self._writers = _session_maker(self.engine, writes=True)

    @property
    def url(self) -> str:
        """The address, with the password hidden."""
        return self.engine.url.render_as_string(hide_password=True)

    @property
    def where(self) -> str:
        """Where the yard lies: its file in full, or the address of its server."""
        return str(self.file.resolve()) if self.file else self.url

    @property
    def file(self) -> Path | None:
        """The yard's one file; None where it lies in a server."""
        url = self.engine.url
        if url.get_backend_name() != "sqlite" or not url.database or url.database == ":memory:":
            return None
        return Path(url.database)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session that sees one moment of the yard, cannot write and never waits."""
        with troubles_named(), self._readers() as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Give the session of one writer: all of its block is kept, or nothing; raises Busy."""
        with troubles_named(), self._writers.begin() as session:
            session.connection()
            yield session

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """Give a bare connection that only looks; it waits for no writer."""
        engine = self.engine.execution_options(yard_writes=False, postgresql_readonly=True)
        with troubles_named(), engine.connect() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()


@contextmanager
def troubles_named() -> Iterator[None]:
    """Turn what the database complains of into problems people understand."""
    try:
        yield
    except (DBAPIError, SqliteError) as error:
        problem = problem_of(error)
        if problem is None:
            raise
        raise problem from error


def _session_maker(engine: Engine, *, writes: bool) -> sessionmaker[YardSession]:
    bind = engine.execution_options(yard_writes=writes, postgresql_readonly=not writes)
    return sessionmaker(bind, class_=YardSession, expire_on_commit=False)


def _engine(address: str, busy_wait_s: float) -> Engine:
    url = make_url(address)
    if url.get_backend_name() == "sqlite":
        engine = create_engine(url, connect_args={"timeout": busy_wait_s})
        event.listen(engine, "connect", partial(_prepare_sqlite, busy_wait_s))
        if url.database not in {None, "", ":memory:"}:
            _watch(engine, WatchedFile(Path(str(url.database))))
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    wait_ms = int(busy_wait_s * 1000)
    return create_engine(
        url, pool_pre_ping=True, connect_args={"options": f"-c lock_timeout={wait_ms}"}
    )


def _watch(engine: Engine, file: WatchedFile) -> None:
    event.listen(engine, "do_connect", lambda *_about: file.look())
    event.listen(engine, "connect", lambda *_about: file.remember())
    event.listen(engine, "begin", lambda _connection: file.look())


def _prepare_sqlite(busy_wait_s: float, driver: SqliteConnection, _record: object) -> None:
    # The driver's own transactions begin late and deferred, and two writers then lose at once.
    driver.isolation_level = None
    _keep_log_beside(driver, monotonic() + busy_wait_s)
    for setting in ("synchronous = FULL", "foreign_keys = ON"):
        driver.execute(f"PRAGMA {setting}").close()


def _keep_log_beside(driver: SqliteConnection, until: float) -> None:
    # A new file takes this setting once, and SQLite does not wait where two ask for it together.
    while True:
        try:
            driver.execute("PRAGMA journal_mode = WAL").close()
        except SqliteError as error:
            if not is_busy(error) or monotonic() > until:
                raise
            sleep(0.01)
        else:
            return


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("yard_writes", True)
    connection.exec_driver_sql(f"PRAGMA query_only = {'OFF' if writes else 'ON'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
