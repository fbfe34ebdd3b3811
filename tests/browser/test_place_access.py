"""Everybody can use the pages of places, with errors on them as well."""

from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize

from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_axe_finds_nothing_to_mend(
    browser: Browser, served: Served, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    page = visit(context, f"{served.address}/places/").page
    assert_clean(page)
    page.get_by_role("link", name="Add a place").click()
    page.get_by_label("Town, state or country").fill("Bristol, UK")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Birmingham").wait_for()
    assert_clean(page)
    page.get_by_role("link", name="Birmingham").click()
    page.get_by_text("The air, month by month").click()
    page.get_by_label("May, temperature").fill("warm")
    page.get_by_label("May, humidity").fill("120")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").wait_for()
    assert_clean(page)
    page.goto(f"{served.address}/places/")
    page.get_by_role("link", name="Long shed").click()
    page.get_by_text("Month by month").click()
    assert_clean(page)
    page.get_by_role("link", name="Add air records").click()
    page.get_by_label("Paste lines").fill("rubbish")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").wait_for()
    assert_clean(page)
    page.get_by_label("Paste lines").fill("2024-05-01; 130 C; 0")
    page.get_by_role("button", name="Save").click()
    page.get_by_label("It is right; save it as it stands").check()
    assert_clean(page)
    page.get_by_role("button", name="Save").click()
    page.get_by_text("1 air record is kept.").wait_for()
    assert_clean(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    context.close()
