"""The help in a browser: every part opens, nothing runs over the edge, everybody can use it."""

from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_every_part_of_the_help_opens(
    browser: Browser, served: Served, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    seen = visit(context, f"{served.address}/help")
    expect(seen.page.get_by_text("From then on it has a field")).to_be_hidden()
    for summary in seen.page.locator("summary").all():
        summary.click()
    expect(seen.page.get_by_text("From then on it has a field")).to_be_visible()
    width = seen.page.evaluate("document.documentElement.scrollWidth")
    assert width <= size["width"]
    assert_clean(seen.page)
    assert not seen.console
    context.close()
