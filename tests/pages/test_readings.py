import re

from flask.testing import FlaskClient

from tests.make_shed import Shed
from tests.pages.conftest import send
from webapp.records import Database
from webapp.records.reading import readings_of


def first_strike(client: FlaskClient, page: str) -> str:
    found = re.search(r'action="(/readings/[\w-]+/strike)"', client.get(page).text)
    assert found
    return found[1]


def test_a_reading_is_struck_out_and_stays_to_be_seen(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    to = first_strike(client, page)
    answer = send(client, page, to, why="slip of the finger")
    assert answer.status_code == 303
    text = client.get(page).text
    assert "<s>17.5</s>" in text
    assert "slip of the finger" in text
    assert text.count("Strike out<") == 5
    with sqlite_database.reading() as session:
        assert len(readings_of(session, shed.boards[0])) == 5
        assert len(readings_of(session, shed.boards[0], struck_too=True)) == 6


def test_striking_twice_changes_nothing(client: FlaskClient, shed: Shed) -> None:
    page = f"/boards/{shed.boards[0].code}"
    to = first_strike(client, page)
    assert send(client, page, to, why="slip").status_code == 303
    assert send(client, page, to, why="another reason").status_code == 303
    assert "another reason" not in client.get(page).text


def test_a_strike_wants_a_reason(client: FlaskClient, shed: Shed) -> None:
    page = f"/boards/{shed.boards[0].code}"
    answer = send(client, page, first_strike(client, page), why=" ")
    assert answer.location == page
    text = client.get(page).text
    assert "Say in a word" in text
    assert "<s>" not in text


def test_a_reading_that_is_not_there(client: FlaskClient, shed: Shed) -> None:
    page = f"/boards/{shed.boards[0].code}"
    to = "/readings/01890000-0000-7000-8000-000000000009/strike"
    assert send(client, page, to, why="slip").status_code == 404
    assert client.post("/readings/none/strike").status_code == 404
