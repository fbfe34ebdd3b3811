from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from tests.drying.made_yard import HUMIDITIES_PCT, NONE, TEMPERATURES_C, day, steady, temperate
from webapp.drying.air import (
    LOG_RATES,
    PlaceAir,
    air_courses,
    warmth,
    year_fraction,
    yearly_course,
)
from webapp.wood.sorption import equilibrium_moisture_pct

BEGIN, END = day("2022-01-01"), day("2026-12-31")


def _months(values: np.ndarray, first_day: float, year: int) -> np.ndarray:
    """Means of a daily course over the months of a year."""
    starts = [day(f"{year}-{month:02d}-01") for month in range(1, 13)] + [day(f"{year + 1}-01-01")]
    cuts = [int(start - first_day) for start in starts]
    return np.array([values[a:b].mean() for a, b in pairwise(cuts)])


def test_drying_doubles_over_ten_to_twelve_degrees() -> None:
    # Published: exchange twice as fast at 24 as at 12 degC (Buck, in The Structural Conservation
    # of Panel Paintings, Getty 1998); vapour pressure doubles over about 11 degC.
    assert warmth(np.array([20.0]))[0] == pytest.approx(1.0)
    assert 1.8 < warmth(np.array(24.0)) / warmth(np.array(12.0)) < 2.3
    for below in (5.0, 15.0):
        assert warmth(np.array(below + 10)) / warmth(np.array(below)) < 2.0 * 1.05
        assert warmth(np.array(below + 12)) / warmth(np.array(below)) > 2.0 * 0.95


def test_the_course_through_a_year_keeps_the_means_of_its_months() -> None:
    air = air_courses([temperate()], BEGIN, END)
    kept = _months(air.temperature_c[0], air.first_day, 2023)
    # Three harmonics of twelve months: what is left is a few tenths of a degree.
    np.testing.assert_allclose(kept, TEMPERATURES_C, atol=0.5)


def test_a_course_of_few_waves_is_found_again_from_its_means() -> None:
    """Averaging over a month flattens a course; that is made up for exactly."""
    middle, monthly = (np.arange(12) + 0.5) / 12, np.full(12, 8.0)
    for n in (1, 2, 3):
        monthly += 3.0 / n * np.cos(2 * np.pi * n * (middle - 0.1 * n))
    fraction = (np.arange(12_000) + 0.5) / 12_000
    means = yearly_course(monthly, fraction).reshape(12, -1).mean(axis=1)
    np.testing.assert_allclose(means, monthly, atol=1e-5)


def test_a_year_has_its_own_length() -> None:
    fraction = year_fraction(np.array([day("2024-01-01"), day("2024-12-31"), day("2023-12-31")]))
    np.testing.assert_allclose(fraction, [0.5 / 366, 365.5 / 366, 364.5 / 365])
    july = year_fraction(np.array([day("2023-07-02"), day("2024-07-02")]))
    assert abs(july[0] - july[1]) < 1 / 365


def test_a_constant_year_is_constant() -> None:
    course = yearly_course(np.full(12, 7.5), np.linspace(0, 1, 50))
    np.testing.assert_allclose(course, 7.5)


def test_in_air_that_never_changes_every_board_ends_at_its_equilibrium() -> None:
    air = air_courses([steady(18.0, 60.0)], BEGIN, END)
    equilibrium = float(equilibrium_moisture_pct(18.0, 60.0))
    path, slope = air.path(
        np.zeros(3, dtype=np.intp), np.full(3, BEGIN + 100), np.array([-7.0, -4.0, -1.0])
    )
    np.testing.assert_allclose(path, equilibrium, atol=1e-4)
    np.testing.assert_allclose(slope, 0.0, atol=1e-4)


def test_a_slow_board_swings_less_than_a_quick_one() -> None:
    air = air_courses([temperate()], BEGIN, END)
    days = np.arange(day("2024-01-01"), day("2025-01-01"))
    swing = []
    for rate in (-7.0, -5.0, -3.0, -1.0):
        path, _ = air.path(np.zeros(len(days), dtype=np.intp), days, np.full(len(days), rate))
        swing.append(np.ptp(path))
    assert swing == sorted(swing)
    column = air.column(days)
    assert swing[-1] <= np.ptp(air.emc_pct[0, column]) + 1e-6
    assert swing[0] < 0.2 * swing[-1]


