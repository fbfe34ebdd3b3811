"""The invented yard's file: its own, made anew each day, never in the place of a real yard."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from webapp.problems import Conflict, Problem
from webapp.records.database import Database
from webapp.yard import keep_file

Build = Callable[[Database, date, datetime], None]


def demo_file(url: str) -> Path:
    """Name the demo's file; a file that was not made by the demo is never overwritten."""
    file = keep_file.file_of(url)
    if file is None:
        sentence = "The invented yard lives in an SQLite file: give --database sqlite:///FILE."
        raise Problem(sentence)
    if file.exists() and _made_on(file) is None:
        sentence = (
            f"{file} was not made by the demo, so it is left alone. Name another file for the demo."
        )
        raise Conflict(sentence)
    return file


def is_of_day(file: Path, day: date) -> bool:
    """Tell whether the demo's file is there and was made on this day."""
    return _made_on(file) == day


def make_demo(file: Path, build: Build, today: date, at: datetime) -> None:
    """Build the invented yard under another name and put it in place when it is complete."""
    put_in_place(build_beside(file, build, today, at), file, today)


def build_beside(file: Path, build: Build, today: date, at: datetime) -> Path:
    """Build the invented yard under another name; the one in place stays as it is."""
    fresh = file.with_name(f"{file.name}.new")
    for leftover in (fresh, *_companions(fresh)):
        leftover.unlink(missing_ok=True)
    database = keep_file.open_yard(f"sqlite:///{fresh}")
    try:
        build(database, today, at)
    finally:
        database.close()
    return fresh


def put_in_place(fresh: Path, file: Path, today: date) -> None:
    """Let a freshly built yard take the place of the last one, which nobody may have open."""
    # Should this stop half way, the file is known as the demo's, and as one to be made anew.
    _note(file, date.min)
    for companion in _companions(file):
        companion.unlink(missing_ok=True)
    fresh.replace(file)
    _note(file, today)


def _note_beside(file: Path) -> Path:
    return file.with_name(f"{file.name}.made-on")


def _note(file: Path, day: date) -> None:
    _note_beside(file).write_text(f"{day.isoformat()}\n", encoding="ascii")


def _made_on(file: Path) -> date | None:
    if not file.exists():
        return None
    try:
        return date.fromisoformat(_note_beside(file).read_text(encoding="ascii").strip())
    except (FileNotFoundError, ValueError):
        return None


def _companions(file: Path) -> list[Path]:
    return [file.with_name(file.name + end) for end in ("-wal", "-shm")]
