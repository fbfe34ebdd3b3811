"""Serving one yard from this computer: the port, the hold on the file, the invented yard."""

from __future__ import annotations

import os
import signal
import socket
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, NoReturn

from waitress import create_server

from webapp.application import create_app
from webapp.demo_door import mount
from webapp.problems import Conflict
from webapp.yard import keep_file
from webapp.yard.demo_file import demo_file, is_of_day, make_demo

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date, datetime
    from pathlib import Path

    from flask import Flask

    from webapp.demo_door import DemoDoor
    from webapp.settings import Settings
    from webapp.yard.demo_file import Build

OWN_ADDRESS = "127.0.0.1"
WAITING_CALLERS = 64


def serve_yard(settings: Settings, tell: Callable[[str], None], demo: DemoDoor) -> None:
    """Serve the yard until it is stopped; only this computer is listened to."""
    with (
        listening(settings.port) as door,
        keep_file.hold_for_serving(settings.database_url),
        closing(keep_file.open_yard(settings.database_url)) as database,
        closing(demo),
    ):
        app = create_app(settings, database)
        mount(app, demo)
        _serve(app, door, tell, settings.database_file or database.url)


def serve_demo(
    settings: Settings, tell: Callable[[str], None], build: Build, today: date, at: datetime
) -> None:
    """Serve the invented yard, made anew when its file is missing or from another day."""
    file = demo_file(settings.database_url)
    with listening(settings.port) as door, keep_file.hold_for_serving(settings.database_url):
        if not is_of_day(file, today):
            tell("Making the invented yard, two years up to today ...")
            make_demo(file, build, today, at)
        with closing(keep_file.open_yard(settings.database_url)) as database:
            _serve(create_app(settings, database, invented=True), door, tell, file)


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


def _serve(app: Flask, door: socket.socket, tell: Callable[[str], None], where: Path | str) -> None:
    server = create_server(app, sockets=[door])
    signal.signal(signal.SIGTERM, _stop)
    tell(f"Flitchbook serves {where}")
    tell(f"at http://{OWN_ADDRESS}:{door.getsockname()[1]}/ (Ctrl+C stops it).")
    server.run()
    server.close()


def _stop(_signal: int, _frame: object) -> NoReturn:
    raise SystemExit(0)
