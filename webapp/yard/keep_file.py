"""Opens the yard's database: makes, checks and upgrades a file; only checks a PostgreSQL server."""

import os
import re
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date
from itertools import count
from pathlib import Path

from filelock import FileLock, Timeout
from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError

from webapp import clock
from webapp.problems import Conflict, Problem, YardFileProblem
from webapp.records.database import Database
from webapp.records.upgrade import (
    Standing,
    missing_tables,
    newest_revision,
    revision_of,
    standing_of,
    upgrade,
)
from webapp.yard.back_up import copy_yard, damaged

_PASSWORD = re.compile(r":[^:/@]*@")
_SQLITE_BEGINNING = b"SQLite format 3\0"


def open_yard(url: str, on: date | None = None) -> Database:
    """Open a yard; a file is made where there is none, and upgraded after a copy beside it."""
    file = file_of(url)
    if file is None:
        return _open_server(url)
    with _named_after(file):
        _refuse_unusable(file)
        database = Database(url)
        with _closed_on_trouble(database):
            _bring_up_to_date(database, file, on or clock.today())
    return database


def upgrade_yard(url: str, on: date | None = None) -> str:
    """Upgrade a yard, of either kind, and name the step it has reached."""
    file = file_of(url)
    database = _server(url) if file is None else open_yard(url, on)
    with closing(database):
        if file is None:
            _refuse_unknown(database, _standing_of_server(database))
            upgrade(database)
        return _revision(database)


@contextmanager
def hold_for_serving(url: str) -> Iterator[None]:
    """Keep a second `serve` off the same file, for as long as the block lasts."""
    file = file_of(url)
    if file is None:
        yield
        return
    # Whoever lets go need not be the thread that took hold.
    lock = FileLock(f"{file}.serving", timeout=0, thread_local=False)
    with _named_after(file):
        _refuse_unusable(file)
        _take(lock)
    try:
        yield
    finally:
        lock.release()


def file_of(url: str) -> Path | None:
    """Bring the file a database address names; None for a PostgreSQL server."""
    try:
        address = make_url(url)
    except (ArgumentError, ValueError):
        told = _PASSWORD.sub(":***@", url)
        raise Problem(
            f"{told!r} is not a database address, such as sqlite:///yard.sqlite."
        ) from None
    if address.drivername in {"postgresql", "postgresql+psycopg"}:
        return None
    if address.get_backend_name() == "postgresql":
        raise Problem("The address of a PostgreSQL database begins with postgresql://.")
    if address.drivername not in {"sqlite", "sqlite+pysqlite"}:
        raise Problem("A yard is kept in an SQLite file or a PostgreSQL database, nothing else.")
    if address.host or address.username or address.query:
        raise Problem(
            "The address of a file is sqlite:/// and the file's name, such as sqlite:///yard.sqlite."
        )
    if address.database in {None, "", ":memory:"}:
        raise Problem("The address of a yard needs a file name, such as sqlite:///yard.sqlite.")
    return Path(str(address.database))


def _refuse_unusable(file: Path) -> None:
    _make_folder(file.parent)
    if file.is_dir():
        raise YardFileProblem("This is a folder; a yard is a file.")
    if file.exists() and not file.is_file():
        raise YardFileProblem("This is no ordinary file, as a yard is.")
    if not _may(file.parent, os.W_OK | os.X_OK):
        raise YardFileProblem("The folder it lies in is read-only: nothing can be kept there.")
    if not file.exists() or file.stat().st_size == 0:
        return
    if not _may(file, os.R_OK | os.W_OK):
        raise YardFileProblem("The file is read-only: nothing can be kept in it.")
    with file.open("rb") as opened:
        if opened.read(len(_SQLITE_BEGINNING)) != _SQLITE_BEGINNING:
            raise YardFileProblem("This file is not a yard, or its beginning is damaged.")


def _take(lock: FileLock) -> None:
    try:
        lock.acquire()
    except Timeout:
        raise Conflict("This yard is being served already: close the other Flitchbook.") from None


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise YardFileProblem(f"Its folder cannot be made: {error.strerror}.") from error


def _may(path: Path, what: int) -> bool:
    return os.access(path, what, effective_ids=os.access in os.supports_effective_ids)


@contextmanager
def _named_after(file: Path) -> Iterator[None]:
    """Let every trouble with a file begin with the file's name."""
    try:
        yield
    except Problem as problem:
        raise type(problem)(f"{file}: {problem.sentence}") from problem


@contextmanager
def _closed_on_trouble(database: Database) -> Iterator[None]:
    try:
        yield
    except BaseException:
        database.close()
        raise


def _bring_up_to_date(database: Database, file: Path, on: date) -> None:
    standing = standing_of(database)
    _refuse_unknown(database, standing)
    _refuse_damaged(database)
    if standing is Standing.BEHIND:
        copy_yard(file, _copy_beside(file, on, _revision(database)))
    if standing is not Standing.CURRENT:
        upgrade(database)
    _refuse_lacking(database)


def _refuse_damaged(database: Database) -> None:
    """Look through the file's pages, which takes a second for a million readings."""
    with database.looking() as connection:
        answer = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
    if answer != "ok":
        raise YardFileProblem(damaged(answer))


def _refuse_unknown(database: Database, standing: Standing) -> None:
    if standing is Standing.FOREIGN:
        raise YardFileProblem("This database holds the tables of something else; it is not a yard.")
    if standing is Standing.NEWER:
        raise YardFileProblem(
            f"This yard was kept by a newer Flitchbook (its tables are at {_revision(database)!r}, "
            f"this program knows them up to {newest_revision()!r}). Install the newer Flitchbook."
        )


def _refuse_lacking(database: Database) -> None:
    lacking = missing_tables(database)
    if lacking:
        raise YardFileProblem(
            f"Of this yard's tables some are missing ({', '.join(lacking)}). "
            "Keep it as it is, and restore the last backup."
        )


def _copy_beside(file: Path, on: date, revision: str) -> Path:
    """Name a copy by day and step, with a count where one of that day is there already."""
    name = f"{file.stem}-before-upgrade-{on.isoformat()}-{revision}"
    copies = (file.with_name(f"{name}{number}{file.suffix}") for number in _counts())
    return next(copy for copy in copies if not copy.exists())


def _counts() -> Iterator[str]:
    yield ""
    yield from (f"-{number}" for number in count(2))


def _revision(database: Database) -> str:
    with database.looking() as connection:
        return str(revision_of(connection))


def _open_server(url: str) -> Database:
    database = _server(url)
    with _closed_on_trouble(database):
        standing = _standing_of_server(database)
        _refuse_unknown(database, standing)
        if standing is not Standing.CURRENT:
            raise Problem(
                "The tables of this PostgreSQL database are not up to date; "
                f"run: flitchbook upgrade --database {database.url}"
            )
        _refuse_lacking(database)
    return database


def _standing_of_server(database: Database) -> Standing:
    try:
        return standing_of(database)
    except DBAPIError as error:
        said = str(error.orig).strip().partition("\n")[0]
        raise YardFileProblem(
            f"The PostgreSQL database cannot be used: its server or driver says: {said}."
        ) from error


def _server(url: str) -> Database:
    try:
        return Database(url)
    except ModuleNotFoundError:
        raise Problem(
            "To use PostgreSQL, install Flitchbook with it: pip install 'flitchbook[postgres]'."
        ) from None
