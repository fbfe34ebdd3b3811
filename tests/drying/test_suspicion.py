from __future__ import annotations

import numpy as np
import pytest

from tests.drying.made_yard import boards_of, day, readings_of
from webapp.drying.suspicion import (
    SHARE_OF_KIND,
    SHORTEST_TROUBLE_DAYS,
    Kind,
    Suspicion,
    closer_look,
    first_look,
    since_ended,
)

STACKED = day("2023-04-01")
BOARDS = boards_of([2, 1, 1], stacked=[STACKED, STACKED + 10, STACKED])
VISITS = STACKED + np.arange(20.0, 800.0, 30.0)
# Nobody reads the last stack.
READINGS = readings_of([(board, when, 15.0) for board in range(3) for when in VISITS])
TODAY = float(VISITS[-1])


def _looked() -> list[Suspicion]:
    return first_look(BOARDS, READINGS, TODAY)


def test_every_kind_is_supposed_of_every_stack_that_was_read() -> None:
    looked = _looked()
    assert {(s.stack, s.kind) for s in looked} == {
        (stack, kind) for stack in (0, 1) for kind in SHARE_OF_KIND
    }
    assert Kind.NOTHING not in {s.kind for s in looked}


def test_troubles_begin_after_the_stacking_and_before_the_last_visit() -> None:
    for s in _looked():
        assert STACKED < s.from_day < TODAY
        assert s.until_day > s.from_day
        assert np.isfinite(s.until_day) == (s.kind is Kind.WETTED)


def test_the_last_months_are_looked_at_visit_by_visit() -> None:
    days = {s.from_day for s in _looked() if s.stack == 0 and s.kind is Kind.DAMP}
    assert {float(v) + 1.0 for v in VISITS[-4:-1]} <= days
    assert len(days) < len(VISITS)


def test_no_trouble_is_likelier_than_not_before_the_readings_are_weighed() -> None:
    looked = _looked()
    for stack in (0, 1):
        for kind in SHARE_OF_KIND:
            chances = [np.exp(s.log_prior) for s in looked if (s.stack, s.kind) == (stack, kind)]
            assert 0 < min(chances) <= max(chances) < 0.3


def test_a_long_gap_between_visits_makes_a_trouble_in_it_likelier() -> None:
    days = np.array([20.0, 50, 80, 300, 330])
    gappy = readings_of([(0, STACKED + when, 15.0) for when in days])
    looked = [s for s in first_look(BOARDS, gappy, STACKED + 330) if s.kind is Kind.AIR_BLOCKED]
    by_day = {s.from_day - STACKED: s.log_prior for s in looked}
    assert by_day[81.0] == pytest.approx(by_day[51.0] + np.log(220 / 30))


def test_a_closer_look_keeps_to_the_likeliest_day_and_its_neighbours() -> None:
    looked = _looked()
    best = next(
        n for n, s in enumerate(looked) if s.stack == 1 and s.kind is Kind.DAMP and n % 3 == 0
    )
    score = np.full(len(looked), -50.0)
    score[best] = 2.0
    closer = closer_look(looked, score, BOARDS, READINGS)
    assert {(s.stack, s.kind) for s in closer} == {(1, Kind.DAMP)}
    assert looked[best].from_day in {s.from_day for s in closer}
    assert 1 < len(closer) <= 5
    assert max(abs(s.from_day - looked[best].from_day) for s in closer) < 100


def test_what_is_hopeless_is_not_looked_at_closer() -> None:
    looked = _looked()
    assert closer_look(looked, np.full(len(looked), -50.0), BOARDS, READINGS) == []


def test_only_lasting_troubles_are_supposed_to_have_ended_and_not_at_once() -> None:
    began = STACKED + 200.0
    lasting = Suspicion(0, Kind.AIR_BLOCKED, began, np.inf, -3.0)
    likelier = Suspicion(0, Kind.WETTED, began, began + 28, -3.0)
    ended = since_ended([lasting, likelier], np.array([1.0, 9.0]), BOARDS, READINGS)
    assert {s.kind for s in ended} == {Kind.AIR_BLOCKED}
    for s in ended:
        assert s.from_day == began
        assert began + SHORTEST_TROUBLE_DAYS < s.until_day < TODAY + 1
        # That it also ended is a second thing to believe.
        assert s.log_prior < lasting.log_prior


def test_of_several_lasting_troubles_the_likeliest_is_supposed_to_have_ended() -> None:
    blocked = Suspicion(0, Kind.AIR_BLOCKED, STACKED + 100.0, np.inf, -3.0)
    damp = Suspicion(0, Kind.DAMP, STACKED + 300.0, np.inf, -3.0)
    for score, kind in (([3.0, 1.0], Kind.AIR_BLOCKED), ([1.0, 3.0], Kind.DAMP)):
        ended = since_ended([blocked, damp], np.array(score), BOARDS, READINGS)
        assert {s.kind for s in ended} == {kind}
