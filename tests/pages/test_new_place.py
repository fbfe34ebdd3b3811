"""A new place: a station found near it or twelve months typed; kept once, nothing typed lost."""

import re

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of, send
from webapp.entry.folder import RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.records import Database
from webapp.records.place import live_places, months_of
from webapp.wood.climate import station_of

BIRMINGHAM = "/places/new?station=birmingham-united-kingdom"
OWN = "/places/new?own=1"
MONTHS = {
    **{name: f"{month},5" for month, name in enumerate(TEMPERATURE_COLUMNS, start=1)},
    **{name: str(60 + month) for month, name in enumerate(RH_COLUMNS, start=1)},
}
TYPED = {"place": "Long shed", "kind": "open_shed", "air_of": "place"} | MONTHS
STRANGE = ['Bill\'s "shed"', "<b>shed</b>", "🌲", "سقيفة"]


def fields_of(page: str) -> dict[str, str]:
    """Read what stands in the fields, as a browser would send it untouched."""
    inputs = {}
    for tag in re.findall(r"<input [^>]*>", page):
        given = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if "name" in given and given.get("type") != "checkbox":
            inputs[given["name"]] = given.get("value", "")
    chosen = re.findall(r'<select id="(\w+)".*?<option value="(\w+)" selected', page, re.DOTALL)
    return inputs | dict(chosen)


def test_a_station_is_found_by_town_state_or_country(client: FlaskClient) -> None:
    page = client.get("/places/new?near=portland").text
    assert "Portland, Maine, USA" in page
    assert "/places/new?station=portland-or-usa" in page
    assert "has no station" not in page
    assert "Dublin" in client.get("/places/new?country=Ireland").text
    assert "Aberdeen" in client.get("/places/new?near=Leeds&country=United+Kingdom").text


def test_a_town_without_a_station_is_told_and_helped(client: FlaskClient) -> None:
    page = client.get("/places/new?near=Bristol,+UK").text
    assert "“Bristol, UK” has no station among our 185. These lie in the same country." in page
    assert "Choose the nearest with a like climate" in page
    assert "Birmingham, United Kingdom" in page
    page = client.get("/places/new?near=Bristol").text
    assert "No weather station found" in page
    assert "Add the state or country" in page
    assert 'value="Bristol"' in page
    assert "Type twelve months" in page


@pytest.mark.parametrize(
    "near", ["<script>alert(1)</script>", "x" * 10_000, "🌲", "مرحبا", "%", "'"]
)
def test_whatever_is_searched_for(client: FlaskClient, near: str) -> None:
    answer = client.get("/places/new", query_string={"near": near, "country": "Atlantis"})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text
    assert "Type twelve months" in answer.text


def test_a_chosen_station_fills_the_form(client: FlaskClient) -> None:
    page = client.get(BIRMINGHAM).text
    fields = fields_of(page)
    assert "With the weather of Birmingham, United Kingdom." in page
    assert (fields["temp_01"], fields["rh_12"], fields["air_of"]) == ("4.6", "89", "station")
    assert fields["kind"] == "open_shed"
    assert "This place keeps wood at 14\u00a0% in April, at 19.3\u00a0% in November." in page
    assert "typical months chosen from about 1982-1999" in page
    assert "<details open" not in page


def test_a_place_near_a_station_needs_only_a_name(
    client: FlaskClient, sqlite_database: Database
) -> None:
    fields = fields_of(client.get(BIRMINGHAM).text)
    answer = client.post(BIRMINGHAM, data=fields | {"place": "Open shed"})
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "Place Open shed is set up." in page
    assert "air by a weather station near it" in page
    station = station_of("birmingham-united-kingdom")
    assert station is not None
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        months = months_of(session, place)
    assert (place.name, place.kind, place.air_of) == ("Open shed", "open_shed", "station")
    assert [month.temperature_c for month in months] == list(station.temperature_c)
    assert [month.rh_pct for month in months] == list(station.rh_pct)


def test_somebody_who_thinks_in_fahrenheit_loses_no_tenth(
    client: FlaskClient, sqlite_database: Database
) -> None:
    american = {"Accept-Language": "en-US"}
    page = client.get(BIRMINGHAM, headers=american).text
    fields = fields_of(page)
    assert fields["temp_01"] == "40.3"
    client.post(BIRMINGHAM, data=fields | {"place": "Shed"}, headers=american)
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        assert months_of(session, place)[0].temperature_c == 4.6


def test_a_station_printed_in_fahrenheit_fills_whole_tenths(client: FlaskClient) -> None:
    fields = fields_of(client.get("/places/new?station=new-york-central-park-ny-usa").text)
    assert fields["temp_01"] == "0.3"


def test_an_unknown_station_is_not_found(client: FlaskClient) -> None:
    assert client.get("/places/new?station=atlantis").status_code == 404


def test_own_months_are_kept(client: FlaskClient, sqlite_database: Database) -> None:
    answer = send(client, OWN, OWN, **TYPED | {"temp_03": "50 F", "rh_03": "66 %"})
    assert answer.status_code == 303
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        months = months_of(session, place)
    assert place.air_of == "place"
    assert [month.temperature_c for month in months[:4]] == [1.5, 2.5, 10, 4.5]
    assert months[2].rh_pct == 66


