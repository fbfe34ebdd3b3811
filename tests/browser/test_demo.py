"""The invented yard in a browser: entered from one's own, tried out, and left again."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from seed_demo import build
from tests.browser.conftest import LAPTOP, PHONE, at_address, visit, wait_for_chart
from tests.browser.test_access import assert_clean
from webapp.application import create_app
from webapp.demo_door import DemoDoor, mount
from webapp.records import Database
from webapp.settings import Settings


@dataclass(frozen=True)
class OwnYard:
    """One's own yard, served with a door into the invented one."""

    address: str
    file: Path


@pytest.fixture
def own(sqlite_database: Database, yard_file: Path, tmp_path: Path) -> Iterator[OwnYard]:
    app = create_app(Settings(sqlite_database.url, secret_key="own"), sqlite_database)  # noqa: S106
    demo = Settings(f"sqlite:///{tmp_path / 'demo.sqlite'}", secret_key="demo")  # noqa: S106
    door = DemoDoor(demo, build)
    mount(app, door)
    with at_address(app) as address:
        yield OwnYard(address, yard_file)
    door.close()


def test_entered_tried_out_and_left(browser: Browser, own: OwnYard) -> None:
    before = own.file.read_bytes()
    context = browser.new_context(viewport=PHONE)
    seen = visit(context, own.address)
    page = seen.page
    page.get_by_role("button", name="Look round an invented yard").click()
    page.wait_for_url("**/demo/")
    banner = page.get_by_role("complementary", name="About this yard")
    assert "Nothing here touches yours." in banner.inner_text()

    page.get_by_role("navigation").get_by_role("link", name="Meters").click()
    page.goto(f"{own.address}/demo/meters/new")
    page.get_by_label("Name").fill("tried out")
    page.get_by_label("Kind").select_option("pin")
    page.locator("#scale").select_option("as_shown")
    page.locator("#temperature").select_option("compensated")
    page.get_by_role("button", name="Save").click()
    assert page.url == f"{own.address}/demo/meters/"
    expect(page.get_by_text("tried out", exact=True)).to_be_visible()
    expect(banner).to_be_visible()

    banner.get_by_role("link", name="Leave it").click()
    assert page.url == f"{own.address}/"
    expect(banner).to_be_hidden()
    page.goto(f"{own.address}/meters/")
    expect(page.get_by_text("tried out")).to_be_hidden()
    assert own.file.read_bytes() == before
    assert not own.file.with_name("yard.sqlite-wal").stat().st_size
    assert seen.console == []
    context.close()


def test_charts_and_scripts_run_there_too(browser: Browser, own: OwnYard) -> None:
    context = browser.new_context(viewport=LAPTOP)
    seen = visit(context, f"{own.address}/invented-yard")
    page = seen.page
    page.get_by_role("button", name="Look round the invented yard").click()
    page.wait_for_url("**/demo/")
    page.locator("main a[href*='/demo/stacks/']").filter(has_text="white oak").first.click()
    wait_for_chart(page)
    assert seen.console == []
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_everybody_can_use_the_way_in_and_out(
    browser: Browser, own: OwnYard, size: ViewportSize, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme, java_script_enabled=True)
    page = visit(context, f"{own.address}/invented-yard").page
    assert_clean(page)
    page.get_by_role("button", name="Start the invented yard over").click()
    page.wait_for_url("**/demo/")
    assert_clean(page)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.get_by_role("link", name="Start it over").click()
    assert page.url == f"{own.address}/invented-yard#anew"
    context.close()
