import re
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from seed_demo import build
from tests.make_shed import Shed
from tests.pages.conftest import send
from webapp.application import create_app
from webapp.demo_door import DemoDoor, mount
from webapp.problems import Busy
from webapp.records import Database
from webapp.settings import Settings
from webapp.yard.keep_file import hold_for_serving

BANNER = "This is an invented yard."


@pytest.fixture
def demo_settings(tmp_path: Path) -> Settings:
    url = f"sqlite:///{tmp_path / 'demo.sqlite'}"
    return Settings(url, secret_key="for the demo")  # noqa: S106


@pytest.fixture
def door(app: Flask, demo_settings: Settings) -> Iterator[DemoDoor]:
    made = DemoDoor(demo_settings, build)
    mount(app, made)
    yield made
    made.close()


def enter(client: FlaskClient, **typed: str) -> None:
    answer = send(client, "/invented-yard", "/invented-yard", **typed)
    assert (answer.status_code, answer.location) == (303, "/demo/")


def test_the_empty_yard_and_the_help_offer_it(client: FlaskClient, door: DemoDoor) -> None:
    for path in ("/", "/help"):
        page = client.get(path).text
        assert 'action="/invented-yard"' in page
        assert "some seconds" in page
        assert BANNER not in page


def test_it_is_entered_and_left(client: FlaskClient, door: DemoDoor, shed: Shed) -> None:
    enter(client)
    page = client.get("/demo/").text
    assert BANNER in page
    assert '<a class="button" href="/">Leave it</a>' in page
    assert 'href="/demo/stacks/' in page
    assert 'href="/demo/static/site.css?' in page
    assert "/invented-yard" not in page.replace('href="/invented-yard#anew"', "")
    own = client.get("/").text
    assert BANNER not in own
    assert "/demo/" not in own


def test_every_page_of_it_carries_the_banner(client: FlaskClient, door: DemoDoor) -> None:
    enter(client)
    for path in ("", "help", "nowhere", "stacks/NOPE"):
        assert BANNER in client.get(f"/demo/{path}").text


def test_what_is_changed_there_touches_nothing_here(
    client: FlaskClient, door: DemoDoor, shed: Shed, yard_file: Path
) -> None:
    before = yard_file.read_bytes()
    enter(client)
    mark = "Tried out"
    typed = {"meter": mark, "kind": "pin", "scale": "as_shown", "temperature": "compensated"}
    kept = send(client, "/demo/meters/new", "/demo/meters/new", **typed)
    assert kept.status_code == 303
    assert kept.location.startswith("/demo/")
    assert mark in client.get("/demo/meters/").text
    assert mark not in client.get("/meters/").text
    assert yard_file.read_bytes() == before
    enter(client, anew="yes")
    assert mark not in client.get("/demo/meters/").text


def test_undoing_there_stays_there(client: FlaskClient, door: DemoDoor) -> None:
    enter(client)
    typed = {"meter": "Odd", "kind": "pin", "scale": "as_shown", "temperature": "compensated"}
    send(client, "/demo/meters/new", "/demo/meters/new", **typed)
    page = client.get("/demo/meters/").text
    undo = re.search(r'action="(/demo/history/[^"]+/undo)"', page)
    token = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert undo
    assert token
    sent = {"csrf_token": token[1], "back": "/demo/meters/"}
    assert client.post(undo[1], data=sent).location == "/demo/meters/"


def test_cookies_of_the_two_are_apart(client: FlaskClient, door: DemoDoor) -> None:
    enter(client)
    send(client, "/demo/meters/new", "/demo/meters/new", meter="Tried out")
    own = client.get_cookie("flitchbook_8000", path="/")
    theirs = client.get_cookie("flitchbook_demo_8000", path="/demo")
    assert own
    assert theirs
    assert own.value != theirs.value
    # Neither secret opens the other's forms.
    token = send(client, "/demo/meters/new", "/invented-yard")
    assert token.status_code == 400


def test_a_form_without_its_secret_is_refused_there_too(
    client: FlaskClient, door: DemoDoor
) -> None:
    enter(client)
    answer = client.post("/demo/meters/new", data={"meter": "Tried out"})
    assert answer.status_code == 400
    assert "open the page again" in answer.text
    assert client.post("/invented-yard").status_code == 400


def test_assets_come_from_there(client: FlaskClient, door: DemoDoor) -> None:
    enter(client)
    with client.get("/demo/static/site.css") as style:
        assert style.status_code == 200
    assert client.get("/demo/plotly/0/plotly.min.js").status_code == 404


def test_one_that_is_served_elsewhere_is_told_in_words(
    client: FlaskClient, door: DemoDoor, demo_settings: Settings
) -> None:
    with hold_for_serving(demo_settings.database_url):
        answer = send(client, "/invented-yard", "/invented-yard")
    assert answer.status_code == 409
    assert "open in another Flitchbook" in answer.text
    assert "Your own yard is as it was." in answer.text
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(
    ("trouble", "status", "words"),
    [
        (Busy("Come back later."), 503, "Come back later."),
        (OSError(28, "No space left on device"), 400, "could not be made: No space left"),
    ],
)
def test_a_failure_to_make_it_leaves_the_own_yard(
    app: Flask, demo_settings: Settings, trouble: Exception, status: int, words: str
) -> None:
    def fail(_database: Database, _today: date, _at: datetime) -> None:
        raise trouble

    mount(app, DemoDoor(demo_settings, fail))
    client = app.test_client()
    answer = send(client, "/invented-yard", "/invented-yard")
    assert answer.status_code == status
    assert words in answer.text
    assert client.get("/").status_code == 200
    assert client.get("/demo/").status_code == 303


def test_where_none_is_offered_there_is_no_way_in(client: FlaskClient) -> None:
    assert client.get("/invented-yard").status_code == 404
    assert "/invented-yard" not in client.get("/help").text


def test_the_command_s_demo_names_no_way_out(sqlite_database: Database) -> None:
    settings = Settings(sqlite_database.url, secret_key="for tests")  # noqa: S106
    page = create_app(settings, sqlite_database, invented=True).test_client().get("/").text
    assert BANNER in page
    assert "Leave it" not in page
    assert "/invented-yard" not in page
