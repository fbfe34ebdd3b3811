"""Meters: described, changed, struck out; by two people at once; sent twice."""

from flask.testing import FlaskClient

from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of, send
from webapp.records import Database
from webapp.records.meter import live_meters

TYPED = {
    "meter": "red <pins>",
    "kind": "pin",
    "scale": "douglas_fir",
    "temperature": "not_compensated",
    "over_range_pct": "40",
    "under_range_pct": "6,5",
    "needle_mm": "1 1/4 in",
    "insulated": "yes",
}


def test_a_meter_is_described_and_listed(client: FlaskClient, sqlite_database: Database) -> None:
    answer = send(client, "/meters/new", "/meters/new", **TYPED)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "Meter red &lt;pins&gt; is set up." in page
    assert "scale of Douglas-fir" in page
    with sqlite_database.reading() as session:
        (meter,) = live_meters(session)
    assert (meter.name, meter.needle_mm, meter.under_range_pct) == ("red <pins>", 31.75, 6.5)
    assert meter.insulated is True


def test_an_empty_yard_says_what_a_meter_is_for(client: FlaskClient) -> None:
    page = client.get("/meters/").text
    assert "No meter is described yet" in page
    assert "/meters/new" in page


def test_what_cannot_be_taken_comes_back_as_typed(client: FlaskClient) -> None:
    wrong = TYPED | {"over_range_pct": "wet", "under_range_pct": "99", "kind": ""}
    answer = send(client, "/meters/new", "/meters/new", **wrong)
    assert answer.status_code == 422
    assert 'value="wet"' in answer.text
    assert "Expected a number of percent from 10 to 250; found “wet”." in answer.text
    assert "Expected a number of percent from 0 to 30; found “99”." in answer.text
    assert "Kind: This is needed." in answer.text
    assert 'value="red &lt;pins&gt;"' in answer.text


def test_the_lowest_lies_below_the_highest(client: FlaskClient) -> None:
    answer = send(
        client,
        "/meters/new",
        "/meters/new",
        **TYPED | {"over_range_pct": "20", "under_range_pct": "25"},
    )
    assert answer.status_code == 422
    assert "The lowest must lie below the highest it can show." in answer.text


def test_a_used_name_is_refused_and_nothing_typed_is_lost(client: FlaskClient, shed: Shed) -> None:
    assert shed.boards
    answer = send(client, "/meters/new", "/meters/new", **TYPED | {"meter": "yellow pins"})
    assert answer.status_code == 409
    assert "There is already a meter “yellow pins” in the yard" in answer.text
    assert 'value="1 1/4 in"' in answer.text


def test_a_form_sent_twice_is_kept_once(client: FlaskClient, sqlite_database: Database) -> None:
    keys = keys_of(client, "/meters/new")
    first = client.post("/meters/new", data=keys | TYPED)
    second = client.post("/meters/new", data=keys | TYPED)
    assert (first.status_code, second.status_code) == (303, 303)
    assert "This was saved already." in client.get("/meters/").text
    with sqlite_database.reading() as session:
        assert len(live_meters(session)) == 1
    other = client.post("/meters/new", data=keys | TYPED | {"meter": "blue pins"})
    assert other.status_code == 409
    assert "Save it again to keep both." in other.text
    again = client.post("/meters/new", data=keys_in(other.text) | TYPED | {"meter": "blue pins"})
    assert again.status_code == 303


def test_a_key_that_names_another_record_is_refused(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    with sqlite_database.reading() as session:
        (meter,) = live_meters(session)
    keys = keys_of(client, "/meters/new") | {"uid": str(meter.uid)}
    answer = client.post("/meters/new", data=keys | TYPED)
    assert answer.status_code == 409
    assert "Something else was already kept under this id." in answer.text


def test_a_meter_is_changed(client: FlaskClient, shed: Shed, sqlite_database: Database) -> None:
    assert shed.boards
    address = _edit_address(client)
    page = client.get(address).text
    assert 'value="yellow pins"' in page
    typed = TYPED | {"meter": "yellow pins", "over_range_pct": "28"}
    assert send(client, address, address, **typed).status_code == 303
    with sqlite_database.reading() as session:
        (meter,) = live_meters(session)
    assert (meter.over_range_pct, meter.scale) == (28.0, "douglas_fir")


def test_the_second_of_two_people_is_told_and_loses_nothing(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    assert shed.boards
    address = _edit_address(client)
    plain = {
        "meter": "yellow pins",
        "kind": "pin",
        "scale": "as_shown",
        "temperature": "compensated",
        "over_range_pct": "30",
    }
    keys = keys_of(client, address)
    send(client, address, address, **plain | {"over_range_pct": "60", "needle_mm": "8"})
    second = client.post(address, data=keys | plain | {"over_range_pct": "45"})
    assert second.status_code == 409
    assert "Somebody else changed this while you were typing" in second.text
    assert "Was 30, was changed to 60; you typed this." in second.text
    assert "Was empty, is now 8." in second.text
    assert 'value="45"' in second.text
    assert 'value="8 mm"' in second.text
    both = plain | {"over_range_pct": "45", "needle_mm": "8 mm"}
    assert client.post(address, data=keys_in(second.text) | both).status_code == 303
    with sqlite_database.reading() as session:
        (meter,) = live_meters(session)
    assert (meter.over_range_pct, meter.needle_mm) == (45.0, 8.0)


def test_a_meter_in_use_is_not_struck_out(client: FlaskClient, shed: Shed) -> None:
    assert shed.boards
    address = _edit_address(client)
    answer = send(client, address, address.replace("edit", "strike"), why="sold")
    assert answer.location == address
    assert "yellow pins" in client.get("/meters/").text


def test_a_meter_entered_by_mistake_is_struck_out_and_brought_back(client: FlaskClient) -> None:
    send(client, "/meters/new", "/meters/new", **TYPED)
    address = _edit_address(client)
    answer = send(client, address, address.replace("edit", "strike"))
    assert answer.location == "/meters/"
    page = client.get("/meters/").text
    assert "The meter is struck out." in page
    assert "red &lt;pins&gt;" not in page
    assert client.get(address).status_code == 404


def test_an_unknown_meter_is_not_found(client: FlaskClient) -> None:
    answer = client.get("/meters/00000000-0000-7000-8000-000000000000/edit")
    assert answer.status_code == 404
    assert "There is no such meter." in answer.text


def _edit_address(client: FlaskClient) -> str:
    page = client.get("/meters/").text
    start = page.index("/meters/0")
    return page[start : page.index('"', start)]
