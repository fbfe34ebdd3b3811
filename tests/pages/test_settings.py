"""A person's look: chosen, kept in the browser, and followed; then what is refused."""

import re
from http.cookies import SimpleCookie
from importlib.metadata import version
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.make_shed import Shed
from tests.pages.conftest import keys_of, send
from webapp.look import PLAIN, Dates, Look, Units
from webapp.pages.kept_look import COOKIE, look_of
from webapp.records import Database

CHOSEN = {"sizes": "inch", "days": "iso"}


@pytest.mark.parametrize(
    ("languages", "look"),
    [
        ("en-US,en;q=0.9", Look(Units.INCH, Dates.MONTH_FIRST)),
        ("de-DE,de;q=0.9,en-US;q=0.8", PLAIN),
        ("en-GB", PLAIN),
        ("", PLAIN),
        ("*", PLAIN),
    ],
)
def test_who_has_not_chosen_sees_what_the_browser_makes_likely(
    app: Flask, languages: str, look: Look
) -> None:
    with app.test_request_context(headers={"Accept-Language": languages}) as context:
        assert look_of(context.request) == look


@pytest.mark.parametrize("kept", ["inch", "inch.", "furlong.iso", ".", "x" * 5000, "inch.iso.x"])
def test_a_spoilt_cookie_counts_as_none(app: Flask, kept: str) -> None:
    with app.test_request_context(headers={"Cookie": f"{COOKIE}={kept}"}) as context:
        assert look_of(context.request) == PLAIN


def test_the_choice_is_kept_for_a_year_and_followed(client: FlaskClient, shed: Shed) -> None:
    answer = send(client, "/settings", "/settings", **CHOSEN)
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/settings"
    (kept,) = (
        morsel
        for line in answer.headers.getlist("Set-Cookie")
        for name, morsel in SimpleCookie(line).items()
        if name == COOKIE
    )
    assert (kept.value, kept["max-age"], kept["path"]) == ("inch.iso", "31536000", "/")
    assert kept["samesite"] == "Lax"
    assert kept["httponly"]
    page = client.get("/settings").text
    assert "Saved in this browser." in page
    assert re.findall(r'value="([a-z_]+)"\s+checked', page) == list(CHOSEN.values())
    yard = client.get("/").text
    assert "2025-03-10" in yard
    assert "white oak 1 1/16\u00a0in" in yard.replace("1\u00a01/16", "1 1/16")


def test_each_choice_stands_with_an_example(client: FlaskClient) -> None:
    page = client.get("/settings").text.replace("\u00a0", " ")
    for example in (
        "32 × 180 mm × 2.4 m, 0.014 m³, 9.0 kg",
        "1 1/4 × 7 in × 8 ft, 5.8 bd ft, 20 lb",
        "10 March 2025",
        "March 10, 2025",
        "2025-03-10",
    ):
        assert example in page


def test_the_page_tells_the_version_and_where_the_yard_lies(
    client: FlaskClient, sqlite_database: Database
) -> None:
    page = client.get("/settings").text
    assert version("flitchbook") in page
    where = sqlite_database.where
    assert Path(where).is_absolute()
    assert where in page


def test_it_leads_back_to_the_page_one_came_from(client: FlaskClient, shed: Shed) -> None:
    came = {"Referer": "http://localhost/stacks/?state=wet"}
    page = client.get("/settings", headers=came).text
    assert 'name="back" value="/stacks/?state=wet"' in page
    answer = send(client, "/settings", "/settings", **CHOSEN, back="/stacks/?state=wet")
    assert answer.headers["Location"] == "/stacks/?state=wet"


def test_forms_follow_too(client: FlaskClient, shed: Shed) -> None:
    page = f"/boards/{shed.boards[0].code}"
    assert "In °C. If it is far from 20\u00a0°C" in client.get(page).text
    send(client, "/settings", "/settings", **CHOSEN)
    assert "In °F. If it is far from 68\u00a0°F" in client.get(page).text
    typed = {"reading": "17.2", "read_on": "2025-03-09", "temperature_c": "50"}
    answer = send(client, page, f"{page}/readings", **typed | {"reading": "wet"})
    assert 'value="50"' in answer.text
    assert send(client, page, f"{page}/readings", **typed).status_code == 303
    assert "Saved: 17.2" in client.get(page).text


@pytest.mark.parametrize(
    "elsewhere",
    [
        "http://example.org/",
        "//example.org/",
        "/\\example.org",
        "/\t/example.org",
        "javascript:alert(1)",
        "stacks",
    ],
)
def test_it_leads_nowhere_else(client: FlaskClient, elsewhere: str) -> None:
    answer = send(client, "/settings", "/settings", **CHOSEN, back=elsewhere)
    assert answer.headers["Location"] == "/settings"
    page = client.get("/settings", headers={"Referer": "http://example.org/stacks/"}).text
    assert 'name="back" value=""' in page


@pytest.mark.parametrize("wrong", [{"sizes": "ell"}, {"sizes": ""}, {"days": "<last week>"}])
def test_what_is_no_choice_is_refused_and_nothing_is_kept(
    client: FlaskClient, wrong: dict[str, str]
) -> None:
    answer = send(client, "/settings", "/settings", **CHOSEN | wrong)
    assert answer.status_code == 422
    assert f'href="#{next(iter(wrong))}"' in answer.text
    assert COOKIE not in answer.headers.get("Set-Cookie", "")
    assert "<last week>" not in answer.text


def test_an_odd_page_before_and_an_empty_form_do_no_harm(client: FlaskClient) -> None:
    assert client.get("/settings", headers={"Referer": "http://["}).status_code == 200
    keys = keys_of(client, "/settings")
    sent = client.post("/settings", headers={"X-CSRFToken": keys["csrf_token"]}, json={})
    assert sent.status_code in {200, 422}
