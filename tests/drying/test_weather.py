from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.drying.made_yard import boards_of, courses, day, readings_of, temperate
from webapp.drying.background import background_of
from webapp.drying.weather import KNOT_DAYS, FeltWeather

if TYPE_CHECKING:
    from webapp.drying.stacks import Readings

STACKED, DAYS = day("2022-03-01"), 900
TODAY = STACKED + DAYS
AIR = courses([temperate()], STACKED, TODAY)
DAMP = day("2023-10-01"), day("2024-01-15")
BOARDS = boards_of([4] * 6, stacked=STACKED)


def _readings(*, damp: bool) -> Readings:
    """Six dry stacks, in normal weather or with one autumn two points too damp."""
    rng = np.random.default_rng(8)
    days = np.arange(STACKED, TODAY)
    emc = AIR.emc_pct[0][AIR.column(days)].copy()
    if damp:
        emc[(days > DAMP[0]) & (days < DAMP[1])] += 2.0
    warm = np.diff(AIR.warm_days[0])[AIR.column(days)]
    rows = []
    for board in range(len(BOARDS)):
        rate = np.exp(rng.normal(-3.2, 0.2))
        moisture, held = [], 70.0
        for n in range(len(days)):
            moisture.append(held)
            held = emc[n] + (held - emc[n]) * np.exp(-rate * warm[n])
        seen = np.arange(15 + board % 3, DAYS, 30)
        rows += [(board, days[n], moisture[n] + rng.normal(0, 0.5)) for n in seen]
    return readings_of(rows)


def _felt(*, damp: bool) -> FeltWeather:
    readings = _readings(damp=damp)
    return background_of(readings, BOARDS, AIR, np.ones((6, 1)), TODAY).weather


def test_a_damp_autumn_is_felt_by_all_boards_together() -> None:
    felt = _felt(damp=True)
    inside = (felt.knots > DAMP[0] + 15) & (felt.knots < DAMP[1] - 15)
    far = np.abs(felt.knots - np.mean(DAMP)) > 150
    assert felt.anomaly_pct[0][inside].min() > 0.8
    assert np.abs(felt.anomaly_pct[0][far]).mean() < 0.4


def test_normal_weather_stays_normal() -> None:
    assert np.abs(_felt(damp=False).anomaly_pct).max() < 0.7


def test_what_was_felt_moves_the_air_and_ends_after_the_last_reading() -> None:
    knots = np.arange(STACKED, STACKED + 300, KNOT_DAYS)
    felt = FeltWeather(knots, np.full((1, len(knots)), 1.5))
    moved = felt.on(AIR)
    here, later = AIR.column(np.array([STACKED + 100.0, STACKED + 500.0]))
    assert moved.emc_pct[0, here] - AIR.emc_pct[0, here] == 1.5
    assert moved.emc_pct[0, later] == AIR.emc_pct[0, later]
    assert (moved.path_pct[0, :, here] > AIR.path_pct[0, :, here]).all()
