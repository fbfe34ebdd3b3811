from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.drying.made_yard import boards_of, courses, day, heated, steady, temperate
from webapp.drying import curve
from webapp.drying.curve import SLOWING_PCT, DryingCurve, excess_after
from webapp.drying.stacks import Changes

if TYPE_CHECKING:
    from webapp.drying.arrays import Array

STACKED = day("2024-03-10")
MOVED, BLOCKED, FREED = STACKED + 150, STACKED + 60, STACKED + 110
AIR = courses([temperate(), heated()], STACKED, STACKED + 400)
BOARDS = boards_of([2, 1], stacked=STACKED, moves=[(1, MOVED, 1)])
CHANGES = Changes(np.array([BLOCKED, np.inf]), np.array([FREED, np.inf]))


@pytest.mark.parametrize("start", [150.0, 60.0, 10.0, 0.5])
def test_the_closed_form_solves_its_equation(start: float) -> None:
    def loss(_t: float, x: Array) -> Array:
        return np.asarray(-x / (1.0 + x / SLOWING_PCT))

    times = np.linspace(0.0, 8.0, 30)
    solved = solve_ivp(loss, (0.0, 8.0), [start], t_eval=times, rtol=1e-9, atol=1e-12)
    found, _, _ = excess_after(np.full(30, start), times)
    np.testing.assert_allclose(found, solved.y[0], rtol=1e-5, atol=1e-8)


def test_near_the_end_a_board_dries_as_the_plain_exponential() -> None:
    """The textbook approximation (Tschernitz and Simpson 1979, Wood Science 11(4):202-208)."""
    times = np.linspace(0.0, 5.0, 20)
    found, _, _ = excess_after(np.full(20, 1.0), times)
    np.testing.assert_allclose(found, np.exp(-times), rtol=SLOWING_PCT**-1 * 1.5)


def test_a_board_drier_than_its_place_comes_up_to_it() -> None:
    times = np.linspace(0.0, 5.0, 20)
    found, by_start, by_time = excess_after(np.full(20, -4.0), times)
    np.testing.assert_allclose(found, -4.0 * np.exp(-times))
    np.testing.assert_allclose(by_start, np.exp(-times))
    assert (by_time >= 0).all()


@given(
    start=st.floats(0.01, 200.0),
    gone=st.floats(0.0, 10.0),
)
def test_the_excess_only_shrinks_and_its_slopes_are_right(start: float, gone: float) -> None:
    def at(s: float, g: float) -> float:
        return float(excess_after(np.array([s]), np.array([g]))[0][0])

    found, by_start, by_gone = (v[0] for v in excess_after(np.array([start]), np.array([gone])))
    assert 0 <= found <= start * (1 + 1e-9)
    step = 1e-5
    ahead = at(start * (1 + step), gone) - at(start * (1 - step), gone)
    assert by_start == pytest.approx(ahead / (2 * step * start), rel=1e-3, abs=1e-7)
    later = at(start, gone + 2 * step) - at(start, gone)
    assert by_gone == pytest.approx(later / (2 * step), rel=1e-2, abs=1e-5)


