"""Makes a verified copy of a yard's file."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from webapp.problems import Conflict, YardFileProblem
from webapp.records.database import troubles_named


def copy_yard(source: Path, target: Path) -> None:
    """Copy a yard's file, also while it is in use; the copy appears only once proved whole."""
    if target.exists():
        raise Conflict(f"{target} is there already and was not overwritten.")
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with troubles_named():
            _copy(source, part)
            _prove_whole(part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def damaged(where: str) -> str:
    """Say that a yard's file is damaged, and where."""
    return f"The yard's file is damaged ({where}). Keep it, and restore the last backup."


def _copy(source: Path, part: Path) -> None:
    reading = f"{source.absolute().as_uri()}?mode=rw"
    with closing(sqlite3.connect(reading, uri=True)) as old, closing(sqlite3.connect(part)) as new:
        old.backup(new)
        # The copy is one file by itself, without a write-ahead log beside it.
        new.execute("PRAGMA journal_mode = DELETE")
    with part.open("rb+") as written:
        os.fsync(written.fileno())


def _prove_whole(copy: Path) -> None:
    with closing(sqlite3.connect(copy)) as connection:
        answer: str = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if answer != "ok":
        raise YardFileProblem(damaged(answer))
