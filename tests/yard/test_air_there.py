"""A place's months: as typed, or turned from the station's into those of its kind."""

from __future__ import annotations

import numpy as np

from webapp.wood.climate import station_of
from webapp.wood.place_air import air_inside
from webapp.yard.air_there import air_there


def test_months_of_the_place_stay() -> None:
    given = np.arange(12.0), np.arange(50.0, 62.0)
    for kind in ("open_shed", "outdoors", "unheated", "heated", "chamber"):
        there = air_there(kind, "place", *given)
        np.testing.assert_array_equal(there[0], given[0])
        np.testing.assert_array_equal(there[1], given[1])


def test_months_of_a_station_are_turned_by_kind() -> None:
    station = station_of("birmingham-united-kingdom")
    assert station is not None
    given = station.temperature_c, station.rh_pct
    for kind in ("open_shed", "unheated", "heated"):
        there, expected = air_there(kind, "station", *given), air_inside(kind, *given)
        np.testing.assert_array_equal(there[0], expected[0])
        np.testing.assert_array_equal(there[1], expected[1])
    assert air_there("heated", "station", *given)[1].max() < 70.0
