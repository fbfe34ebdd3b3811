"""The drawing of a place's year: what the yard will suppose there."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from webapp.drying.normal_year import normal_months_pct
from webapp.pages.curve_sheet import HEIGHT, WIDTH
from webapp.pages.place_year import PlaceYear, place_year
from webapp.wood.climate import station_of
from webapp.wood.place_air import air_inside


def drawn(kind: str = "open_shed", air_of: str = "station", today: date | None = None) -> PlaceYear:
    station = station_of("birmingham-united-kingdom")
    assert station is not None
    return place_year(kind, air_of, station.temperature_c, station.rh_pct, today)


def test_an_open_shed_has_the_outdoor_year() -> None:
    year = drawn()
    assert year.sentence == "This place keeps wood at 14 % in April, at 19.3 % in November."
    assert year.missing == []
    assert [figure for _y, figure in year.sheet.rows] == ["10 %", "15 %", "20 %"]
    assert [word for _x, word in year.sheet.columns] == ["Jan", "Mar", "May", "Jul", "Sep", "Nov"]
    assert len(year.sheet.dots) == 12
    assert year.sheet.now is None
    assert year.sheet.path.count("M") == 1


def test_a_heated_room_near_a_station_is_drawn_as_the_room() -> None:
    station = station_of("birmingham-united-kingdom")
    assert station is not None
    inside = air_inside("heated", station.temperature_c, station.rh_pct)
    year = drawn("heated")
    np.testing.assert_array_equal(year.months_pct, normal_months_pct(*inside))
    assert year.months_pct.max() < drawn().months_pct.min()
    np.testing.assert_array_equal(drawn("heated", "place").months_pct, drawn().months_pct)


def test_damper_months_lie_higher_and_all_within_the_sheet() -> None:
    year = drawn()
    dampest = int(year.months_pct.argmax())
    assert min(y for _x, y in year.sheet.dots) == year.sheet.dots[dampest][1]
    assert all(0 < x < WIDTH and 0 < y < HEIGHT for x, y in year.sheet.dots)
    heights = [y for y, _figure in year.sheet.rows]
    assert heights == sorted(heights, reverse=True)
    assert all(heights[-1] <= y <= heights[0] for _x, y in year.sheet.dots)


def test_this_month_is_marked() -> None:
    year = drawn(today=date(2026, 11, 25))
    assert year.sheet.now == year.sheet.dots[10]


def test_months_still_missing_are_named() -> None:
    temperature_c, rh_pct = np.full(12, 15.0), np.full(12, 70.0)
    temperature_c[2], rh_pct[[2, 11]] = np.nan, np.nan
    for kind in ("open_shed", "unheated", "heated"):
        year = place_year(kind, "station", temperature_c, rh_pct, date(2026, 3, 1))
        assert year.missing == ["March", "December"]
        assert year.sheet.path == ""
        assert year.sentence == ""
        assert year.sheet.now is None
    assert len(place_year("outdoors", "place", temperature_c, rh_pct).sheet.dots) == 10


def test_nothing_typed_yet_is_an_empty_sheet() -> None:
    nothing = np.full(12, np.nan)
    year = place_year("open_shed", "place", nothing, nothing)
    assert (year.sheet.path, year.small, year.sheet.dots, len(year.missing)) == ("", "", [], 12)
    assert year.sheet.rows


def test_a_steady_chamber_is_told_as_one_figure() -> None:
    year = place_year("chamber", "place", np.full(12, 45.0), np.full(12, 35.0))
    assert year.sentence.endswith("all year.")
    assert max(y for _x, y in year.sheet.dots) - min(
        y for _x, y in year.sheet.dots
    ) == pytest.approx(0.0)


@pytest.mark.parametrize(("c", "pct"), [(-40.0, 100.0), (60.0, 0.0), (0.0, 50.0)])
def test_the_ends_of_what_can_be_typed(c: float, pct: float) -> None:
    year = place_year("unheated", "station", np.full(12, c), np.full(12, pct))
    assert all(0 < x < WIDTH and 0 < y < HEIGHT for x, y in year.sheet.dots)
