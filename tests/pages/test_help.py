from flask.testing import FlaskClient

from webapp.drying.verdict import State


def test_help_explains_every_state_and_the_cautions(client: FlaskClient) -> None:
    answer = client.get("/help")
    assert answer.status_code == 200
    for state in State:
        assert f"<b>{state}.</b>" in answer.text
        assert f'href="#shape-{state.replace(" ", "-")}"' in answer.text
    for word in ("heavy", "dust", "codes", "licensed", "fumigation"):
        assert word in answer.text
