"""What the stacks of a yard share, and that knowing it makes the verdicts truer."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.drying.layered_boards import Weather, dried
from tests.drying.made_yard import (
    boards_of,
    courses,
    day,
    plain_background,
    readings_of,
    temperate,
    visits,
)
from webapp.drying.background import background_of
from webapp.drying.judge import judge
from webapp.drying.verdict import State

if TYPE_CHECKING:
    from webapp.drying.stacks import Readings

STACKED, STACKS, EACH = day("2022-04-01"), 5, 3
TODAY = STACKED + 640.0
AIR = courses([temperate()], STACKED, TODAY)
BOARDS = boards_of([EACH] * STACKS, stacked=STACKED)
CAUSES = np.ones((STACKS, 2))


def _truth() -> np.ndarray:
    rng = np.random.default_rng(12)
    every = STACKS * EACH
    weather = Weather.at(AIR, 0, STACKED, int(TODAY - STACKED) + 1)
    pace = np.exp(rng.normal(0, 0.2, every))
    return dried(weather, np.full(every, 27.0), np.full(every, 75.0), pace)


TRUTH = _truth()


def _read(bias_pct: float) -> Readings:
    """Monthly readings of dry stacks by a meter that shows so much off."""
    rng = np.random.default_rng(13)
    rows = visits(TRUTH, STACKED, np.arange(STACKED + 20, TODAY, 30), rng=rng)
    return readings_of([(board, when, value + bias_pct) for board, when, value in rows])


def test_a_bias_that_all_stacks_show_is_found() -> None:
    plain, high = (background_of(_read(b), BOARDS, AIR, CAUSES, TODAY) for b in (0.0, 1.5))
    found = high.effect.offset_pct - plain.effect.offset_pct
    # Boards, weather and bias share it out; most must be seen as one thing.
    assert (found > 0.75).all()
    assert (found < 1.75).all()
    assert (
        high.effect.offset_sd_pct < plain_background(BOARDS, AIR, TODAY).effect.offset_sd_pct
    ).all()


def test_a_new_stack_of_a_known_yard_is_judged_with_its_bias() -> None:
    """Ten readings a stack would do alone; a young one leans on what the others taught."""
    readings = _read(1.5)
    young = (BOARDS.stack[readings.board] != STACKS - 1) | (readings.day < STACKED + 90)
    known = readings.where(young)
    last = slice((STACKS - 1) * EACH, None)
    alone, together = (
        judge(known, BOARDS, AIR, background, TODAY).verdicts[last]
        for background in (
            plain_background(BOARDS, AIR, TODAY),
            background_of(known, BOARDS, AIR, CAUSES, TODAY),
        )
    )
    level = [np.mean([v.equilibrium_pct for v in verdicts]) for verdicts in (alone, together)]
    should = TRUTH[:, -1].mean() + 1.5
    assert abs(level[1] - should) < abs(level[0] - should)


def test_the_same_readings_give_the_same_background() -> None:
    readings = _read(0.5)
    first, second = (background_of(readings, BOARDS, AIR, CAUSES, TODAY) for _ in range(2))
    np.testing.assert_array_equal(first.effect.offset_pct, second.effect.offset_pct)
    np.testing.assert_array_equal(first.weather.anomaly_pct, second.weather.anomaly_pct)


def test_only_what_was_known_by_the_day_counts() -> None:
    """A background looks back from a day; readings up to it are all that it is handed."""
    readings = _read(0.0)
    early = STACKED + 300.0
    known = readings.where(readings.day <= early)
    air = courses([temperate()], STACKED, early)
    background = background_of(known, BOARDS, air, CAUSES, early)
    assert background.weather.knots[-1] < early + 62
    assert np.isfinite(background.weather.anomaly_pct).all()


def test_dry_stacks_stay_dry_under_their_own_background() -> None:
    for bias in (-1.0, 1.0):
        readings = _read(bias)
        background = background_of(readings, BOARDS, AIR, CAUSES, TODAY)
        verdicts = judge(readings, BOARDS, AIR, background, TODAY).verdicts
        states = [v.state for v in verdicts]
        assert states.count(State.LEVELLED_OFF) >= 0.9 * len(states)
