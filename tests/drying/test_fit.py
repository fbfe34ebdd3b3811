"""Fits of boards whose water moves by diffusion through layers: an account not our own."""

from __future__ import annotations

import numpy as np

from tests.drying.layered_boards import Weather, dried
from tests.drying.made_yard import (
    boards_of,
    courses,
    day,
    readings_of,
    temperate,
    visits,
)
from webapp.drying import curve
from webapp.drying.fit import Posterior, fit
from webapp.drying.priors import YardEffect
from webapp.drying.stacks import Readings

STACKED = day("2023-04-01")
DAYS = 640
STACKS, BOARDS = 6, 5
AIR = courses([temperate()], STACKED, STACKED + DAYS)


def _made(seed: int = 4) -> tuple[np.ndarray, np.ndarray, list[tuple[int, float, float]]]:
    """Pace and true moisture [boards, days] of thirty boards, and what monthly visits showed."""
    rng = np.random.default_rng(seed)
    pace = np.exp(rng.normal(0, 0.3, STACKS).repeat(BOARDS) + rng.normal(0, 0.2, STACKS * BOARDS))
    green = rng.uniform(60, 100, STACKS * BOARDS)
    weather = Weather.at(AIR, 0, STACKED, DAYS)
    truth = dried(weather, np.full(STACKS * BOARDS, 27.0), green, pace)
    rows = visits(truth, STACKED, STACKED + np.arange(20, DAYS, 31), rng=rng)
    return pace, truth, rows


PACE, TRUTH, ROWS = _made()


def _fitted(readings: Readings, counts: list[int] | None = None) -> Posterior:
    boards = boards_of(counts or [BOARDS] * STACKS, stacked=STACKED)
    return fit(readings, boards, AIR, YardEffect.unknown(boards.stacks))


def _until(days: float) -> Readings:
    readings = readings_of(ROWS)
    return readings.where(readings.day <= STACKED + days)


def test_moisture_is_found_through_the_scatter() -> None:
    posterior = _fitted(_until(DAYS))
    days = STACKED + np.arange(150, DAYS, 30)
    mode = posterior.mode
    found = posterior.curve.moisture_on(mode.member, mode.group, days)
    error = found - TRUTH[:, (days - STACKED).astype(int)]
    assert posterior.mode.converged.all()
    # One reading scatters by about half a point when dry.
    assert np.sqrt(np.mean(error**2)) < 0.5
    assert abs(error.mean()) < 0.2


def test_the_pace_of_every_board_is_found() -> None:
    """Film and diffusion alike run at the board's pace, so that its rate should follow it."""
    mode = _fitted(_until(DAYS)).mode
    log_rate = mode.member[:, curve.OWN_RATE] + np.repeat(mode.group[:, curve.RATE], BOARDS)
    slope = np.polyfit(np.log(PACE), log_rate, 1)[0]
    assert 0.7 < slope < 1.2
    assert np.std(log_rate - np.log(PACE)) < 0.6 * np.std(np.log(PACE))


def _range_of_moisture(posterior: Posterior, when: float) -> tuple[np.ndarray, np.ndarray]:
    rows = np.arange(len(posterior.curve.boards))
    mode = posterior.mode
    moisture, slopes = posterior.curve.moisture(
        mode.member, mode.group, rows, np.full(len(rows), when)
    )
    covariance = posterior.covariance()
    return moisture, np.sqrt(np.einsum("bi,bij,bj->b", slopes, covariance, slopes))


def test_ranges_hold_for_a_fair_share() -> None:
    held = []
    for days in (200, 260, 330, 420, 510):
        moisture, sd = _range_of_moisture(_fitted(_until(days)), STACKED + days)
        held.append(np.abs(moisture - TRUTH[:, days]) < 1.2816 * np.hypot(sd, 0.25))
    # 80 % ranges, with a quarter of a point for a model that knows no layers; 150 boards' worth.
    assert 0.65 < np.mean(held) <= 1.0


def test_more_readings_narrow_the_range() -> None:
    early, late = (_range_of_moisture(_fitted(_until(d)), STACKED + 400)[1] for d in (180, 400))
    assert (late < early).mean() > 0.9
    assert late.mean() < 0.7 * early.mean()


def test_the_order_of_boards_changes_nothing() -> None:
    turned = [(len(TRUTH) - 1 - board, when, value) for board, when, value in ROWS]
    plain, back = _fitted(readings_of(ROWS)), _fitted(readings_of(turned))
    np.testing.assert_allclose(back.mode.member[::-1], plain.mode.member, rtol=1e-3, atol=1e-4)
    np.testing.assert_allclose(back.mode.group[::-1], plain.mode.group, rtol=1e-3, atol=1e-3)
    np.testing.assert_allclose(back.log_evidence[::-1], plain.log_evidence, rtol=1e-4)


def test_the_order_of_readings_changes_nothing() -> None:
    readings = readings_of(ROWS)
    rng = np.random.default_rng(2)
    mixed = readings.where(np.lexsort((rng.random(len(readings)), readings.board)))
    assert not np.array_equal(mixed.day, readings.day)
    plain, other = _fitted(readings), _fitted(mixed)
    np.testing.assert_allclose(other.mode.member, plain.mode.member, rtol=1e-6, atol=1e-8)
    np.testing.assert_allclose(other.log_evidence, plain.log_evidence, rtol=1e-8)


def test_four_years_later_is_the_same() -> None:
    later = 1461.0
    boards = boards_of([BOARDS] * STACKS, stacked=STACKED + later)
    air = courses([temperate()], STACKED + later, STACKED + later + DAYS)
    moved = readings_of([(board, when + later, value) for board, when, value in ROWS])
    plain = _fitted(readings_of(ROWS))
    shifted = fit(moved, boards, air, YardEffect.unknown(STACKS))
    np.testing.assert_allclose(shifted.mode.group, plain.mode.group, atol=2e-3)


def test_boards_of_one_stack_speak_for_an_unread_one() -> None:
    readings = _until(150)
    unread = readings.where(readings.board != 2)
    moisture, sd = _range_of_moisture(_fitted(unread), STACKED + 150)
    others = [0, 1, 3, 4]
    assert abs(moisture[2] - moisture[others].mean()) < 4 * sd[2]
    assert sd[2] > sd[others].max()


def test_one_gross_slip_hardly_moves_a_board() -> None:
    readings = _until(400)
    row = int(np.flatnonzero((readings.board == 7) & (readings.day > STACKED + 250))[0])
    slipped = readings.value_pct.copy()
    slipped[row] = 2.3
    wrong = Readings(
        readings.board, readings.day, slipped, readings.over, readings.under, readings.extra_sd
    )
    when = STACKED + 400
    plain, _ = _range_of_moisture(_fitted(readings), when)
    moved, _ = _range_of_moisture(_fitted(wrong), when)
    assert abs(plain[7] - moved[7]) < 0.5


def test_two_hundred_boards_in_one_stack() -> None:
    many = 200
    rng = np.random.default_rng(9)
    copies = rng.integers(0, len(TRUTH), many)
    rows = visits(TRUTH[copies], STACKED, STACKED + np.arange(20, 400, 60), rng=rng)
    posterior = _fitted(readings_of(rows), [many])
    assert posterior.mode.converged.all()
    moisture, _ = _range_of_moisture(posterior, STACKED + 380)
    assert np.abs(moisture - TRUTH[copies, 380]).mean() < 0.6
