from __future__ import annotations

import numpy as np
import pytest

from tests.drying.made_yard import boards_of, courses, day, readings_of, steady, temperate
from webapp.drying import curve
from webapp.drying.curve import DryingCurve
from webapp.drying.fit import Posterior, fit
from webapp.drying.forecast import LEVEL_PCT, crossing_days, look_ahead, outlook_days
from webapp.drying.priors import YardEffect, prior_of
from webapp.drying.reading_error import ReadingError
from webapp.drying.stacks import Changes

STACKED = day("2023-04-01")
TODAY = STACKED + 120.0


def _posterior(*, target_pct: float = np.nan, over: bool = False, calm: bool = False) -> Posterior:
    air = courses([steady() if calm else temperate()], STACKED, TODAY)
    boards = boards_of([3], stacked=STACKED, target_pct=target_pct)
    days = STACKED + np.arange(15, 121, 15)
    rows = [
        (board, when, 60.0 if over else 12.5 + (50 + 5 * board) * np.exp(-(when - STACKED) / 45))
        for board in range(3)
        for when in days
    ]
    return fit(readings_of(rows), boards, air, YardEffect.unknown(1))


def test_crossing_days_are_read_off_between_the_days() -> None:
    days = np.array([0.0, 10.0, 20.0])
    chance = np.array([[0.0, 0.4, 0.8], [0.6, 0.7, 0.9], [0.0, 0.1, 0.2]])
    np.testing.assert_allclose(crossing_days(days, chance, 0.5), [12.5, 0.0, np.inf])


def test_days_rise_and_reach_from_the_stacking_to_five_years_ahead() -> None:
    days = outlook_days(STACKED, TODAY)
    assert (np.diff(days) > 0).all()
    assert days[0] == STACKED
    assert TODAY in days
    assert days[-1] > TODAY + 4.8 * 365


def test_chances_only_rise_and_stay_chances() -> None:
    days = outlook_days(STACKED, TODAY)
    outlook = look_ahead(_posterior(target_pct=16.0), days, TODAY)
    assert (np.diff(outlook.chance, axis=1) >= 0).all()
    assert outlook.chance.min() >= 0
    assert outlook.chance.max() <= 1 + 1e-12
    assert (outlook.sd_pct > 0).all()


def test_a_lower_target_is_reached_later() -> None:
    days = outlook_days(STACKED, TODAY)
    dates = [
        crossing_days(days, look_ahead(_posterior(target_pct=t), days, TODAY).chance, 0.5)
        for t in (20.0, 17.0, 15.0)
    ]
    assert (dates[0] < dates[1]).all()
    assert (dates[1] < dates[2]).all()


def test_the_middle_of_the_forecast_is_where_the_best_curve_crosses() -> None:
    posterior = _posterior(target_pct=16.0, calm=True)
    days = outlook_days(STACKED, TODAY)
    middle = crossing_days(days, look_ahead(posterior, days, TODAY).chance, 0.5)
    fine = np.arange(STACKED, TODAY + 200)
    curves = posterior.curve.moisture_on(posterior.mode.member, posterior.mode.group, fine)
    crossed = fine[(curves <= 16.0).argmax(axis=1)]
    np.testing.assert_allclose(middle, crossed, atol=10)


def test_without_a_target_the_goal_is_to_have_levelled_off() -> None:
    posterior = _posterior(calm=True)
    days = outlook_days(STACKED, TODAY)
    middle = crossing_days(days, look_ahead(posterior, days, TODAY).chance, 0.5)
    mode, rows = posterior.mode, np.arange(3)
    moisture, _ = posterior.curve.moisture(mode.member, mode.group, rows, middle)
    path, _ = posterior.curve.untroubled_path(mode.member, mode.group, rows, middle)
    np.testing.assert_allclose(moisture - path, LEVEL_PCT, atol=0.4)


def test_a_board_over_range_to_the_last_is_not_thought_dry_already() -> None:
    days = outlook_days(STACKED, TODAY)
    outlook = look_ahead(_posterior(target_pct=16.0, over=True), days, TODAY)
    assert outlook.chance[:, days <= TODAY].max() < 0.1


def test_after_over_range_displays_alone_the_chance_to_be_dry_is_nearly_that_of_sampling() -> None:
    """Draws from the prior, weighed by the readings: no curvature, no nodes."""
    draws, today, target = 4000, STACKED + 45.0, 20.0
    air = courses([temperate()], STACKED, today)
    when = STACKED + np.arange(15.0, 46.0, 15.0)
    one = boards_of([1], stacked=STACKED, target_pct=target)
    posterior = fit(readings_of([(0, d, 60.0) for d in when]), one, air, YardEffect.unknown(1))
    found = look_ahead(posterior, np.array([today]), today).chance[0, 0]

    many = boards_of([1] * draws, stacked=STACKED)
    prior, rng = prior_of(many, YardEffect.unknown(draws)), np.random.default_rng(0)
    member, group = (
        mean + rng.normal(size=mean.shape) / np.sqrt(precision)
        for mean, precision in (
            (prior.member_mean, prior.member_precision),
            (prior.group_mean, prior.group_precision),
        )
    )
    moisture = DryingCurve(many, air, Changes.none(draws)).moisture_on(member, group, when)
    error = ReadingError(readings_of([(n, d, 60.0) for n in range(draws) for d in when]))
    weight = np.exp(-error(moisture.ravel()).cost.reshape(moisture.shape).sum(axis=1))
    sampled = weight @ (moisture[:, -1] <= target) / weight.sum()
    assert sampled < 0.02
    assert found == pytest.approx(sampled, abs=0.12)


def test_the_range_widens_into_weather_not_yet_seen() -> None:
    posterior = _posterior()
    days = np.array([TODAY, TODAY + 20, TODAY + 300])
    sd = look_ahead(posterior, days, TODAY).sd_pct
    plain = look_ahead(posterior, days, TODAY + 1000).sd_pct
    np.testing.assert_allclose(sd[:, 0], plain[:, 0])
    assert (sd[:, 1:] > plain[:, 1:]).all()


def test_a_quick_board_swings_with_the_weather_more_than_a_slow_one() -> None:
    posterior = _posterior()
    days = np.array([TODAY + 300.0])
    spread = []
    for shift in (1.0, -2.0):
        group = posterior.mode.group.copy()
        group[:, curve.RATE] += shift
        moved = Posterior(
            posterior.curve,
            type(posterior.mode)(**{**vars(posterior.mode), "group": group}),
            posterior.error,
            posterior.prior,
        )
        with_weather = look_ahead(moved, days, TODAY).sd_pct
        without = look_ahead(moved, days, TODAY + 1000).sd_pct
        spread.append(np.sqrt(with_weather**2 - without**2).mean())
    assert spread[0] > spread[1]


@pytest.mark.parametrize("level", [0.1, 0.5, 0.9])
def test_dates_of_higher_chances_come_no_earlier(level: float) -> None:
    days = outlook_days(STACKED, TODAY)
    chance = look_ahead(_posterior(target_pct=15.0), days, TODAY).chance
    assert (crossing_days(days, chance, level) <= crossing_days(days, chance, level + 0.05)).all()