def _parameters(seed: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    member = np.column_stack([np.log(rng.uniform(15, 110, 3)), rng.normal(0, 0.25, 3)])
    group = rng.normal(0, 1, (2, 6)) * [0.4, 0.7, 0.3, 0.7, 0.5, 2.0]
    group[:, curve.RATE] += -3.6
    return member, group


@settings(deadline=None, max_examples=25)
@given(seed=st.integers(0, 10_000), after=st.integers(1, 390))
def test_derivatives_agree_with_differences_through_moves_and_troubles(
    seed: int, after: int
) -> None:
    member, group = _parameters(seed)
    drying = DryingCurve(BOARDS, AIR, CHANGES)
    rows, when = np.arange(3), np.full(3, STACKED + after)
    _, slopes = drying.moisture(member, group, rows, when)
    _, path_slopes = drying.untroubled_path(member, group, rows, when)
    step = 1e-5
    for column in range(8):
        sides, paths = [], []
        for sign in (1, -1):
            m, g = member.copy(), group.copy()
            if column < curve.MEMBER_PARAMETERS:
                m[:, column] += sign * step
            else:
                g[:, column - curve.MEMBER_PARAMETERS] += sign * step
            sides.append(drying.moisture(m, g, rows, when)[0])
            paths.append(drying.untroubled_path(m, g, rows, when)[0])
        # The path is tabulated by rate, so that its slope is that of a chord.
        np.testing.assert_allclose(
            slopes[:, column], (sides[0] - sides[1]) / (2 * step), rtol=2e-2, atol=2e-2
        )
        np.testing.assert_allclose(
            path_slopes[:, column], (paths[0] - paths[1]) / (2 * step), rtol=2e-2, atol=2e-2
        )


@settings(deadline=None, max_examples=25)
@given(seed=st.integers(0, 10_000))
def test_moisture_never_jumps(seed: int) -> None:
    """On its first day a change has changed nothing yet."""
    member, group = _parameters(seed)
    still = boards_of([2, 1], stacked=STACKED)
    never, begun = np.full(2, np.inf), CHANGES.from_day
    stories = [
        (MOVED, DryingCurve(BOARDS, AIR, CHANGES), DryingCurve(still, AIR, CHANGES)),
        (BLOCKED, DryingCurve(BOARDS, AIR, CHANGES), DryingCurve(BOARDS, AIR, Changes.none(2))),
        (
            FREED,
            DryingCurve(BOARDS, AIR, CHANGES),
            DryingCurve(BOARDS, AIR, Changes(begun, never)),
        ),
    ]
    for when, changed, unchanged in stories:
        at, after = np.array([when]), np.array([when + 40])
        np.testing.assert_allclose(
            changed.moisture_on(member, group, at),
            unchanged.moisture_on(member, group, at),
            rtol=1e-9,
        )
        apart = changed.moisture_on(member, group, after) - unchanged.moisture_on(
            member, group, after
        )
        assert np.abs(apart).max() > 1e-6


def test_both_ways_to_ask_give_the_same() -> None:
    member, group = _parameters(7)
    drying = DryingCurve(BOARDS, AIR, CHANGES)
    days = np.arange(STACKED, STACKED + 380, 13.0)
    many = drying.moisture_on(member, group, days)
    for board in range(3):
        one, _ = drying.moisture(member, group, np.full(len(days), board), days)
        np.testing.assert_allclose(one, many[board], rtol=1e-12)


def test_constant_air_gives_the_textbook_curve() -> None:
    air = courses([steady()], STACKED, STACKED + 300)
    boards = boards_of([1], stacked=STACKED)
    member, group = np.array([[np.log(20.0), 0.0]]), np.zeros((1, 6))
    group[0, curve.RATE] = np.log(1 / 40)
    days = np.arange(STACKED, STACKED + 300)
    found = DryingCurve(boards, air, Changes.none(1)).moisture_on(member, group, days)[0]
    equilibrium = air.emc_pct[0, 0]
    expected = equilibrium + (20.0 - equilibrium) * np.exp(-(days - STACKED) / 40)
    # Eight points above, the slowing is at most 8 parts in 130.
    np.testing.assert_allclose(found, expected, atol=0.15)


def test_a_quicker_board_is_drier_and_a_blocked_one_wetter() -> None:
    boards = boards_of([2], stacked=STACKED)
    member = np.array([[np.log(80.0), 0.3], [np.log(80.0), -0.3]])
    group = np.zeros((1, 6))
    group[0, curve.RATE] = -3.6
    group[0, curve.TROUBLE_RATE] = -1.5
    days = STACKED + np.arange(20, 200)
    free = DryingCurve(boards, AIR, Changes.none(1)).moisture_on(member, group, days)
    assert (free[0] < free[1]).all()
    blocked = Changes(np.array([STACKED + 10]), np.array([np.inf]))
    held = DryingCurve(boards, AIR, blocked).moisture_on(member, group, days)
    assert (held > free).all()


def test_a_day_before_the_stacking_counts_as_that_day() -> None:
    member, group = _parameters(3)
    drying = DryingCurve(BOARDS, AIR, CHANGES)
    found, _ = drying.moisture(member, group, np.arange(3), np.full(3, STACKED - 50))
    np.testing.assert_allclose(found, np.exp(member[:, curve.LOG_START]))
