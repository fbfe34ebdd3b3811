"""What is expected before any reading, against published air-drying times.

The published figures are ranges over yards, years and stacking dates (published/, each row
with its source), so the expectation has to lie in the range, not on a number. A typical-year
weather file of a station in the region stands for the yard's air.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.drying.made_yard import boards_of, courses, day, readings_of
from tests.drying.printed import rows_of, station
from webapp.drying.fit import fit
from webapp.drying.forecast import crossing_days, look_ahead
from webapp.drying.priors import YardEffect, expected_log_rate
from webapp.wood.green_moisture import green_moisture_pct
from webapp.wood.species_table import species_named

INCH_MM = 25.4
NORTH, SOUTH, DRY = "Duluth", "Nashville (airport)", "Phoenix"
MONTHS = range(1, 13)


def expected_days(
    species: str,
    place: str,
    stacked: str,
    *,
    thickness_mm: float = INCH_MM,
    target_pct: float = 20.0,
    chance: float = 0.5,
) -> float:
    """Days from green to a target (NaN: levelled off) by a chance, before any reading."""
    wood, first = species_named(species), day(stacked)
    boards = boards_of(
        [1],
        stacked=first,
        thickness_mm=thickness_mm,
        density=wood.basic_density,
        green_pct=green_moisture_pct(wood).mean_pct,
        target_pct=target_pct,
    )
    air = courses([station(place)], first, first)
    posterior = fit(readings_of([]), boards, air, YardEffect.unknown(1))
    days = np.arange(first, first + 1500, 5.0)
    outlook = look_ahead(posterior, days, first)
    return float(crossing_days(days, outlook.chance, chance)[0] - first)


def published(species: str) -> dict[str, str]:
    """One published row by its name."""
    return next(r for r in rows_of("air_drying_times.csv") if r["species"] == species)


def test_sugar_maple_in_upper_michigan() -> None:
    """Peck 1957, FPL Report 2086: 40 to 205 days over all piling dates, 90 on average."""
    row = published("maple, sugar")
    low, high, mean = (float(row[name]) for name in ("days_min", "days_max", "days_mean"))
    middle = [expected_days("sugar maple", NORTH, f"2024-{month:02d}-01") for month in MONTHS]
    assert low < min(middle)
    # A station's winter is not the yard's: a fifth is allowed at the slow end.
    assert max(middle) < 1.2 * high
    assert mean / 2 < np.mean(middle) < 2 * mean


@pytest.mark.parametrize(
    ("row", "stacked"),
    [
        ("oak (4/4, stacked early January)", "2024-01-05"),
        ("oak (4/4, stacked 1 June)", "2024-06-01"),
    ],
)
def test_oak_by_the_day_it_was_stacked(row: str, stacked: str) -> None:
    """Research Paper NC-228, second-hand: five months from January, two months from June."""
    days = expected_days("northern red oak", "Madison", stacked)
    assert float(published(row)["days_mean"]) == pytest.approx(days, rel=0.4)


def test_red_oak_in_southern_wisconsin() -> None:
    """FPL-GTR-117: about 60 days when yarded in June or July, 120 or more from late autumn."""
    summer = float(published("oak, northern red (yarded in June or July)")["days_mean"])
    winter = float(published("oak, northern red (piled in late autumn or winter)")["days_min"])
    quick, slow = (
        [expected_days("northern red oak", "Madison", day) for day in days]
        for days in (("2024-06-10", "2024-07-10"), ("2024-11-10", "2024-12-20"))
    )
    assert 0.6 * summer < np.mean(quick) < 1.6 * summer
    assert min(slow) > winter


def test_two_inch_ash_takes_most_of_a_year() -> None:
    """FPL-GTR-117, Table 8: 180 to 230 days, over the eastern hardwood region."""
    row = next(
        r
        for r in rows_of("air_drying_times.csv")
        if (r["species"], r["thickness_trade"]) == ("ash", "8/4")
    )
    middle = np.mean(
        [
            expected_days("white ash", place, f"2024-{month:02d}-01", thickness_mm=2 * INCH_MM)
            for place in ("Lansing", SOUTH)
            for month in MONTHS
        ]
    )
    assert 0.75 * float(row["days_min"]) < middle < 1.25 * float(row["days_max"])


@pytest.mark.parametrize(
    ("row", "species"),
    [
        ("ash, white", "white ash"),
        ("oak, northern red", "northern red oak"),
        ("oak, white (northern)", "white oak"),
        ("birch, paper", "paper birch"),
        ("pine, eastern white", "eastern white pine"),
        ("pine, red", "red pine"),
    ],
)
def test_published_ranges_by_species(row: str, species: str) -> None:
    """FPL-GTR-117, Table 7: south in spring is the low end, north in autumn the high end."""
    low, high = (float(published(row)[name]) for name in ("days_min", "days_max"))
    quick = expected_days(species, SOUTH, "2024-05-01")
    slow = expected_days(species, NORTH, "2024-10-01")
    assert 0.6 * low < quick < 1.7 * low
    assert 0.7 * high < slow < 1.4 * high


def test_a_year_an_inch() -> None:
    """Common practice, no source: about a year for an inch, less where it is dry."""
    spring, autumn = "2024-04-01", "2024-10-01"
    temperate, dry = (
        [
            expected_days("northern red oak", place, stacked, target_pct=np.nan, chance=chance)
            for stacked in (spring, autumn)
            for chance in (0.5, 0.9)
        ]
        for place in ("Madison", DRY)
    )
    middle, late = temperate[::2], temperate[1::2]
    assert 120 < min(middle) < max(middle) < 365
    assert all(after > 365 for after in late)
    assert max(dry[::2]) < max(middle)
    assert max(dry[1::2]) < min(late)


def test_time_grows_with_thickness_as_published() -> None:
    """Powers 1.3 (Wengert: 8/4 takes 2.5 times as long) to 1.8; FPL-GTR-117: about 1.5."""
    inch, two = expected_log_rate(np.array([INCH_MM, 2 * INCH_MM]), np.array([0.5, 0.5]))
    assert 1.3 <= (inch - two) / np.log(2) <= 1.8
    assert 2.5 <= np.exp(inch - two) <= 3.5


def test_dense_wood_dries_more_slowly() -> None:
    light, dense = expected_log_rate(np.array([INCH_MM] * 2), np.array([0.35, 0.65]))
    assert light > dense
