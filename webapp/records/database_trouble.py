"""What the database complains of, in sentences for people."""

import sqlite3

from sqlalchemy.exc import DBAPIError

from webapp.problems import Busy, Problem, YardFileProblem

BUSY = "The yard is busy: somebody else is writing to it. Nothing was lost; try again in a moment."
_SQLITE_SENTENCES = {
    sqlite3.SQLITE_READONLY: "The yard's file or its folder is read-only: nothing can be kept.",
    sqlite3.SQLITE_IOERR: "The disk reports an error: the yard's file cannot be read or written.",
    sqlite3.SQLITE_CORRUPT: "The yard's file is damaged. Keep it, and restore the last backup.",
    sqlite3.SQLITE_FULL: "The disk is full: nothing more can be kept. What was kept is safe.",
    sqlite3.SQLITE_CANTOPEN: "The yard's file cannot be opened or made: look at its folder.",
    sqlite3.SQLITE_PERM: "The yard's file may not be opened by this user of the computer.",
    sqlite3.SQLITE_NOTADB: "This file is not a yard: no SQLite database, or a damaged one.",
}
_SQLITE_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_POSTGRESQL_LOCK_NOT_AVAILABLE = "55P03"


def problem_of(error: DBAPIError | sqlite3.Error) -> Problem | None:
    """Name the trouble behind a database error, or None where it is our own mistake."""
    if isinstance(error, sqlite3.Error):
        return _sqlite_problem(error)
    cause = error.orig
    if isinstance(cause, sqlite3.Error):
        return _sqlite_problem(cause)
    if getattr(cause, "sqlstate", None) == _POSTGRESQL_LOCK_NOT_AVAILABLE:
        return Busy(BUSY)
    if error.connection_invalidated or _never_connected(cause):
        return YardFileProblem("The yard's PostgreSQL server does not answer.")
    return None


def is_busy(error: sqlite3.Error) -> bool:
    """Tell whether somebody else holds the file just now."""
    return _code(error) in _SQLITE_BUSY


def _sqlite_problem(cause: sqlite3.Error) -> Problem | None:
    if is_busy(cause):
        return Busy(BUSY)
    sentence = _SQLITE_SENTENCES.get(_code(cause))
    return None if sentence is None else YardFileProblem(sentence)


def _code(error: sqlite3.Error) -> int:
    # Some errors of the driver itself carry no code; the low byte names the kind.
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


def _never_connected(cause: BaseException | None) -> bool:
    return type(cause).__name__ in {"OperationalError", "ConnectionTimeout"} and (
        getattr(cause, "sqlstate", "") is None
    )
