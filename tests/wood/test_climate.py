"""The stations' table: whole, plausible, and agreeing with what else is printed of the places."""

from __future__ import annotations

import numpy as np
import pytest

from tests.wood.printed import columns_of, rows_of
from webapp.wood import tables
from webapp.wood.climate import all_stations, countries, other_names, station_of
from webapp.wood.humid_air import dew_point_c

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def test_every_place_has_a_whole_year_of_both() -> None:
    rows = tables.rows_of("climate.csv")
    assert len(rows) == 2 * 185
    assert {row["seen"] for row in rows} == {"seen"}
    assert all(row["source"] and row["period"] for row in rows)
    both = {"temp_mean", "rh_mean"}
    pairs: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        pairs.setdefault((row["country"], row["region"], row["place"]), []).append(row["quantity"])
    assert all(set(kinds) == both and len(kinds) == len(both) for kinds in pairs.values())
    assert len(all_stations()) == len(pairs) == 185


def test_stations_have_different_keys_and_labels() -> None:
    assert len({station.key for station in all_stations()}) == 185
    assert len({station.label for station in all_stations()}) == 185
    assert all(station_of(station.key) is station for station in all_stations())
    assert station_of("atlantis") is None


def test_stations_carry_the_figures_of_their_own_rows() -> None:
    stations = {(one.country, one.region, one.place): one for one in all_stations()}
    for row in tables.rows_of("climate.csv"):
        station = stations[row["country"], row["region"], row["place"]]
        normals = station.temperature if row["quantity"] == "temp_mean" else station.humidity
        assert list(normals.months) == [float(row[month]) for month in MONTHS]
        assert (normals.unit, normals.source) == (row["unit"], row["source"])


def test_the_same_figures_as_in_the_typical_year_files() -> None:
    """Monthly lines of the weather files' statistics, copied on their own (station_air.csv)."""
    places = {row["place"] for row in rows_of("station_air.csv")}
    for place in places:
        rows = [row for row in rows_of("station_air.csv") if row["place"] == place]
        (station,) = (one for one in all_stations() if one.place == place)
        assert [float(row["temperature_c"]) for row in rows] == list(station.temperature_c)
        assert [float(row["rh_pct"]) for row in rows] == list(station.rh_pct)
    assert len(places) > 5


def test_a_place_printed_in_fahrenheit_is_turned() -> None:
    station = station_of("new-york-central-park-ny-usa")
    assert station is not None
    assert station.temperature.months[0] == 32.6
    assert station.temperature_c[0] == pytest.approx(0.6 / 1.8)
    assert [one for one in all_stations() if one.temperature.unit == "degF"] == [station]


def test_outdoor_equilibrium_of_phoenix_as_printed() -> None:
    """FPL-GTR-282, Table 13-1, seen.

    It rests on 1981-2010, the station on single "typical" months that may differ by 10 % RH: half
    a point of moisture, and one month (November) by a whole one.
    """
    month, printed = columns_of("outdoor_emc_phoenix.csv", "month", "emc_pct")
    station = station_of("phoenix-az-usa")
    assert station is not None
    away = station.emc_pct[month.astype(int) - 1] - printed
    away = away[~np.isnan(away)]
    assert len(away) == 10
    assert np.sum(np.abs(away) < 0.5) == 9
    assert np.abs(away).max() < 1.1
    assert np.mean(away) == pytest.approx(0.0, abs=0.25)


def test_air_that_can_be() -> None:
    """The warmest monthly mean dew points of the world are near 26 degC (Gulf coasts)."""
    for station in all_stations():
        assert -30 < station.temperature_c.min() < station.temperature_c.max() < 36, station.label
        assert 10 < station.rh_pct.min() < station.rh_pct.max() < 97, station.label
        assert 2.5 < station.emc_pct.min() < station.emc_pct.max() < 25, station.label
        assert dew_point_c(station.temperature_c, station.rh_pct).max() < 26.5, station.label


@pytest.mark.parametrize(
    ("key", "coldest", "warmest"),
    [
        ("birmingham-united-kingdom", range(3), range(6, 8)),
        ("portland-or-usa", (11, 0, 1), range(6, 8)),
        ("hobart-tas-australia", range(5, 8), (11, 0, 1)),
        ("ushuaia-argentina", range(5, 8), (11, 0, 1)),
    ],
)
def test_summer_is_where_it_belongs(
    key: str, coldest: tuple[int, ...], warmest: tuple[int, ...]
) -> None:
    station = station_of(key)
    assert station is not None
    assert int(station.temperature_c.argmin()) in coldest
    assert int(station.temperature_c.argmax()) in warmest


def test_other_names_belong_to_places_of_the_table() -> None:
    stations = {(one.country, one.region, one.place) for one in all_stations()}
    for country, region, place in other_names():
        assert country in countries(), country
        assert not place or (country, region, place) in stations, place
    regions = {(one.country, one.region) for one in all_stations() if one.region}
    assert regions <= {(country, region) for country, region, place in other_names() if not place}
