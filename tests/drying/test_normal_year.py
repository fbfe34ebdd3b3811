"""A place's normal year: the course that every fit follows, and its months."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from webapp.drying.air import PlaceAir, air_courses, year_fraction
from webapp.drying.normal_year import DAYS, normal_months_pct, normal_year_pct
from webapp.wood.climate import all_stations, station_of
from webapp.wood.sorption import equilibrium_moisture_pct

NONE = np.zeros(0)


def birmingham() -> tuple[np.ndarray, np.ndarray]:
    station = station_of("birmingham-united-kingdom")
    assert station is not None
    return station.temperature_c, station.rh_pct


def test_it_is_the_course_that_fits_follow() -> None:
    temperature_c, rh_pct = birmingham()
    first = (date(2023, 1, 1) - date(1970, 1, 1)).days
    days = first + np.arange(365.0)
    air = air_courses(
        [PlaceAir(temperature_c, rh_pct, NONE, NONE, NONE)], float(first), float(first) + 364
    )
    followed = air.emc_pct[0, air.column(days)]
    drawn = np.interp(
        year_fraction(days), (np.arange(DAYS) + 0.5) / DAYS, normal_year_pct(temperature_c, rh_pct)
    )
    np.testing.assert_allclose(drawn[2:-2], followed[2:-2], atol=0.01)


def test_months_are_near_those_of_the_mean_air() -> None:
    """The course is smooth where a typical year jumps from month to month, Oslo's most (by 4)."""
    stations = all_stations()
    away = np.array(
        [normal_months_pct(one.temperature_c, one.rh_pct) - one.emc_pct for one in stations]
    )
    assert np.abs(away.mean(axis=1)).max() < 0.2
    assert np.median(np.abs(away).max(axis=1)) < 0.8
    assert stations[int(np.abs(away).max(axis=1).argmax())].place == "Oslo"


def test_a_steady_year_is_one_figure() -> None:
    months = normal_months_pct(np.full(12, 21.1), np.full(12, 65.0))
    np.testing.assert_allclose(months, 12.0, atol=0.05)  # FPL-GTR-190, Table 4-2


def test_with_a_month_missing_the_others_stand_alone() -> None:
    temperature_c, rh_pct = birmingham()
    rh_pct = rh_pct.copy()
    rh_pct[[3, 7]] = np.nan
    assert np.isnan(normal_year_pct(temperature_c, rh_pct)).all()
    months = normal_months_pct(temperature_c, rh_pct)
    assert np.flatnonzero(np.isnan(months)).tolist() == [3, 7]
    assert months[0] == pytest.approx(float(equilibrium_moisture_pct(temperature_c[0], rh_pct[0])))


def test_air_no_wood_stands_in_is_held() -> None:
    full = normal_months_pct(np.full(12, 10.0), np.full(12, 100.0))
    assert full.max() == pytest.approx(float(equilibrium_moisture_pct(10.0, 98.0)))