def test_what_cannot_be_taken_comes_back_as_typed(client: FlaskClient) -> None:
    wrong = TYPED | {"temp_05": "warm", "rh_07": "120", "rh_08": "", "place": ""}
    answer = send(client, OWN, OWN, **wrong)
    assert answer.status_code == 422
    fields = fields_of(answer.text)
    assert (fields["temp_05"], fields["rh_07"], fields["temp_06"]) == ("warm", "120", "6,5")
    assert "May, temperature: Expected degrees Celsius from -70 to 60" in answer.text
    assert "July, humidity: Expected a number of percent from 0 to 100; found “120”." in answer.text
    assert "August, humidity: This is needed." in answer.text
    assert "Name: This is needed." in answer.text
    assert "Not complete yet: May, July, August." in answer.text
    assert "<details open" in answer.text


@pytest.mark.parametrize("name", STRANGE)
def test_names_of_any_sort(client: FlaskClient, name: str, sqlite_database: Database) -> None:
    answer = send(client, OWN, OWN, **TYPED | {"place": name})
    assert "<b>shed" not in client.get(answer.location).text
    with sqlite_database.reading() as session:
        assert [place.name for place in live_places(session)] == [name]


def test_a_name_without_end_is_refused(client: FlaskClient) -> None:
    answer = send(client, OWN, OWN, **TYPED | {"place": "x" * 10_000})
    assert answer.status_code == 422
    assert "Expected a mark of 1 to 60 signs" in answer.text


def test_a_used_name_is_refused_and_nothing_typed_is_lost(client: FlaskClient, shed: Shed) -> None:
    assert shed.boards
    answer = send(client, OWN, OWN, **TYPED)
    assert answer.status_code == 409
    assert "There is already a place “Long shed” in the yard" in answer.text
    assert fields_of(answer.text)["temp_12"] == "12,5"


def test_a_form_sent_twice_is_kept_once(client: FlaskClient, sqlite_database: Database) -> None:
    keys = keys_of(client, OWN)
    first = client.post(OWN, data=keys | TYPED)
    second = client.post(OWN, data=keys | TYPED)
    assert first.location == second.location
    assert "This was saved already." in client.get(second.location).text
    other = client.post(OWN, data=keys | TYPED | {"place": "Barn"})
    assert other.status_code == 409
    assert client.post(OWN, data=keys_in(other.text) | TYPED | {"place": "Barn"}).status_code == 303
    with sqlite_database.reading() as session:
        assert len(live_places(session)) == 2


def test_odd_air_is_asked_about_and_kept_when_sure(client: FlaskClient) -> None:
    hot = TYPED | {"temp_07": "55"}
    answer = send(client, OWN, OWN, **hot)
    assert answer.status_code == 422
    assert "write F behind them" in answer.text
    assert 'name="sure"' in answer.text
    sure = client.post(OWN, data=keys_in(answer.text) | hot | {"sure": "y"})
    assert sure.status_code == 303


def test_without_script_the_year_is_drawn_on_demand(
    client: FlaskClient, sqlite_database: Database
) -> None:
    half = {name: text for name, text in TYPED.items() if name != "place"}
    answer = send(client, OWN, OWN, **half, draw="1")
    assert answer.status_code == 200
    assert "Not saved yet" not in answer.text
    assert "This place keeps wood at" in answer.text
    assert fields_of(answer.text)["temp_12"] == "12,5"
    with sqlite_database.reading() as session:
        assert live_places(session) == []


def test_the_year_alone_for_the_script(client: FlaskClient) -> None:
    answer = client.get("/places/year", query_string=TYPED)
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert "This place keeps wood at" in answer.text
    assert answer.text.count('class="dot"') == 12
    room = client.get("/places/year", query_string=TYPED | {"kind": "heated", "air_of": "station"})
    assert room.text != answer.text


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"kind": "attic", "air_of": "?"},
        {"temp_01": "x" * 10_000},
        {"temp_01": "5", "rh_01": "999"},
    ],
)
def test_the_year_of_anything(client: FlaskClient, typed: dict[str, str]) -> None:
    answer = client.get("/places/year", query_string=typed)
    assert answer.status_code == 200
    assert "Each month needs a temperature and a humidity." in answer.text
    assert 'class="dot"' not in answer.text


def test_made_places_are_like_typed_ones(client: FlaskClient, sqlite_database: Database) -> None:
    """What tests make elsewhere stands for what the form keeps."""
    months = dict(zip(TEMPERATURE_COLUMNS, map(str, make.TEMPERATURES_C), strict=True))
    months |= dict(zip(RH_COLUMNS, map(str, make.HUMIDITIES_PCT), strict=True))
    send(client, OWN, OWN, **TYPED | months)
    with sqlite_database.reading() as session:
        (place,) = live_places(session)
        assert [month.temperature_c for month in months_of(session, place)] == list(
            make.TEMPERATURES_C
        )
