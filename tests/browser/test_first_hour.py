"""The first hour on a phone: one place, one stack of twelve boards, three rounds, by hand."""

import threading
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect
from werkzeug.serving import make_server

from tests.browser.conftest import PHONE, visit
from tests.browser.test_access import assert_clean
from webapp import clock
from webapp.application import create_app
from webapp.records import Database
from webapp.settings import Settings

TODAY = date(2025, 8, 4)
ROUNDS = ((62, 31.0), (31, 24.5), (0, 20.5))


@pytest.fixture
def empty_yard(sqlite_database: Database, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A yard with nothing in it, served on a summer's day; its address."""
    monkeypatch.setattr(clock, "today", lambda: TODAY)
    settings = Settings(sqlite_database.url, secret_key="for tests")  # noqa: S106
    server = make_server("127.0.0.1", 0, create_app(settings, sqlite_database), threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.port}"
    server.shutdown()
    thread.join(timeout=10)
    server.server_close()


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_a_yard_is_set_up_and_read_three_times(
    browser: Browser,
    empty_yard: str,
    script: bool,  # noqa: FBT001  as pytest has it
) -> None:
    context = browser.new_context(viewport=PHONE, locale="en-GB", java_script_enabled=script)
    page = visit(context, empty_yard).page
    _check(page, clean=script)
    _set_up_place(page)
    _check(page, clean=script)
    _set_up_stack(page)
    _check(page, clean=script)
    _add_boards(page)
    _check(page, clean=script)
    for days_ago, value in ROUNDS:
        _read(page, TODAY - timedelta(days=days_ago), value)
        _check(page, clean=script)
    expect(page.get_by_role("heading", level=2).first).to_contain_text("drying")
    page.get_by_role("link", name="Yard", exact=True).click()
    expect(page.get_by_text("Oak 1")).to_be_visible()
    _check(page, clean=script)
    context.close()


def _check(page: Page, *, clean: bool) -> None:
    """Nothing runs off the phone, and everybody can use the page."""
    assert page.locator("html").evaluate("root => root.scrollWidth") <= PHONE["width"]
    if clean:
        assert_clean(page)


def _set_up_place(page: Page) -> None:
    page.get_by_role("link", name="Add a place").click()
    page.get_by_label("Town, state or country").fill("Bristol, England")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Birmingham").click()
    page.get_by_label("Name").fill("Open shed")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_contain_text("Place Open shed is set up.")


def _set_up_stack(page: Page) -> None:
    page.get_by_role("link", name="Yard", exact=True).click()
    page.get_by_role("link", name="Add a stack").first.click()
    page.get_by_label("Mark", exact=True).fill("Oak 1")
    page.get_by_label("Stacked on").fill((TODAY - timedelta(days=80)).isoformat())
    page.get_by_label("What is it for?").select_option("kiln")
    page.get_by_role("button", name="Save, then add boards").click()
    expect(page.get_by_role("status")).to_contain_text("Stack Oak 1 is set up.")


def _add_boards(page: Page) -> None:
    page.get_by_label("Boards", exact=True).fill(
        "6 boards 27 mm x 180 mm x 2.4 m flat\n6 white oak 5/4 x 7 in x 8 ft quarter"
    )
    page.get_by_label("Species").fill("White Oak")
    page.get_by_role("button", name="Look first").click()
    page.get_by_role("button", name="Save 12 boards").click()
    expect(page.get_by_role("status")).to_contain_text("12 boards added")


def _read(page: Page, day: date, value: float) -> None:
    page.get_by_role("link", name="Read it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Read stack")
    if not page.get_by_label("Read on").is_visible():
        page.locator("main summary").first.click()
    page.get_by_label("Read on").fill(day.isoformat())
    boxes = page.locator("input.reading")
    assert boxes.count() == 12
    for n in range(12):
        boxes.nth(n).fill(f"{value + n * 0.1:.1f}".replace(".", ","))
    page.get_by_role("button", name="Save the readings").click()
    expect(page.get_by_role("status")).to_contain_text("12 readings saved.")
