"""The style sheet keeps its promises: contrast, large targets, the same colours as the charts."""

import re
from pathlib import Path

import pytest

from webapp.charts.house_style import DARK, LIGHT, Palette, recolouring
from webapp.drying.verdict import State

WEBAPP = Path(__file__).parents[2] / "webapp"
CSS = (WEBAPP / "static" / "site.css").read_text(encoding="utf-8")
ROOTS = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)


def colours(which: int) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#\w{6}|rgba\([^)]+\));", ROOTS[which]))


def luminance(colour: str) -> float:
    def linear(part: str) -> float:
        value = int(part, 16) / 255
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(colour[at : at + 2]) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_text_stands_out_seven_to_one(which: int) -> None:
    names = colours(which)
    for text in ("ink", "soft", "accent"):
        for ground in ("paper", "sheet"):
            assert contrast(names[text], names[ground]) >= 7, (text, ground)
    assert contrast(names["on-ink"], names["ink"]) >= 7


@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_edges_and_curves_stand_out_three_to_one(which: int) -> None:
    names = colours(which)
    for line in ("edge", "chart-pencil", "chart-place", "chart-target", "chart-witness"):
        assert contrast(names[line], names["sheet"]) >= 3, line


@pytest.mark.parametrize(("which", "palette"), [(0, LIGHT), (1, DARK)], ids=["light", "dark"])
def test_charts_and_their_key_have_the_same_colours(which: int, palette: Palette) -> None:
    names = colours(which)
    assert (names["sheet"], names["ink"]) == (palette.sheet, palette.ink)
    for role in ("pencil", "band", "place", "target", "witness"):
        assert names[f"chart-{role}"] == getattr(palette, role), role


def test_every_light_colour_of_a_chart_has_one_dark_one() -> None:
    assert len(recolouring()) == len(vars(LIGHT))


def test_every_state_has_a_shape_of_its_own() -> None:
    shapes = (WEBAPP / "templates" / "shapes.svg").read_text(encoding="utf-8")
    drawn = dict(re.findall(r'<symbol id="shape-([\w-]+)"[^>]*>(.*?)</symbol>', shapes))
    wanted = [drawn[state.value.replace(" ", "-")] for state in State]
    assert len(set(wanted)) == len(State)


def test_nothing_is_fetched_from_elsewhere() -> None:
    for file in WEBAPP.rglob("*"):
        if file.suffix in {".html", ".css", ".js", ".svg"}:
            text = file.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
            assert not re.search(r"https?:|//\w+\.\w+/|@import|url\(", text), file.name


def test_no_template_carries_style_or_script_of_its_own() -> None:
    for file in (WEBAPP / "templates").rglob("*.html"):
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"\sstyle=|\son\w+=|<style|<script>|\| safe", text), file.name
