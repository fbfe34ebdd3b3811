"""The yard page in a browser: the first hour on a phone, and filters without a script."""

import threading
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, ViewportSize, expect
from werkzeug.serving import make_server

from tests import make
from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean
from webapp.application import create_app
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.settings import Settings

TARGET_PX = 48


@pytest.fixture
def begun(sqlite_database: Database) -> Iterator[str]:
    """A yard with nothing in it, served; its address."""
    settings = Settings(sqlite_database.url, secret_key="for tests")  # noqa: S106
    server = make_server("127.0.0.1", 0, create_app(settings, sqlite_database), threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.port}"
    server.shutdown()
    thread.join(timeout=10)
    server.server_close()


def test_the_next_step_of_an_empty_yard_is_a_big_button_on_the_phone(
    browser: Browser, begun: str
) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = visit(context, begun).page
    button = page.get_by_role("link", name="Add a place")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= TARGET_PX
    assert box["width"] > PHONE["width"] / 2
    # Seen without scrolling.
    assert box["y"] + box["height"] < PHONE["height"]
    assert page.get_by_role("listitem").filter(has_text="A place").get_attribute(
        "aria-current"
    ) == ("step")
    context.close()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_every_step_of_the_first_hour_is_clean(
    browser: Browser, begun: str, sqlite_database: Database, size: ViewportSize
) -> None:
    context = browser.new_context(viewport=size)
    page = visit(context, begun).page
    page.locator("summary").first.click()
    assert_clean(page)
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        place = make.make_place(session)
        make.make_stack(session, place)
        make.make_stack(session, place, board_count=60)
    page.reload()
    expect(page.get_by_role("heading", name="Stacks without boards")).to_be_visible()
    assert_clean(page)
    context.close()


def test_filters_are_folded_on_the_phone_and_work_without_a_script(
    browser: Browser, served: Served, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        loft = make.make_place(session, name="Loft")
        stack = make.make_stack(session, loft, mark="Ash 2")
        make.make_board(session, stack, species="white ash")
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = visit(context, served.address).page
    expect(page.get_by_label("Place")).to_be_hidden()
    page.get_by_text("Show a part of the yard").click()
    page.get_by_label("Place").select_option("Loft")
    page.get_by_role("button", name="Show").click()
    assert page.url == f"{served.address}/?place=Loft"
    expect(page.get_by_text("Only Loft.")).to_be_visible()
    expect(page.get_by_role("link", name="Oak <1>")).to_have_count(0)
    page.get_by_role("link", name="Ash 2").first.click()
    page.get_by_role("link", name="Yard", exact=True).click()
    assert page.url == f"{served.address}/?place=Loft"
    page.get_by_role("link", name="Show all").click()
    assert page.url == f"{served.address}/"
    expect(page.get_by_role("link", name="Oak <1>").first).to_be_visible()
    context.close()


def test_filters_stand_open_on_a_laptop(
    browser: Browser, served: Served, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_board(session, make.make_stack(session), species="white ash")
    context = browser.new_context(viewport=LAPTOP)
    page = visit(context, f"{served.address}/?species=white+ash&state=haunted").page
    expect(page.get_by_label("Species")).to_be_visible()
    assert_clean(page)
    context.close()