def test_a_path_has_forgotten_where_it_began() -> None:
    air = air_courses([temperate()], BEGIN, END)
    first, second = (
        air.path(np.zeros(1, dtype=np.intp), np.array([when]), np.array([-5.5]))[0][0]
        for when in (day("2022-06-01"), day("2025-06-01"))
    )
    assert first == pytest.approx(second, abs=0.05)


def test_between_tabulated_rates_the_path_is_interpolated() -> None:
    air = air_courses([temperate()], BEGIN, END)
    middle = LOG_RATES[40] + 0.03
    at = np.zeros(1, dtype=np.intp), np.array([day("2024-05-01")])
    path, slope = air.path(*at, np.array([middle]))
    higher, _ = air.path(*at, np.array([middle + 0.01]))
    assert (higher - path)[0] / 0.01 == pytest.approx(slope[0], rel=1e-3)


def test_own_records_replace_the_normal_and_fade_back_to_it() -> None:
    seen = np.arange(day("2024-06-01"), day("2024-06-15"))
    normal = temperate()
    damp = PlaceAir(TEMPERATURES_C, HUMIDITIES_PCT, seen, np.full(14, 25.0), np.full(14, 90.0))
    air = air_courses([normal, damp], BEGIN, END)
    middle = air.column(np.array([day("2024-06-08")]))[0]
    assert air.temperature_c[1, middle] == pytest.approx(25.0)
    assert air.emc_pct[1, middle] == pytest.approx(
        float(equilibrium_moisture_pct(25.0, 90.0)), abs=1e-6
    )
    for when in ("2024-05-01", "2024-07-20"):
        column = air.column(np.array([day(when)]))[0]
        assert air.emc_pct[1, column] == pytest.approx(air.emc_pct[0, column])
    after = air.column(np.array([day("2024-06-20")]))[0]
    assert air.emc_pct[0, after] < air.emc_pct[1, after] < air.emc_pct[1, middle]


def test_records_of_one_day_count_as_their_mean() -> None:
    when = day("2024-03-03")
    hourly = when + np.array([0.25, 0.5, 0.75])
    noted = PlaceAir(
        TEMPERATURES_C, HUMIDITIES_PCT, hourly, np.array([4.0, 8.0, 6.0]), np.full(3, 70.0)
    )
    air = air_courses([noted], BEGIN, END)
    assert air.temperature_c[0, air.column(np.array([when]))[0]] == pytest.approx(6.0)


def test_whole_years_shift_nothing() -> None:
    air = air_courses([temperate()], BEGIN, day("2030-12-31"))
    days = np.arange(day("2023-01-01"), day("2024-01-01"))
    at = np.zeros(len(days), dtype=np.intp)
    rate = np.full(len(days), -3.5)
    path, _ = air.path(at, days, rate)
    later, _ = air.path(at, days + 4 * 365.25, rate)
    np.testing.assert_allclose(later, path, atol=0.02)
    warm = air.warm_days_until(at, days + 30) - air.warm_days_until(at, days)
    warm_later = air.warm_days_until(at, days + 1491) - air.warm_days_until(at, days + 1461)
    np.testing.assert_allclose(warm_later, warm, rtol=0.01)


def test_extreme_air_stays_finite() -> None:
    places = [
        PlaceAir(np.full(12, t), np.full(12, rh), NONE, NONE, NONE)
        for t, rh in ((-45.0, 0.0), (45.0, 100.0))
    ]
    air = air_courses(places, BEGIN, END)
    assert np.isfinite(air.path_pct).all()
    assert (air.path_pct >= 0).all()


def test_records_years_apart_leave_the_years_between_alone() -> None:
    far = np.array([day("2022-02-01"), day("2026-02-01")])
    place = PlaceAir(TEMPERATURES_C, HUMIDITIES_PCT, far, np.array([20.0, -30.0]), np.full(2, 99.0))
    air = air_courses([temperate(), place], BEGIN, END)
    between = air.column(np.arange(day("2022-03-15"), day("2025-12-15")))
    np.testing.assert_allclose(air.emc_pct[1, between], air.emc_pct[0, between])
