"""A person's look in a real browser: guessed from its language, chosen, followed on every page."""

from datetime import date
from itertools import combinations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize, expect
from sqlalchemy import select

from tests import make
from tests.browser.conftest import LAPTOP, PHONE, Served, visit, wait_for_chart
from tests.browser.test_access import OPTIONS
from webapp.records import Database, StackStay
from webapp.records.batch import open_batch

BOXES = """
[...document.querySelectorAll('[data-chart] .annotation-text, [data-chart] .ytick text')].map(e => {
  const b = e.getBoundingClientRect();
  return [e.textContent, b.left, b.top, b.right, b.bottom];
})
"""
MOVES = ((date(2024, 5, 20), True), (date(2024, 6, 10), False), (date(2025, 2, 20), True))
Box = tuple[str, float, float, float, float]


@pytest.mark.parametrize(
    ("locale", "thick", "sawn"),
    [("en-US", "1\u00a01/16\u00a0in", "May 4, 2024"), ("de-DE", "27\u00a0mm", "4 May 2024")],
)
def test_a_browser_not_asked_yet_sees_what_its_language_makes_likely(
    browser: Browser, served: Served, locale: str, thick: str, sawn: str
) -> None:
    context = browser.new_context(locale=locale)
    page = visit(context, served.board).page
    assert f"white oak {thick}" in (page.text_content(".title") or "")
    assert sawn in (page.text_content("main") or "")
    context.close()


def test_it_is_chosen_without_script_and_leads_back(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False, locale="de-DE")
    page = context.new_page()
    page.goto(served.board)
    page.get_by_role("link", name="Settings").click()
    page.get_by_label("inches, feet, board feet, pounds, °F").check()
    page.get_by_label("the year first, in figures").check()
    page.get_by_role("button", name="Save").click()
    assert page.url == served.board
    expect(page.get_by_text("Saved in this browser.")).to_be_visible()
    read = (page.text_content("main") or "").replace("\u00a0", " ")
    for said in ("1 1/16 × 7 1/16 in × 7 ft 10 1/2 in, 4.9 bd ft", "2024-05-04"):
        assert said in read
    context.close()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_axe_finds_nothing_on_the_settings(
    browser: Browser, served: Served, size: ViewportSize
) -> None:
    context = browser.new_context(viewport=size)
    page = visit(context, f"{served.address}/settings").page
    found = Axe().run(page, options=OPTIONS)
    assert found.violations_count == 0, found.generate_report()
    context.close()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_no_words_of_a_chart_overlap_and_none_is_markup(
    browser: Browser, served: Served, sqlite_database: Database, size: ViewportSize
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        shed = make.make_place(session, name="Shed <b>3</b> & %{y}")
        store = make.make_place(session, name="Heated store")
        stack = make.make_stack(session, shed, mark="Moved")
        stay = session.scalars(select(StackStay).where(StackStay.stack == stack)).one()
        for moved_on, place in MOVES:
            stay.until_on = moved_on
            stay = StackStay(stack=stack, place=store if place else shed, from_on=moved_on)
            session.add(stay)
        board = make.make_board(session, stack)
        make.make_reading(session, board, read_on=date(2024, 6, 20))
    context = browser.new_context(viewport=size)
    page = visit(context, f"{served.address}/stacks/{stack.code}").page
    wait_for_chart(page)
    boxes = boxes_of(page)
    words = [box[0] for box in boxes]
    assert "Shed <b>3</b> & %{y}" in words
    assert words.count("Heated store") == 2
    for one, other in combinations(boxes, 2):
        assert one[3] <= other[1] or other[3] <= one[1] or one[4] <= other[2] or other[4] <= one[2]
    assert all(box[1] >= 0 and box[3] <= size["width"] for box in boxes)
    context.close()


def boxes_of(page: Page) -> list[Box]:
    found: list[Box] = [tuple(box) for box in page.evaluate(BOXES)]
    return found
