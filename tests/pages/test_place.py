"""The page of a place: facts, year, stacks now and before, witness boards, its own air."""

from datetime import UTC, date, datetime, timedelta

import pytest
from flask.testing import FlaskClient
from sqlalchemy.orm import Session

from tests import make
from tests.make_shed import Shed
from webapp.records import Database, Place, StackStay
from webapp.records.batch import open_batch
from webapp.records.place import months_of, place_named


def long_shed(session: Session) -> Place:
    place = place_named(session, "Long shed")
    assert place is not None
    return place


@pytest.fixture
def address(shed: Shed, sqlite_database: Database) -> str:
    """The page of the shed that has everything."""
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        place = long_shed(session)
        make.make_witness_board(session, place, mark="dry <oak>")
        gone = make.make_stack(session, place, from_on=date(2023, 4, 1), mark="Ash 7")
        gone.stays[0].until_on = date(2024, 9, 30)
        session.flush()
        session.add(
            StackStay(stack=gone, place=make.make_place(session), from_on=date(2024, 9, 30))
        )
        for hour in range(40):
            at = datetime(2024, 6, 1, 8, tzinfo=UTC) + timedelta(hours=12 * hour)
            make.make_air(session, place=place, at=at, temperature_c=18.0, rh_pct=60.0)
        return f"/places/{place.uid}"


def test_it_tells_all_there_is(client: FlaskClient, address: str) -> None:
    page = client.get(address).text
    assert "open shed" in page
    assert "air measured in the place itself" in page
    assert "This place keeps wood at 12.8\u00a0% in May, at 17.9\u00a0% in December." in page
    assert "In March: 14.3\u00a0%." in page
    assert "Oak &lt;1&gt;" in page
    assert "Ash 7" in page
    assert "1 April 2023 to 30 September 2024" in page
    assert "dry &lt;oak&gt;" in page
    assert "40 records, 1 June 2024 to 20 June 2024." in page
    assert "By them the place kept wood at 11.1\u00a0% on average." in page
    assert page.count('class="curve-sheet"') == 2
    assert f"{address}/edit" in page
    assert f"{address}/air" in page
    assert f"/stacks/new?place={address.removeprefix('/places/')}" in page


def test_the_twelve_months_stand_in_a_table(client: FlaskClient, address: str) -> None:
    page = client.get(address).text
    table = page[page.index("<table") : page.index("</table>")]
    assert table.count("<tr>") == 13
    assert "-1\u00a0°C" in table
    assert "82 %" in table


def test_a_place_with_nothing_in_it_says_so(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        place = make.make_place(session, kind="heated", air_of="station")
        address = f"/places/{place.uid}"
    page = client.get(address).text
    assert "None now." in page
    assert "Nothing yet. A hygrometer" in page
    assert "air by a weather station near it" in page
    assert "Stood here before" not in page


def test_a_heated_room_is_shown_as_the_room(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        outdoors = make.make_place(session, kind="heated", air_of="place").uid
        room = make.make_place(session, kind="heated", air_of="station").uid
    assert "at 17.9\u00a0% in December" in client.get(f"/places/{outdoors}").text
    assert "at 17.9" not in client.get(f"/places/{room}").text


def test_a_place_that_lost_a_month_is_shown_all_the_same(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        batch = open_batch(session, "form", "keeper", make.A_MOMENT)
        months_of(session, long_shed(session))[2].strike(batch.at, None, "wrong")
    page = client.get(address).text
    assert "Not complete yet: March." in page
    assert "In March: an unknown moisture." in page
    assert client.get("/places/").status_code == 200
    assert client.get(f"{address}/edit").status_code == 200


@pytest.mark.parametrize("uid", ["00000000-0000-7000-8000-000000000000", "x"])
def test_an_unknown_place_is_not_found(client: FlaskClient, uid: str) -> None:
    assert client.get(f"/places/{uid}").status_code == 404
