"""Serving one yard from this computer: the port, the hold on the file, the invented yard."""

from __future__ import annotations

import os
import signal
import socket
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, NoReturn

from waitress import create_server

from webapp.application import create_app
from webapp.problems import Conflict, Problem
from webapp.yard import keep_file

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from webapp.records.database import Database
    from webapp.settings import Settings

OWN_ADDRESS = "127.0.0.1"
WAITING_CALLERS = 64


def serve_yard(settings: Settings, tell: Callable[[str], None]) -> None:
    """Serve the yard until it is stopped; only this computer is listened to."""
    with listening(settings.port) as door, keep_file.hold_for_serving(settings.database_url):
        _serve(settings, door, tell)


def serve_demo(
    settings: Settings,
    tell: Callable[[str], None],
    build: Callable[[Database], None],
    today: date,
) -> None:
    """Serve the invented yard, made anew when its file is missing or from another day."""
    file = _demo_file(settings)
    with listening(settings.port) as door, keep_file.hold_for_serving(settings.database_url):
        if _made_on(file) != today:
            tell("Making the invented yard, two years up to today ...")
            make_demo(file, build, today)
        _serve(settings, door, tell)


@contextmanager
def listening(port: int) -> Iterator[socket.socket]:
    """Take the port, or say that somebody else has it."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as door:
        if os.name == "posix":  # elsewhere this option would let two programs share a port
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((OWN_ADDRESS, port))
            door.listen(WAITING_CALLERS)
        except OSError as error:
            sentence = (
                f"Port {port} at {OWN_ADDRESS} cannot be used ({error.strerror}). Perhaps "
                "Flitchbook is already running there; else choose another with --port."
            )
            raise Conflict(sentence) from error
        yield door


def _serve(settings: Settings, door: socket.socket, tell: Callable[[str], None]) -> None:
    database = keep_file.open_yard(settings.database_url)
    try:
        server = create_server(create_app(settings, database), sockets=[door])
        signal.signal(signal.SIGTERM, _stop)
        where = settings.database_file or database.url
        tell(f"Flitchbook serves {where}")
        tell(f"at http://{OWN_ADDRESS}:{door.getsockname()[1]}/ (Ctrl+C stops it).")
        server.run()
        server.close()
    finally:
        database.close()


def _stop(_signal: int, _frame: object) -> NoReturn:
    raise SystemExit(0)


def _demo_file(settings: Settings) -> Path:
    """Name the demo's file; a file that was not made by the demo is never overwritten."""
    file = settings.database_file
    if file is None:
        sentence = "The invented yard lives in an SQLite file: give --database sqlite:///FILE."
        raise Problem(sentence)
    if file.exists() and _made_on(file) is None:
        sentence = (
            f"{file} was not made by the demo, so it is left alone. Name another file for the demo."
        )
        raise Conflict(sentence)
    return file


def _note_beside(file: Path) -> Path:
    return file.with_name(f"{file.name}.made-on")


def _made_on(file: Path) -> date | None:
    if not file.exists():
        return None
    try:
        return date.fromisoformat(_note_beside(file).read_text(encoding="ascii").strip())
    except (FileNotFoundError, ValueError):
        return None


def make_demo(file: Path, build: Callable[[Database], None], today: date) -> None:
    """Build the invented yard under another name and put it in place when it is complete."""
    fresh = file.with_name(f"{file.name}.new")
    for leftover in (fresh, *_companions(fresh)):
        leftover.unlink(missing_ok=True)
    database = keep_file.open_yard(f"sqlite:///{fresh}")
    try:
        build(database)
    finally:
        database.close()
    for companion in _companions(file):
        companion.unlink(missing_ok=True)
    fresh.replace(file)
    _note_beside(file).write_text(f"{today.isoformat()}\n", encoding="ascii")


def _companions(file: Path) -> list[Path]:
    return [file.with_name(file.name + end) for end in ("-wal", "-shm")]
