from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drying.made_yard import boards_of, courses, day, readings_of, temperate
from webapp.drying.fit import fit
from webapp.drying.priors import YardEffect
from webapp.drying.stacks import Changes
from webapp.drying.standing import (
    Averages,
    chance_below,
    chances_today,
    last_read_on,
    stand_today,
)
from webapp.drying.suspicion import Kind, Suspicion
from webapp.drying.trouble import Findings

if TYPE_CHECKING:
    from webapp.drying.fit import Posterior

STACKED = day("2023-04-01")


@given(
    excess=st.floats(-5, 30),
    sd=st.floats(0.01, 10),
    limit=st.floats(0.1, 3),
)
def test_a_chance_is_a_chance_and_falls_with_the_excess(
    excess: float, sd: float, limit: float
) -> None:
    def at(x: float) -> float:
        return float(chance_below(np.array([x]), np.array([sd]), limit)[0])

    assert 0 <= at(excess) <= 1
    assert at(limit * 3 + 10 * sd) < 0.2
    assert at(-10 * sd) > 0.999


def test_certain_excesses_are_certain() -> None:
    below = chance_below(np.array([0.2, 0.7, 0.8, 3.0]), np.full(4, 1e-3), 0.75)
    np.testing.assert_allclose(below, [1, 1, 0, 0], atol=1e-6)


def test_the_fall_is_what_the_curve_lost_in_sixty_days() -> None:
    today = STACKED + 100
    air = courses([temperate()], STACKED, today)
    boards = boards_of([2], stacked=STACKED)
    rows = [
        (b, STACKED + n, 13 + 50 * np.exp(-n / 50)) for b in range(2) for n in range(10, 101, 15)
    ]
    posterior = fit(readings_of(rows), boards, air, YardEffect.unknown(1))
    stand = stand_today(posterior, today)
    mode = posterior.mode
    curves = posterior.curve.moisture_on(mode.member, mode.group, np.array([today - 60, today]))
    np.testing.assert_allclose(stand.fall, curves[:, 0] - curves[:, 1])
    np.testing.assert_allclose(stand.excess, stand.moisture - stand.path)
    # Nothing was wrong, so it lost what it should have.
    np.testing.assert_allclose(stand.fall, stand.expected_fall, rtol=0.1)


def _in_autumn() -> Posterior:
    """A board that dried through a summer, at the height of the autumn's regain."""
    air = courses([temperate()], STACKED, STACKED + 230)
    boards = boards_of([1], stacked=STACKED)
    days = STACKED + np.arange(10.0, 226.0, 15.0)
    path, _ = air.path(np.zeros(len(days), dtype=np.intp), days, np.full(len(days), -3.0))
    rows = [
        (0, on, held + 55 * np.exp((STACKED - on) / 40))
        for on, held in zip(days, path, strict=True)
    ]
    return fit(readings_of(rows), boards, air, YardEffect.unknown(1))


def test_the_season_s_own_regain_is_expected() -> None:
    stand = stand_today(_in_autumn(), STACKED + 230)
    assert stand.path_rise[0] > 1.0
    assert stand.fall[0] < -0.5
    np.testing.assert_allclose(stand.expected_fall, stand.fall, atol=0.1)


def test_what_is_still_to_lose_is_known_as_well_as_draws_say() -> None:
    """The offset of meter and place moves a dry board and its path together."""
    posterior, today = _in_autumn(), np.array([STACKED + 230])
    stand, mode, one = stand_today(posterior, today[0]), posterior.mode, np.zeros(1, dtype=np.intp)
    rng, found = np.random.default_rng(4), []
    for off in rng.multivariate_normal(np.zeros(8), posterior.covariance()[0], 800):
        at = mode.member + off[:2], mode.group + off[2:]
        moisture = posterior.curve.moisture_on(*at, today)[0, 0]
        found.append((moisture, moisture - posterior.curve.untroubled_path(*at, one, today)[0][0]))
    moisture_sd, excess_sd = np.std(found, axis=0)
    assert stand.moisture_sd[0] == pytest.approx(moisture_sd, rel=0.15)
    assert stand.excess_sd[0] == pytest.approx(excess_sd, rel=0.4)
    assert stand.excess_sd[0] < stand.moisture_sd[0] / 2


def test_the_fall_counts_from_the_last_move_and_is_scaled_to_sixty_days() -> None:
    today, moved = STACKED + 100, STACKED + 70.0
    air = courses([temperate(), temperate()], STACKED, today)
    boards = boards_of([1], stacked=STACKED, moves=[(0, moved, 1)])
    posterior = fit(readings_of([]), boards, air, YardEffect.unknown(1))
    mode = posterior.mode
    curves = posterior.curve.moisture_on(mode.member, mode.group, np.array([moved, today]))
    stand = stand_today(posterior, today)
    assert stand.fall[0] == pytest.approx(2 * (curves[0, 0] - curves[0, 1]))


def test_the_last_reading_of_each_board() -> None:
    last = last_read_on(readings_of([(0, 5, 12), (0, 9, 12), (2, 7, 12)]), 3)
    np.testing.assert_array_equal(last, [9, -np.inf, 7])


@pytest.mark.parametrize(
    ("fall", "path_rise", "wetter", "held"),
    [
        (-3.0, 0.0, 1, 0),
        (-2.0, 1.9, 0, 1),
        (-2.0, -1.0, 1, 0),
        (0.1, 0.0, 0, 1),
        (5.0, 0.0, 0, 0),
    ],
)
def test_only_a_rise_beyond_the_season_s_own_is_getting_wetter(
    fall: float, path_rise: float, wetter: int, held: int
) -> None:
    """A stack in damp; its boards held, falling freely, or rising with or beyond the season."""
    today = STACKED + 200
    air = courses([temperate()], STACKED, today)
    boards = boards_of([1], stacked=STACKED)
    damp = Suspicion(0, Kind.DAMP, STACKED + 60, np.inf, -3.0)
    changes = Changes(np.array([damp.from_day]), np.array([damp.until_day]))
    posterior = fit(readings_of([]), boards, air, YardEffect.unknown(1), changes)
    one = np.zeros(1, dtype=np.intp)
    findings = Findings((damp,), posterior, np.ones(1), one[:0], one, one)
    stand = replace(
        stand_today(posterior, today),
        excess=np.array([5.0]),
        excess_sd=np.array([0.3]),
        fall=np.array([fall]),
        path_rise=np.array([path_rise]),
    )
    chances = chances_today(Averages(findings, 1), stand, readings_of([]), today)
    assert chances.getting_wetter[0] == pytest.approx(wetter, abs=1e-6)
    assert chances.stalled[0] == pytest.approx(held, abs=1e-6)
