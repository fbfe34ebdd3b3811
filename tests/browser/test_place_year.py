"""The year of a place is drawn while its months are typed, and by a button without script."""

import re

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import PHONE, Served, visit, wait_until

DOTS = "document.querySelectorAll('#year .dot').length"
WHOLE = "document.querySelector('#year .curve') !== null"


def type_months(page: Page, temperature: str, humidity: str, months: range) -> None:
    for month in months:
        page.locator(f"#temp_{month:02d}").fill(temperature)
        page.locator(f"#rh_{month:02d}").fill(humidity)


def typed(page: Page, *names: str) -> list[str]:
    return [page.locator(f"#{name}").input_value() for name in names]


def said(page: Page) -> str:
    return re.sub(r"\s+", " ", page.locator("#year p").inner_text())


def test_the_drawing_follows_typing(context: BrowserContext, served: Served) -> None:
    seen = visit(context, f"{served.address}/places/new?own=1")
    page = seen.page
    expect(page.get_by_role("button", name="Draw it")).to_be_hidden()
    type_months(page, "21.1 C", "65", range(1, 4))
    wait_until(page, f"{DOTS} === 3")
    assert said(page).startswith("Not complete yet: April, May")
    assert page.locator("tr", has_text="Jan").locator("[data-month]").inner_text() == "12\u00a0%"
    type_months(page, "21.1 C", "65", range(4, 13))
    wait_until(page, WHOLE)
    assert said(page) == "This place keeps wood at about 12 % all year."
    page.locator("#rh_07").fill("120")
    wait_until(page, f"!({WHOLE})")
    assert said(page) == "Not complete yet: July."
    assert seen.console == []


def test_the_kind_of_place_changes_the_drawing(browser: Browser, served: Served) -> None:
    context = browser.new_context(locale="en-GB")
    page = visit(context, f"{served.address}/places/new?station=london-gatwick-united-kingdom").page
    outdoors = page.locator("#year .curve").get_attribute("d")
    page.get_by_label("Kind of place").select_option("heated")
    wait_until(page, f"document.querySelector('#year .curve').getAttribute('d') !== '{outdoors}'")
    assert "in July" in said(page)
    page.get_by_label("Kind of place").select_option("open_shed")
    wait_until(page, f"document.querySelector('#year .curve').getAttribute('d') === '{outdoors}'")
    context.close()


def test_a_table_that_is_pasted_fills_the_months(context: BrowserContext, served: Served) -> None:
    page = visit(context, f"{served.address}/places/new?own=1").page
    paste = """([id, text]) => {
        const data = new DataTransfer();
        data.setData("text", text);
        const told = {clipboardData: data, bubbles: true, cancelable: true};
        document.getElementById(id).dispatchEvent(new ClipboardEvent("paste", told));
    }"""
    page.evaluate(paste, ["temp_01", " ".join(str(month) for month in range(1, 13))])
    page.evaluate(paste, ["rh_11", "81\n82\n83"])
    page.evaluate(paste, ["temp_01", "-1.5\t70\n\u22122,5\t71"])
    assert typed(page, "temp_12", "rh_12") == ["12", "82"]
    assert typed(page, "temp_01", "rh_01") == ["-1.5", "70"]
    assert typed(page, "temp_02", "rh_02") == ["\u22122,5", "71"]
    wait_until(page, f"{DOTS} === 4")


def test_a_newcomer_gets_through_on_a_phone(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport=PHONE, locale="en-GB")
    page = visit(context, f"{served.address}/places/").page
    page.get_by_role("link", name="Add a place").click()
    page.get_by_label("Town, state or country").fill("Bristol")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="No weather station found").wait_for()
    page.get_by_label("Town, state or country").fill("Bristol, England")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Birmingham").click()
    page.get_by_label("Name").fill("Open shed")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Place Open shed is set up.")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    context.close()


def test_without_script_a_button_draws(browser: Browser, served: Served) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = visit(context, f"{served.address}/places/new?own=1").page
    type_months(page, "21.1 C", "65", range(1, 13))
    page.get_by_role("button", name="Draw it").click()
    assert said(page) == "This place keeps wood at about 12 % all year."
    assert page.locator("#temp_12").input_value() == "21.1 C"
    page.get_by_label("Name").fill("Open shed")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Place Open shed is set up.")).to_be_visible()
    context.close()
