"""Finding a station: by name, region or country, and what is offered instead."""

from __future__ import annotations

import pytest

from webapp.wood.climate import all_stations, countries
from webapp.wood.station_search import find_stations


def labels(text: str) -> list[str]:
    return [station.label for station in find_stations(text).stations]


def test_every_station_is_found_first_by_its_own_name() -> None:
    for station in all_stations():
        assert find_stations(station.label).stations[0] is station
        same = [one.place for one in find_stations(station.place).stations[:2]]
        assert station.place in same


def test_every_country_gives_its_stations_first() -> None:
    for country in countries():
        there = {one for one in all_stations() if one.country == country}
        assert set(find_stations(country).stations[: len(there)]) == there, country


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("portland, or", "Portland, Oregon, USA"),
        ("  PORTLAND   maine ", "Portland, Maine, USA"),
        ("São Paulo", "Sao Paulo, Brazil"),
        ("mun", "Munich, Germany"),
        ("München", "Munich, Germany"),
        ("o’hare", "Chicago (O'Hare), Illinois, USA"),
        ("St. Louis", "St Louis, Missouri, USA"),
        ("vermont", "Burlington, Vermont, USA"),
        ("tas", "Hobart, Tasmania, Australia"),
        ("holland", "Amsterdam, Netherlands"),
        ("Denmark", "Copenhagen, Denmark"),
        ("kobenhavn", "Copenhagen, Denmark"),
        ("uk", "Aberdeen, United Kingdom"),
        ("England", "Aberdeen, United Kingdom"),
        ("la", "New Orleans (airport), Louisiana, USA"),
        ("us", "Northway, Alaska, USA"),
    ],
)
def test_names_written_anyhow(text: str, first: str) -> None:
    assert find_stations(text).as_asked
    assert labels(text)[0] == first


def test_places_of_one_name_all_come() -> None:
    assert labels("portland") == ["Portland, Maine, USA", "Portland, Oregon, USA"]
    assert labels("london") == ["London, Ontario, Canada", "London (Gatwick), United Kingdom"]


def test_a_town_without_a_station_is_found_by_its_country() -> None:
    found = find_stations("Bristol, UK")
    assert (found.as_asked, found.country) == (False, "United Kingdom")
    assert {one.country for one in found.stations} == {"United Kingdom"}
    assert labels("Cardiff, Wales") == labels("bristol uk")


def test_a_town_without_a_station_is_found_by_its_state() -> None:
    found = find_stations("Buffalo, New York")
    assert (found.as_asked, found.country) == (False, None)
    assert {one.region for one in found.stations} == {"NY"}
    assert {one.region for one in find_stations("Albany WA").stations} == {"WA"}


def test_a_state_without_a_station_gives_its_country() -> None:
    assert find_stations("Kansas").country == "USA"
    assert find_stations("Victoria BC").country == "Canada"
    assert not find_stations("Kansas").as_asked


@pytest.mark.parametrize(
    ("text", "meant"),
    [("brimingham", "Birmingham, United Kingdom"), ("Seatle", "Seattle-Tacoma, Washington, USA")],
)
def test_a_slip_of_the_finger(text: str, meant: str) -> None:
    found = find_stations(text)
    assert not found.as_asked
    assert found.stations[0].label == meant


@pytest.mark.parametrize(
    "text", ["", "  ", "Bristol", "?!", "🌲", "<script>", "x" * 10_000, "مرحبا"]
)
def test_nothing_is_found_for_what_is_no_place(text: str) -> None:
    found = find_stations(text)
    assert found.stations == ()
    assert not found.as_asked


def test_ten_thousand_words_are_no_trouble() -> None:
    assert find_stations("zq " * 5_000).stations == ()
