import re
from html import unescape

import pytest
from flask.testing import FlaskClient

from webapp.drying.verdict import State
from webapp.entry.bulk_boards import board_lines
from webapp.entry.reading_text import hits
from webapp.look import Units
from webapp.wood.uses import USES


def test_help_explains_every_state_and_the_cautions(client: FlaskClient) -> None:
    answer = client.get("/help")
    assert answer.status_code == 200
    for state in State:
        assert f"<b>{state}.</b>" in answer.text
        assert f'href="#shape-{state.replace(" ", "-")}"' in answer.text
    for word in ("heavy", "dust", "codes", "licensed", "fumigation"):
        assert word in answer.text


def test_help_tells_how_dry_for_what_with_every_source(client: FlaskClient) -> None:
    text = unescape(client.get("/help").text).replace("\u00a0", " ")
    for use in USES:
        assert f"{use.name}: {use.target_pct:g} %" in text
        assert use.sentence in text
        for figure in use.figures:
            assert figure.where in text
    remembered = [figure for use in USES for figure in use.figures if figure.remembered]
    assert text.count("(remembered, not seen in print)") == len(remembered) > 0


def _part(page: str, name: str) -> str:
    """Cut one folded part out of the guide."""
    return page.split(f'<details id="{name}">')[1].split("</details>", maxsplit=1)[0]


def _examples(page: str, name: str) -> list[str]:
    return [unescape(text) for text in re.findall(r"<code>(.*?)</code>", _part(page, name))]


def test_guide_leads_from_the_log_to_the_verdict(client: FlaskClient) -> None:
    guide = client.get("/help").text.split('id="guide"')[1].split("</section>")[0]
    parts = re.findall(r'<details id="([a-z-]+)">', guide)
    assert parts[:6] == ["log", "place", "stack", "boards", "meter", "round"]
    assert {"witness", "verdict", "move", "leave", "undo", "two-people", "units"} < set(parts)
    pages = set(re.findall(r'href="(/[^"#]*)"', guide))
    assert {"/places/new", "/stacks/new", "/meters/new", "/history/", "/settings"} <= pages
    for page in pages:
        assert client.get(page, follow_redirects=True).status_code == 200, page


@pytest.mark.parametrize("units", Units)
def test_lines_of_boards_in_the_guide_are_understood(client: FlaskClient, units: Units) -> None:
    examples = _examples(client.get("/help").text, "boards")
    lines, refusals = board_lines("\n".join(examples), units)
    assert len(lines) == len(examples) > 0
    assert not refusals


def test_readings_in_the_guide_are_understood(client: FlaskClient) -> None:
    read = [hits(text) for text in _examples(client.get("/help").text, "round")]
    assert [len(pushes) for pushes in read] == [1, 1, 1, 3]
