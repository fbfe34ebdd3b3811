from playwright.sync_api import Browser, expect

from tests.browser.conftest import PHONE, Served
from webapp.records import Database
from webapp.records.reading import readings_of


def test_a_reading_is_kept_without_scripts(
    browser: Browser, served: Served, sqlite_database: Database
) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(served.board)
    page.get_by_label("Reading", exact=True).fill("17.1")
    page.get_by_role("button", name="Save reading").click()
    expect(page.get_by_role("status")).to_have_text("Saved: 17.1")
    assert page.url == served.board
    page.reload()
    context.close()
    with sqlite_database.reading() as session:
        shown = [reading.shown for reading in readings_of(session, served.shed.boards[0])]
    assert shown.count("17.1") == 1


def test_a_mistake_is_shown_and_mended_without_scripts(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(served.board)
    page.get_by_label("Reading", exact=True).fill("wet")
    page.get_by_role("button", name="Save reading").click()
    summary = page.get_by_role("alert")
    expect(summary).to_contain_text("Not saved yet")
    field = page.get_by_label("Reading", exact=True)
    assert field.input_value() == "wet"
    assert field.get_attribute("aria-invalid") == "true"
    summary.get_by_role("link").first.click()
    assert page.url.endswith("#reading")
    field.fill("17.1")
    page.get_by_role("button", name="Save reading").click()
    expect(page.get_by_role("status")).to_have_text("Saved: 17.1")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".readings s").first).to_have_text("17.1")
    assert page.url == served.board
    context.close()


def test_the_chart_page_says_where_its_numbers_are_without_scripts(
    browser: Browser, served: Served
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served.stack)
    expect(page.get_by_text("A script draws the chart here.")).to_be_visible()
    expect(page.get_by_label("Show")).to_be_hidden()
    page.get_by_text("Every reading, corrected").click()
    expect(page.get_by_role("cell", name="29.5").first).to_be_visible()
    context.close()
