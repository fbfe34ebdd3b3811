"""Witness boards: kept at a place, read, changed, struck out."""

import re
from datetime import date

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_of, send
from webapp.records import Database, WitnessBoard
from webapp.records.batch import open_batch
from webapp.records.place import place_named
from webapp.records.reading import readings_of
from webapp.records.witness_board import live_witness_boards

TYPED = {
    "board": "Old “dry” oak",
    "place": "Long shed",
    "species": "Quercus alba",
    "thickness_mm": "1 1/4 in",
    "known_dry_since": "2019-05-01",
    "note": "from a floor",
}


@pytest.fixture
def witness(shed: Shed, sqlite_database: Database) -> WitnessBoard:
    """A witness board that lies beside the stack."""
    assert shed.boards
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        return make.make_witness_board(session, place_named(session, "Long shed"), mark="V1")


def test_a_witness_board_is_kept_and_shown(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    answer = send(client, "/witnesses/new", "/witnesses/new", **TYPED)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "Old “dry” oak" in page
    assert "white oak 31.8" in page
    assert "known dry since 1 May 2019" in page
    with sqlite_database.reading() as session:
        (kept,) = live_witness_boards(session)
    assert (kept.species, kept.thickness_mm, kept.known_dry_since) == (
        "white oak",
        31.75,
        date(2019, 5, 1),
    )


def test_its_place_is_chosen_by_the_page_before(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    with sqlite_database.reading() as session:
        place = place_named(session, "Long shed")
    assert place is not None
    page = client.get(f"/witnesses/new?place={place.uid}").text
    assert re.search(r'<option value="Long shed"\s+selected>', page)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"species": "oakish"}, "is not in the species table"),
        ({"thickness_mm": "thin"}, "Expected millimetres"),
        ({"known_dry_since": "2025-04-01"}, "this day has not come yet"),
        ({"place": "Moon"}, "There is no place “Moon” in the yard."),
        ({"board": ""}, "Mark: This is needed."),
        ({"note": "x" * 10_000}, "Expected a text of at most 4000 signs"),
    ],
)
def test_what_cannot_be_taken_comes_back_as_typed(
    client: FlaskClient, shed: Shed, typed: dict[str, str], said: str
) -> None:
    assert shed.boards
    answer = send(client, "/witnesses/new", "/witnesses/new", **TYPED | typed)
    assert answer.status_code == 422
    assert said in answer.text


def test_it_is_read_and_a_slip_is_asked_about(
    client: FlaskClient, witness: WitnessBoard, sqlite_database: Database
) -> None:
    page = f"/witnesses/{witness.uid}"
    answer = send(client, page, f"{page}/readings", reading="13,5", read_on="2025-03-01")
    assert answer.location == page
    asked = send(client, page, f"{page}/readings", reading="135", read_on="2025-03-08")
    assert asked.status_code == 422
    assert "was 13.5 meant?" in asked.text
    other = send(client, page, f"{page}/readings", reading="13.4", board="another")
    assert other.location == page
    long = send(client, page, f"{page}/readings", reading="13." + "7" * 6000, sure="y")
    assert long.status_code == 422
    wrong = send(client, page, f"{page}/readings", reading="damp")
    assert wrong.status_code == 422
    assert 'value="damp"' in wrong.text
    with sqlite_database.reading() as session:
        assert [r.shown for r in readings_of(session, witness)] == ["13,5", "13.4"]


def test_its_reading_is_struck_out_from_its_page(
    client: FlaskClient, witness: WitnessBoard, sqlite_database: Database
) -> None:
    page = f"/witnesses/{witness.uid}"
    send(client, page, f"{page}/readings", reading="13.5", read_on="2025-03-01")
    with sqlite_database.reading() as session:
        (reading,) = readings_of(session, witness)
    answer = send(client, page, f"/readings/{reading.uid}/strike", why="wrong board")
    assert answer.location == page
    assert "<s>13.5</s>" in client.get(page).text


def test_it_is_changed_and_the_second_of_two_people_is_told(
    client: FlaskClient, witness: WitnessBoard, sqlite_database: Database
) -> None:
    address = f"/witnesses/{witness.uid}/edit"
    same = {"board": "V1", "place": "Long shed", "species": "white oak", "thickness_mm": "27"}
    keys = keys_of(client, address)
    assert send(client, address, address, **same | {"note": "mine"}).status_code == 303
    second = client.post(address, data=keys | same | {"note": "yours"})
    assert second.status_code == 409
    assert "was changed to mine; you typed this." in second.text
    with sqlite_database.reading() as session:
        (kept,) = live_witness_boards(session)
    assert kept.note == "mine"


def test_it_is_struck_out_when_entered_by_mistake(
    client: FlaskClient, witness: WitnessBoard
) -> None:
    edit = f"/witnesses/{witness.uid}/edit"
    answer = send(client, edit, f"/witnesses/{witness.uid}/strike")
    assert "The witness board is struck out." in client.get(answer.location).text
    assert client.get(edit).status_code == 404
