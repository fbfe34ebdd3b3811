"""Everybody can use the forms of boards: axe finds nothing, fresh, looked at, or refused."""

from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_axe_finds_nothing_to_mend(
    browser: Browser, served: Served, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme, locale="en-GB")
    page = visit(context, f"{served.stack}/boards").page
    page.locator("summary").first.click()
    assert_fits(page)
    page.get_by_label("Boards").fill("6 boards 32 mm x 180 mm x 1.2 m flat")
    page.get_by_role("button", name="Look first").click()
    expect(page.get_by_role("button", name="Save 6 boards")).to_be_visible()
    assert_fits(page)
    page.get_by_label("Boards").fill("6 boards 32 x 180 x 1.2\n<b>six</b> boards")
    page.get_by_role("button", name="Look again").click()
    expect(page.get_by_role("alert")).to_be_visible()
    assert_fits(page)
    for address, button in (
        (f"{served.board}/edit", "Save"),
        (f"{served.board}/move", "Save the move"),
        (f"{served.stack}/boards/move", "Save the move"),
    ):
        page.goto(address)
        assert_fits(page)
        page.locator("main form").get_by_role("textbox").first.fill("x" * 300)
        page.get_by_role("button", name=button, exact=True).click()
        expect(page.get_by_role("alert")).to_be_visible()
        assert_fits(page)
    context.close()


def test_a_dozen_boards_are_added_without_script(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False, locale="en-GB")
    page = visit(context, f"{served.stack}/boards").page
    page.get_by_label("Boards").fill("12 boards 1 1/4 in x 7 in x 8 ft")
    page.get_by_label("Mark of the first board").press("Enter")
    page.get_by_role("button", name="Save 12 boards").click()
    expect(page.get_by_text("12 boards added: W5 to W16.")).to_be_visible()
    context.close()


def assert_fits(page: Page) -> None:
    """Find nothing for axe to mend, and nothing that sticks out at the side."""
    assert_clean(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
