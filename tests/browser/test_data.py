"""The data page in a browser: files chosen, refused, taken in and taken out again."""

import zipfile
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from tests.browser.conftest import LAPTOP, PHONE, Served, visit
from tests.browser.test_access import assert_clean
from tests.yard.folders import SOUND, sound_folder


def chosen(folder: Path) -> list[str]:
    return [str(file) for file in sorted(folder.iterdir())]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_refused_mended_taken_in_and_taken_out(
    browser: Browser,
    served: Served,
    tmp_path: Path,
    size: ViewportSize,
    scheme: Literal["light", "dark"],
) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)
    page = visit(context, f"{served.address}/data").page
    page.get_by_text("Which files and columns").click()
    assert_clean(page)

    wrong = "board,read_on,reading\n" + "A1,2024-02-01,damp\n" * 20
    folder = sound_folder(tmp_path / "yard", {"readings.csv": wrong})
    page.get_by_label("A zip, or the CSV files").set_input_files(chosen(folder))
    page.get_by_role("button", name="Take it in").click()
    alert = page.get_by_role("alert")
    assert "and 17 more lines alike" in alert.inner_text()
    assert_clean(page)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")

    sound_folder(folder, {"readings.csv": SOUND["readings.csv"] + "B1,2024-03-02,140,m1\n"})
    page.get_by_label("A zip, or the CSV files").set_input_files(chosen(folder))
    page.get_by_role("button", name="Take it in").click()
    assert "Taken in: 2 places" in page.get_by_role("status").inner_text()
    expect(page.get_by_role("heading", name="Look at these again")).to_be_visible()
    assert_clean(page)

    with page.expect_download() as coming:
        page.get_by_role("link", name="The whole yard, as a zip").click()
    assert coming.value.suggested_filename == "flitchbook-2025-03-10.zip"
    with zipfile.ZipFile(coming.value.path()) as archive:
        assert "flitchbook-2025-03-10/readings.csv" in archive.namelist()
    with page.expect_download() as coming:
        page.get_by_role("link", name="A backup copy").click()
    assert Path(coming.value.path()).read_bytes().startswith(b"SQLite format 3")
    context.close()
