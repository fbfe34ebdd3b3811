"""History in a browser: everybody can use it, and a button takes back and does again."""

from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_undone_and_done_again(
    browser: Browser, served: Served, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    page = visit(context, f"{served.address}/meters/new").page
    name = f"blue pins {size['width']} {scheme}"
    page.get_by_label("Name").fill(name)
    page.get_by_label("Kind").select_option("pin")
    page.locator("#scale").select_option("as_shown")
    page.locator("#temperature").select_option("compensated")
    page.get_by_role("button", name="Save").click()
    page.goto(f"{served.address}/history/")
    assert_clean(page)
    line = page.locator("li").filter(has=page.get_by_text(f"Described meter {name}", exact=True))
    line.get_by_role("button", name="Undo").click()
    expect(
        page.get_by_role("status").get_by_text(f"Undone: described meter {name}.")
    ).to_be_visible()
    expect(line.get_by_text("undone on")).to_be_visible()
    assert_clean(page)
    page.locator(".said").get_by_role("button", name="Redo").click()
    expect(page.get_by_text(f"Done again: described meter {name}.")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    context.close()
