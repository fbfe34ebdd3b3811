"""The way from one's own yard into the invented one: a second application under `/demo`."""

from __future__ import annotations

from contextlib import ExitStack, contextmanager
from threading import Condition, Lock
from time import monotonic
from typing import TYPE_CHECKING

from werkzeug.middleware.dispatcher import DispatcherMiddleware

from webapp.application import create_app
from webapp.problems import Busy, Conflict
from webapp.yard import demo_file, keep_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date, datetime

    from _typeshed.wsgi import StartResponse, WSGIEnvironment
    from flask import Flask

    from webapp.records.database import Database
    from webapp.settings import Settings

MOUNT = "/demo"
PATIENCE_S = 30.0


class DemoDoor:
    """The invented yard beside one's own: shut at first, made and opened by entering.

    A yard of another day is exchanged only when somebody enters, and only while no page of the
    old one is being made; whoever asks for a page meanwhile waits.
    """

    def __init__(self, settings: Settings, build: demo_file.Build) -> None:
        self._settings, self._build = settings, build
        self._entering = Lock()
        self._change = Condition()
        self._inside, self._changing = 0, False
        self._opened: tuple[Flask, Database] | None = None
        self._made_at = float("-inf")
        self._held = ExitStack()

    def enter(self, today: date, at: datetime, *, anew: bool = False) -> None:
        """See to it that today's invented yard is open, or a fresh one; raises Problem."""
        asked_at = monotonic()
        with self._entering:
            # Whoever asked while one was being made gets that one.
            anew = anew and self._made_at < asked_at
            self._hold()
            try:
                self._bring_up(today, at, anew=anew)
            finally:
                if self._opened is None:
                    self._held.close()

    def close(self) -> None:
        """Let go of the invented yard's file."""
        self._shut()
        self._held.close()

    def __call__(
        self, environ: WSGIEnvironment, start_response: StartResponse
    ) -> Iterable[bytes] | None:
        """Answer a request as the invented yard; None while it is shut."""
        with self._change:
            self._change.wait_for(lambda: not self._changing)
            if self._opened is None:
                return None
            app = self._opened[0]
            self._inside += 1
        try:
            return app(environ, start_response)
        finally:
            with self._change:
                self._inside -= 1
                self._change.notify_all()

    def _hold(self) -> None:
        if self._opened is not None:
            return
        try:
            self._held.enter_context(keep_file.hold_for_serving(self._settings.database_url))
        except Conflict:
            raise Conflict(
                "The invented yard is open in another Flitchbook on this computer: look round "
                "there, or close that one first."
            ) from None

    def _bring_up(self, today: date, at: datetime, *, anew: bool) -> None:
        file = demo_file.demo_file(self._settings.database_url)
        if anew or not demo_file.is_of_day(file, today):
            fresh = demo_file.build_beside(file, self._build, today, at)
            with self._nobody_inside():
                self._shut()
                demo_file.put_in_place(fresh, file, today)
                self._open()
            self._made_at = monotonic()
        elif self._opened is None:
            self._open()

    def _open(self) -> None:
        database = keep_file.open_yard(self._settings.database_url)
        self._opened = create_app(self._settings, database, invented=True, mount=MOUNT), database

    def _shut(self) -> None:
        if self._opened is not None:
            self._opened[1].close()
            self._opened = None

    @contextmanager
    def _nobody_inside(self) -> Iterator[None]:
        """Wait until no page is being made, and let none begin for as long as the block lasts."""
        with self._change:
            self._changing = True
            if not self._change.wait_for(lambda: self._inside == 0, PATIENCE_S):
                self._let_in()
                raise Busy("A page of the invented yard is still being made: try again in a while.")
        try:
            yield
        finally:
            with self._change:
                self._let_in()

    def _let_in(self) -> None:
        self._changing = False
        self._change.notify_all()


def mount(own: Flask, door: DemoDoor) -> None:
    """Put the invented yard under `/demo` of one's own; while it is shut, one's own answers."""
    own.config["DEMO_OFFERED"] = True
    own.extensions["demo"] = door
    own_pages = own.wsgi_app

    def demo_pages(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        answer = door(environ, start_response)
        if answer is not None:
            return answer
        path = MOUNT + environ["PATH_INFO"]
        outside = environ | {"SCRIPT_NAME": "", "PATH_INFO": path}
        return own_pages(outside, start_response)

    own.wsgi_app = DispatcherMiddleware(own_pages, {MOUNT: demo_pages})  # type: ignore[method-assign]
