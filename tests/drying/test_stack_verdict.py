from __future__ import annotations

import math

import pytest

from webapp.drying.stack_verdict import judge_stack
from webapp.drying.verdict import Fit, State, Verdict


def board(
    state: State = State.DRYING,
    *,
    moisture_pct: float = 15.0,
    fit: Fit = Fit.NO,
    ready: tuple[float, float, float] = (90.0, 100.0, 120.0),
) -> Verdict:
    return Verdict(
        state=state,
        probability=0.9,
        moisture_pct=moisture_pct,
        moisture_low=moisture_pct - 1,
        moisture_high=moisture_pct + 1,
        excess_pct=2.0,
        equilibrium_pct=13.0,
        fit=fit,
        ready_from=ready[0],
        ready_on=ready[1],
        ready_to=ready[2],
        reason=state.value,
    )


S = State


@pytest.mark.parametrize(
    ("states", "state"),
    [
        ([S.LEVELLED_OFF] * 9 + [S.DRYING], S.LEVELLED_OFF),
        ([S.LEVELLED_OFF] * 8 + [S.DRYING] * 2, S.DRYING),
        ([S.STALLED] * 3 + [S.DRYING] * 7, S.STALLED),
        ([S.STALLED] + [S.DRYING] * 9, S.DRYING),
        ([S.STALLED], S.STALLED),
        ([S.GETTING_WETTER] * 3 + [S.STALLED] * 4, S.GETTING_WETTER),
        ([S.WET] * 4 + [S.DRYING] * 6, S.WET),
        ([S.WET] + [S.DRYING] * 9, S.DRYING),
        ([S.SLOW_SEASON] * 6 + [S.LEVELLED_OFF] * 4, S.SLOW_SEASON),
        ([S.READ_AGAIN] * 6 + [S.DRYING] * 4, S.READ_AGAIN),
        ([S.READ_AGAIN] + [S.LEVELLED_OFF] * 3, S.LEVELLED_OFF),
    ],
)
def test_a_stack_takes_the_state_that_its_boards_bear_out(
    states: list[State], state: State
) -> None:
    found = judge_stack([board(s) for s in states], [True] * len(states))
    assert found.state is state
    troubled = [n for n, s in enumerate(states) if s in {S.STALLED, S.GETTING_WETTER}]
    assert list(found.troubled) == troubled


def test_the_wettest_board_in_the_stack_s_state_speaks_for_it() -> None:
    boards = [
        board(moisture_pct=16.0),
        board(moisture_pct=18.0),
        board(S.READ_AGAIN, moisture_pct=40.0),
    ]
    assert judge_stack(boards, [True] * 3).spokesman == 1


def test_unread_boards_do_not_vote() -> None:
    boards = [board(S.LEVELLED_OFF, fit=Fit.YES)] + [board(S.READ_AGAIN, fit=Fit.UNKNOWN)] * 9
    found = judge_stack(boards, [True] + [False] * 9)
    assert found.state is S.LEVELLED_OFF
    assert found.fit is Fit.YES
    assert found.boards_fit == 1


def test_a_stack_nobody_read_is_to_be_read() -> None:
    found = judge_stack([board(S.READ_AGAIN, fit=Fit.UNKNOWN)] * 3, [False] * 3)
    assert (found.state, found.fit, found.boards_fit) == (S.READ_AGAIN, Fit.UNKNOWN, 0)


@pytest.mark.parametrize(
    ("yes", "unknown", "no", "fit"),
    [
        (9, 0, 1, Fit.YES),
        (18, 0, 2, Fit.YES),
        (8, 2, 0, Fit.UNKNOWN),
        (8, 0, 2, Fit.NO),
        (0, 0, 1, Fit.NO),
    ],
)
def test_a_stack_is_fit_when_nine_in_ten_of_its_boards_are(
    yes: int, unknown: int, no: int, fit: Fit
) -> None:
    fits = [Fit.YES] * yes + [Fit.UNKNOWN] * unknown + [Fit.NO] * no
    assert judge_stack([board(fit=f) for f in fits], [True] * len(fits)).fit is fit


def test_its_dates_are_those_of_nine_boards_in_ten() -> None:
    boards = [board(ready=(n, n + 10.0, n + 20.0)) for n in range(10)]
    found = judge_stack(boards, [True] * 10)
    assert (found.ready_from, found.ready_on, found.ready_to) == (8, 18, 28)


def test_dates_that_too_many_boards_have_not_in_sight_are_not_given() -> None:
    never = (math.nan, math.nan, math.nan)
    boards = [board()] * 8 + [board(ready=never)] * 2
    assert math.isnan(judge_stack(boards, [True] * 10).ready_on)
    open_ended = (90.0, 100.0, math.inf)
    found = judge_stack([board()] * 8 + [board(ready=open_ended)] * 2, [True] * 10)
    assert (found.ready_on, found.ready_to) == (100.0, math.inf)
