"""Changing a place: its months, its name; two people at once; striking it out."""

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_of, send
from tests.pages.test_new_place import fields_of
from webapp.records import Database
from webapp.records.batch import changes_of, open_batch
from webapp.records.place import live_places, months_of, place_named


@pytest.fixture
def address(shed: Shed, sqlite_database: Database) -> str:
    """Where the shed is changed."""
    with sqlite_database.reading() as session:
        place = place_named(session, "Long shed")
        assert place is not None
        return f"/places/{place.uid}/edit"


def test_a_place_is_changed(client: FlaskClient, address: str, sqlite_database: Database) -> None:
    fields = fields_of(client.get(address).text)
    assert (fields["place"], fields["temp_01"], fields["air_of"]) == ("Long shed", "-1", "place")
    answer = client.post(
        address, data=fields | {"place": "Barn", "kind": "unheated", "rh_04": "70"}
    )
    assert answer.location == address.removesuffix("/edit")
    assert "Place Barn is changed." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        months = months_of(session, place)
        assert (place.name, place.kind, months[3].rh_pct) == ("Barn", "unheated", 70)
        assert len(changes_of(session, months[3])) == 1
        assert changes_of(session, months[4]) == []


def test_the_second_of_two_people_is_told_and_loses_nothing(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    fields = fields_of(client.get(address).text)
    client.post(address, data=fields | keys_of(client, address) | {"temp_02": "1", "temp_03": "5"})
    second = client.post(address, data=fields | {"temp_03": "6", "rh_01": "80"})
    assert second.status_code == 409
    assert "Somebody else changed this while you were typing" in second.text
    assert "Was 4, was changed to 5; you typed this." in second.text
    again = fields_of(second.text)
    assert (again["temp_02"], again["temp_03"], again["rh_01"]) == ("1", "6", "80")
    assert client.post(address, data=again).status_code == 303
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        months = months_of(session, place)
    assert [month.temperature_c for month in months[1:3]] == [1, 6]


def test_what_cannot_be_taken_comes_back_as_typed(client: FlaskClient, address: str) -> None:
    fields = fields_of(client.get(address).text)
    answer = client.post(address, data=fields | {"temp_02": "cold", "place": ""})
    assert answer.status_code == 422
    assert fields_of(answer.text)["temp_02"] == "cold"
    assert "February, temperature: Expected" in answer.text


def test_another_s_name_is_refused(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_place(session, name="Barn")
    fields = fields_of(client.get(address).text)
    answer = client.post(address, data=fields | {"place": "Barn"})
    assert answer.status_code == 409
    assert "There is already a place “Barn”" in answer.text


def test_a_place_where_a_stack_stands_is_not_struck_out(client: FlaskClient, address: str) -> None:
    answer = send(client, address, address.replace("/edit", "/strike"), why="a mistake")
    assert answer.location == address
    page = client.get(address).text
    assert "The stack “Oak &lt;1&gt;” stood at the place “Long shed”." in page
    assert "Long shed" in client.get("/places/").text


def test_a_place_entered_by_mistake_is_struck_out(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        address = f"/places/{make.make_place(session, name='Mistake').uid}/edit"
    answer = send(client, address, address.replace("/edit", "/strike"))
    assert answer.location == "/places/"
    page = client.get("/places/").text
    assert "The place is struck out." in page
    assert "Mistake" not in page
    assert client.get(address).status_code == 404


def test_an_unknown_place_is_not_found(client: FlaskClient) -> None:
    nowhere = "/places/00000000-0000-7000-8000-000000000000"
    assert client.get(f"{nowhere}/edit").status_code == 404
