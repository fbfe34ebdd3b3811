"""Everybody can use the pages: axe finds nothing, in day and night, on phone and laptop."""

from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize, expect

from tests.browser.conftest import LAPTOP, PHONE, Served, visit, wait_for_chart

OPTIONS = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}},
}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_axe_finds_nothing_to_mend(
    browser: Browser, served: Served, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    for path in ("/", "/help", "/nowhere") if size is PHONE else ("/",):
        assert_clean(visit(context, f"{served.address}{path}").page)
    stack = visit(context, served.stack).page
    wait_for_chart(stack)
    for summary in stack.locator("summary").all():
        summary.click()
    assert_clean(stack)
    board = visit(context, served.board).page
    wait_for_chart(board)
    assert_clean(board)
    board.get_by_label("Reading", exact=True).fill("wet")
    board.get_by_role("button", name="Save reading").click()
    wait_for_chart(board)
    expect(board.get_by_role("alert")).to_be_visible()
    for summary in board.locator("summary").all():
        summary.click()
    assert_clean(board)
    context.close()


def assert_clean(page: Page) -> None:
    found = Axe().run(page, options=OPTIONS)
    assert found.violations_count == 0, found.generate_report()
