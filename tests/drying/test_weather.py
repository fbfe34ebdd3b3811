from __future__ import annotations

import numpy as np

from tests.drying.made_yard import boards_of, courses, day, readings_of, temperate
from webapp.drying.background import background_of
from webapp.drying.weather import KNOT_DAYS, FeltWeather

STACKED, DAYS = day("2022-03-01"), 900
TODAY = STACKED + DAYS
AIR = courses([temperate()], STACKED, TODAY)
DAMP = day("2023-10-01"), day("2024-01-15")
BOARDS = boards_of([4] * 6, stacked=STACKED)


def _rows(seed: int, *, damp: bool) -> list[tuple[int, float, float]]:
    """Six dry stacks, in normal weather or with one autumn two points too damp."""
    rng = np.random.default_rng(seed)
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
    return rows


def _felt(*, damp: bool) -> FeltWeather:
    readings = readings_of(_rows(8, damp=damp))
    return background_of(readings, BOARDS, AIR, np.ones((6, 1)), TODAY).weather


def test_a_damp_autumn_is_felt_by_all_boards_together() -> None:
    felt = _felt(damp=True)
    inside = (felt.knots > DAMP[0] + 15) & (felt.knots < DAMP[1] - 15)
    far = np.abs(felt.knots - np.mean(DAMP)) > 150
    assert felt.anomaly_pct[0][inside].min() > 0.8
    assert np.abs(felt.anomaly_pct[0][far]).mean() < 0.4


def test_a_place_does_not_feel_another_s_weather() -> None:
    air, count = courses([temperate()] * 2, STACKED, TODAY), len(BOARDS)
    boards = boards_of([4] * 12, stacked=STACKED)
    boards.stays.place[count:] = 1
    rows = _rows(8, damp=False)
    rows += [(board + count, on, read) for board, on, read in _rows(9, damp=True)]
    causes = np.repeat(np.eye(2), 6, axis=0)
    felt = background_of(readings_of(rows), boards, air, causes, TODAY).weather
    inside = (felt.knots > DAMP[0] + 15) & (felt.knots < DAMP[1] - 15)
    assert np.abs(felt.anomaly_pct[0]).max() < 0.7
    assert felt.anomaly_pct[1][inside].min() > 0.8


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
