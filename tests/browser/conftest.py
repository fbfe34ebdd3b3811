"""A real browser before a real server, on a free port of this computer."""

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright
from werkzeug.serving import make_server

from tests.make_shed import NOW, TODAY, Shed, make_shed
from webapp import clock
from webapp.application import create_app
from webapp.records import Database
from webapp.settings import Settings

QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE = ViewportSize(width=360, height=740)
LAPTOP = ViewportSize(width=1280, height=800)


@dataclass
class Seen:
    """A page that is open, and what its console said."""

    page: Page
    console: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Served:
    """A yard that is served, and its addresses."""

    address: str
    shed: Shed

    @property
    def stack(self) -> str:
        """The page of its stack."""
        return f"{self.address}/stacks/{self.shed.stack.code}"

    @property
    def board(self) -> str:
        """The page of a board that was read."""
        return f"{self.address}/boards/{self.shed.boards[0].code}"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of this folder as those that need a browser."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium as the system has it."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("NO CHROMIUM HERE: the browser tests did not run")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=list(QUIET))
        yield opened
        opened.close()


@contextmanager
def at_address(app: Flask) -> Iterator[str]:
    """Serve an application on a free port, and name its address."""
    # Unlike the server of every day, this one can be stopped from another thread.
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.port}"
    server.shutdown()
    thread.join(timeout=10)
    server.server_close()


@pytest.fixture
def served(sqlite_database: Database, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """The small yard, served."""
    monkeypatch.setattr(clock, "today", lambda: TODAY)
    monkeypatch.setattr(clock, "now", lambda: NOW)
    shed = make_shed(sqlite_database)
    settings = Settings(sqlite_database.url, secret_key="for tests")  # noqa: S106
    with at_address(create_app(settings, sqlite_database)) as address:
        yield Served(address, shed)


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A fresh visitor at a laptop."""
    opened = browser.new_context(viewport=LAPTOP)
    yield opened
    opened.close()


def visit(context: BrowserContext, address: str) -> Seen:
    """Open a page and listen to its console."""
    seen = Seen(context.new_page())
    seen.page.on("console", lambda message: seen.console.append(message.text))
    seen.page.on("pageerror", lambda error: seen.console.append(str(error)))
    seen.page.goto(address)
    return seen


def wait_for_chart(page: Page) -> None:
    """Wait until the chart is drawn."""
    page.wait_for_selector("[data-chart] .main-svg .scatterlayer .trace", timeout=20_000)


def wait_until(page: Page, condition: str) -> None:
    """Wait until a condition holds on the page; the browser's own waiting the policy forbids."""
    for _turn in range(100):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    pytest.fail(f"it never came true: {condition}")
