from dataclasses import replace
from datetime import date, timedelta

import pytest

from webapp.drying.verdict import Fit, State
from webapp.pages.walk import due_on
from webapp.wording import EPOCH
from webapp.yard.judge_stack import StackVerdict

AS_OF = date(2025, 3, 10)
READ_ON = date(2025, 2, 20)
APRIL = date(2025, 4, 12)
SAID = StackVerdict(
    stack_mark="W",
    stack_id=1,
    as_of=AS_OF,
    state=State.DRYING,
    reason="drying",
    numbers={},
    troubled=(),
    fit=Fit.NO,
    boards_fit=0,
    boards_read=4,
    board_count=4,
    ready_on=None,
    ready_from=None,
    ready_to=None,
    wettest=20.0,
    last_read_on=READ_ON,
)


@pytest.mark.parametrize("state", [State.STALLED, State.GETTING_WETTER])
def test_trouble_is_looked_at_today(state: State) -> None:
    assert due_on(replace(SAID, state=state), 30) == AS_OF


def test_what_was_never_read_or_is_doubted_is_looked_at_today() -> None:
    assert due_on(replace(SAID, last_read_on=None, state=State.READ_AGAIN), 30) == AS_OF
    assert due_on(replace(SAID, state=State.READ_AGAIN, reason="doubtful"), 30) == AS_OF


@pytest.mark.parametrize("state", [State.DRYING, State.WET, State.READ_AGAIN])
def test_the_usual_round_is_a_month_after_the_last(state: State) -> None:
    assert due_on(replace(SAID, state=state), 30) == READ_ON + timedelta(days=30)


def test_a_slow_season_waits_till_it_moves() -> None:
    moves_on = float((APRIL - EPOCH).days)
    said = replace(SAID, state=State.SLOW_SEASON, numbers={"moves_on": moves_on})
    assert due_on(said, 30) == APRIL
    assert due_on(replace(said, numbers={}), 30) == READ_ON + timedelta(days=30)


def test_what_has_levelled_off_wants_no_round() -> None:
    assert due_on(replace(SAID, state=State.LEVELLED_OFF), 30) is None
