from html import unescape

from flask.testing import FlaskClient

from webapp.drying.verdict import State
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
