import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.conftest import PHONE, Served, visit, wait_for_chart, wait_until
from webapp.charts.house_style import DARK, LIGHT

PAPER = "document.querySelector('[data-chart] .main-svg').style.background"
STROKES = "[...document.querySelectorAll('[data-chart] .js-line')].map(e => e.style.stroke)"


def rgb(colour: str) -> str:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return f"rgb({red}, {green}, {blue})"


@pytest.mark.parametrize("which", ["stack", "board"])
def test_the_chart_draws_under_the_policy_with_a_quiet_console(
    context: BrowserContext, served: Served, which: str
) -> None:
    seen = visit(context, getattr(served, which))
    wait_for_chart(seen.page)
    assert seen.console == []
    assert seen.page.locator("[data-chart] .point").count() >= 6


def test_the_browser_asks_nobody_else(context: BrowserContext, served: Served) -> None:
    asked: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    seen = visit(context, served.stack)
    wait_for_chart(seen.page)
    assert asked
    assert all(address.startswith((served.address, "data:", "blob:")) for address in asked)


def test_the_chart_follows_day_and_night(context: BrowserContext, served: Served) -> None:
    page = visit(context, served.stack).page
    wait_for_chart(page)
    assert page.evaluate(PAPER) == rgb(LIGHT.sheet)
    assert rgb(LIGHT.place) in page.evaluate(STROKES)
    page.emulate_media(color_scheme="dark")
    wait_until(page, f"{PAPER} === '{rgb(DARK.sheet)}'")
    assert rgb(DARK.place) in page.evaluate(STROKES)
    assert rgb(LIGHT.place) not in page.evaluate(STROKES)


def test_one_board_can_be_made_to_stand_out(context: BrowserContext, served: Served) -> None:
    page = visit(context, served.stack).page
    wait_for_chart(page)
    page.get_by_label("Show").select_option("W2")
    faint = "document.querySelector('[data-chart]').data.filter(t => t.opacity < 1)"
    wait_until(page, f"{faint}.length > 0")
    boards = set(page.evaluate(f"{faint}.map(t => t.meta.board)"))
    assert "W2" not in boards
    assert "W1" in boards


@pytest.mark.parametrize("path", ["yard", "stack", "board", "help"])
def test_nothing_runs_off_a_phone(browser: Browser, served: Served, path: str) -> None:
    context = browser.new_context(viewport=PHONE, has_touch=True)
    page = visit(context, _address(served, path)).page
    if path in {"stack", "board"}:
        wait_for_chart(page)
        assert page.evaluate("document.querySelector('[data-chart]').layout.dragmode") is False
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    assert _small_targets(page) == []
    context.close()


def _address(served: Served, path: str) -> str:
    return {
        "yard": f"{served.address}/",
        "stack": served.stack,
        "board": served.board,
        "help": f"{served.address}/help",
    }[path]


def _small_targets(page: Page) -> list[str]:
    """Tell what is to be touched but lower than 48 px; links within a sentence may be."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(
             'main a, main button, main select, main summary, header a, main input')]
           .filter(e => e.type !== 'hidden' && e.type !== 'checkbox' && !e.closest('p.quiet'))
           .map(e => [e.getBoundingClientRect(), e.outerHTML.slice(0, 80)])
           .filter(([box]) => box.width > 0 && box.height < 47.5)
           .map(([box, html]) => `${Math.round(box.height)} px: ${html}`)"""
    )
    return found
