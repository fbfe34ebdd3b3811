"""Every form and every state of it can be used by everybody: phone and laptop, day and night."""

from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, ViewportSize, expect

from tests import make
from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.records.place import place_named

LOOKS = [(PHONE, "light"), (LAPTOP, "dark")]


@pytest.fixture
def witness_page(served: Served, sqlite_database: Database) -> str:
    """The page of a witness board beside the stack."""
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        place = place_named(session, "Long shed")
        make.make_place(session, name="Warm room", kind="heated")
        witness = make.make_witness_board(session, place, mark="V1")
        make.make_reading(session, witness)
    return f"{served.address}/witnesses/{witness.uid}"


@pytest.mark.parametrize(("size", "scheme"), LOOKS, ids=["phone-light", "laptop-dark"])
def test_axe_finds_nothing_to_mend(
    browser: Browser,
    served: Served,
    witness_page: str,
    size: ViewportSize,
    scheme: Literal["light", "dark"],
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    stack = served.stack
    for path in (
        f"{served.address}/meters/",
        f"{served.address}/meters/new",
        f"{served.address}/stacks/new",
        f"{stack}/edit",
        f"{stack}/move",
        f"{stack}/round",
        f"{served.address}/witnesses/new",
        witness_page,
        f"{witness_page}/edit",
        f"{served.address}/history/",
    ):
        _look_at(context, path, size)
    _see_errors(context, f"{served.address}/meters/new", size, "Save")
    _see_errors(context, f"{served.address}/stacks/new", size, "Save, then add boards")
    _see_errors(context, f"{served.address}/witnesses/new", size, "Save")
    for typed in ("", "172", "<b>wet</b>" * 20):
        _see_errors(context, f"{stack}/round", size, "Save the readings", typed)
    context.close()


def _look_at(context: BrowserContext, path: str, size: ViewportSize) -> None:
    page = visit(context, path).page
    for summary in page.locator("summary").all():
        summary.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], path
    assert_clean(page)
    page.close()


def _see_errors(
    context: BrowserContext, path: str, size: ViewportSize, button: str, reading: str = ""
) -> None:
    page = visit(context, path).page
    if reading:
        page.locator("input.reading").first.fill(reading)
    page.get_by_role("button", name=button, exact=True).click()
    expect(page.get_by_role("alert")).to_be_visible()
    expect(page.get_by_role("status")).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], path
    assert_clean(page)
    page.close()
