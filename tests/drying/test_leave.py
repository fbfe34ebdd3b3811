"""What leaving a stack, or taking it elsewhere, would do; in steady air that is known exactly."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.drying.made_yard import MadeYard, boards_of, day, heated, readings_of, steady, temperate
from webapp.drying.curve import excess_after
from webapp.drying.forecast import look_ahead, node_weights
from webapp.drying.judge import EIGHTY, METER_BIAS_SD_PCT
from webapp.drying.leave import SIX_WEEKS_DAYS, StackAhead, with_steady_room
from webapp.drying.one_stack import findings_of_stack
from webapp.drying.standing import Averages, stand_today
from webapp.wood.sorption import equilibrium_moisture_pct

if TYPE_CHECKING:
    from webapp.drying.air import PlaceAir

STACKED = day("2024-03-01")
TODAY = day("2024-09-01")
AFTER = TODAY + SIX_WEEKS_DAYS


def _yard(
    *places: PlaceAir,
    ends_pct: float = 14.0,
    days: float = 60.0,
    moves: tuple[tuple[int, float, int], ...] = (),
) -> MadeYard:
    """Two stacks that fall to an end, the first twice as fast; read every three weeks."""
    boards = boards_of([3, 4], stacked=STACKED, moves=moves)
    rows = [
        (
            board,
            when,
            ends_pct + (60.0 + 4.0 * board) * np.exp(-(when - STACKED) / (days * (1 + stack))),
        )
        for board, stack in enumerate(boards.stack)
        for when in np.arange(STACKED + 10.0, TODAY, 21.0)
    ]
    return MadeYard(boards, readings_of(rows), places)


def _held_up() -> MadeYard:
    """Stacks in a warm room that stopped falling half way through: several courses of events."""
    boards = boards_of([4, 3], stacked=STACKED)
    rows = []
    for board, stack in enumerate(boards.stack):
        for when in np.arange(STACKED + 10.0, TODAY, 14.0):
            lasted = min(when - STACKED, 80.0) if stack == 0 else when - STACKED
            rows.append((board, when, 12.0 + (50.0 + 3.0 * board) * np.exp(-lasted / 60.0)))
    return MadeYard(boards, readings_of(rows), (steady(), heated()))


def test_in_air_that_never_changes_the_way_ahead_is_the_closed_form() -> None:
    judgement = _yard(steady(), steady(rh_pct=40.0)).judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    posterior = stack.findings.posterior
    member, group = posterior.mode.member, posterior.mode.group
    (there,) = (
        stack._moved(np.array([1]), judgement.air)
        .curve.moisture_on(member, group, np.array([AFTER]))
        .T
    )
    for board in range(len(posterior.curve.boards)):
        shared = group[posterior.curve.boards.stack[board]]
        rate = np.exp(shared[0] + member[board, 1])
        settles = equilibrium_moisture_pct(20.0, 40.0) + shared[1]
        now = posterior.curve.moisture_on(member, group, np.array([TODAY]))[board, 0]
        left, _, _ = excess_after(np.array(now - settles), np.array(rate * SIX_WEEKS_DAYS))
        assert there[board] == pytest.approx(settles + left, abs=0.02)


def test_left_to_itself_a_stack_follows_the_outlook_of_its_verdict() -> None:
    judgement = _yard(temperate()).judged(TODAY)
    outlook = judgement.outlook
    for index, rows in ((0, slice(0, 3)), (1, slice(3, 7))):
        stack = StackAhead(judgement, index, TODAY)
        for at in np.flatnonzero(outlook.days > TODAY)[[0, 5, 20]]:
            (course,) = stack.left(outlook.days[[at]])
            assert course.day == outlook.days[at]
            np.testing.assert_allclose(course.moisture_pct, outlook.mean_pct[rows, at], atol=1e-6)
            half = EIGHTY * np.hypot(outlook.sd_pct[rows, at], METER_BIAS_SD_PCT)
            np.testing.assert_allclose(course.high_pct, course.moisture_pct + half, atol=1e-6)
            if index == 0:  # near its end already
                np.testing.assert_allclose(course.low_pct, course.moisture_pct - half, atol=1e-6)


def test_today_is_where_the_verdict_has_the_boards() -> None:
    judgement = _yard(temperate()).judged(TODAY)
    course = StackAhead(judgement, 0, TODAY).left(np.array([AFTER]))[0]
    verdicts = [verdict.moisture_pct for verdict in judgement.verdicts[:3]]
    np.testing.assert_allclose(course.now_pct, verdicts, atol=0.1)
    np.testing.assert_allclose(course.off_pct, course.now_pct - course.moisture_pct)


def test_the_driest_day_is_the_lowest_of_the_coming_year() -> None:
    judgement = _yard(temperate()).judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    driest = stack.driest_day()
    every = stack.left(np.arange(TODAY + 1.0, TODAY + 366.0, 7.0))
    lowest = min(every, key=lambda course: course.moisture_pct.mean())
    assert abs(driest - lowest.day) <= 12.0
    assert stack.summer_before(driest)
    assert not stack.summer_before(AFTER)


def test_a_heated_place_takes_more_off_and_knows_no_summer() -> None:
    judgement = _yard(temperate(), heated()).judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    here = stack.left(np.array([AFTER]))[0]
    (there,) = stack.moved(np.array([1]), AFTER)
    assert (there.off_pct > here.off_pct + 1.0).all()
    indoors = _yard(heated()).judged(TODAY)
    assert not StackAhead(indoors, 0, TODAY).summer_before(TODAY + 365.0)


@pytest.mark.parametrize("made", [_yard(temperate(), heated()), _held_up()], ids=["sound", "held"])
def test_taken_to_where_it_lies_is_as_good_as_left(made: MadeYard) -> None:
    judgement = made.judged(TODAY)
    for index in range(2):
        stack = StackAhead(judgement, index, TODAY)
        (left,) = stack.left(np.array([AFTER]))
        same, other = stack.moved(np.array([0, 1]), AFTER)
        for name in ("now_pct", "moisture_pct", "low_pct", "high_pct"):
            np.testing.assert_allclose(getattr(same, name), getattr(left, name), atol=1e-4)
        assert (np.abs(other.moisture_pct - left.moisture_pct) > 0.1).all()


def test_places_do_not_feel_each_other() -> None:
    judgement = _yard(temperate(), heated(), steady()).judged(TODAY)
    stack = StackAhead(judgement, 1, TODAY)
    together = stack.moved(np.array([2, 1]), AFTER)
    for place, course in zip((2, 1), together, strict=True):
        (alone,) = stack.moved(np.array([place]), AFTER)
        np.testing.assert_allclose(course.moisture_pct, alone.moisture_pct, atol=1e-9)
        np.testing.assert_allclose(course.high_pct, alone.high_pct, atol=1e-9)


def test_ranges_are_in_order_and_a_first_move_is_less_sure_than_staying() -> None:
    judgement = _yard(steady(), steady(), ends_pct=12.0).judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    (left,) = stack.left(np.array([AFTER]))
    (moved,) = stack.moved(np.array([1]), AFTER)
    for course in (left, moved):
        assert (course.low_pct < course.moisture_pct).all()
        assert (course.moisture_pct < course.high_pct).all()
        assert (course.low_pct >= 0.0).all()
    assert (moved.high_pct - moved.low_pct > left.high_pct - left.low_pct + 0.1).all()
    further = stack.left(np.array([TODAY + 5.0, TODAY + 60.0]))
    assert (np.diff([c.high_pct - c.low_pct for c in further], axis=0) > 0).all()


def test_wet_boards_are_not_supposed_drier_than_their_place_could_make_them() -> None:
    boards = boards_of([2], stacked=TODAY - 20.0, thickness_mm=52.0, density=0.6)
    over = readings_of([(board, TODAY - 5.0, 60.0) for board in range(2)])
    made = MadeYard(boards, over, (steady(), heated()))
    stack = StackAhead(made.judged(TODAY), 0, TODAY)
    (left,) = stack.left(np.array([TODAY + 200.0]))
    settles = float(equilibrium_moisture_pct(20.0, 65.0))
    assert (left.moisture_pct - 2.0 * (left.high_pct - left.moisture_pct) < 5.0).all()
    assert (left.low_pct > settles - 3.5).all()
    assert (left.low_pct < left.moisture_pct).all()


def test_a_stack_that_moved_before_is_followed_on_from_its_second_place() -> None:
    moved = ((0, day("2024-07-01"), 1),)
    judgement = _yard(temperate(), heated(), moves=moved).judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    assert stack.place == 1
    (left,) = stack.left(np.array([AFTER]))
    back, same = stack.moved(np.array([0, 1]), AFTER)
    np.testing.assert_allclose(same.moisture_pct, left.moisture_pct, atol=1e-4)
    assert (back.moisture_pct > left.moisture_pct + 0.5).all()
    assert StackAhead(judgement, 1, TODAY).place == 0


def test_several_supposed_courses_are_averaged_and_mending_ends_the_trouble() -> None:
    judgement = _held_up().judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    assert len(stack.findings.suspicions) > 1
    assert stack.findings.weight.sum() == pytest.approx(1.0)
    assert stack.held_up > 0.6
    assert StackAhead(judgement, 1, TODAY).held_up < 0.3
    days = np.array([TODAY + 90.0])
    (left,) = stack.left(days)
    (mended,) = stack.left(days, mended=True)
    assert (mended.off_pct > left.off_pct + 1.0).all()
    averages = Averages(stack.findings, 4)
    by_hand = averages.of(look_ahead(stack.findings.posterior, days, TODAY).mean_pct[:, 0])
    np.testing.assert_allclose(left.moisture_pct, by_hand, atol=1e-9)


def test_what_is_wrong_stays_behind_when_the_stack_is_moved() -> None:
    judgement = _held_up().judged(TODAY)
    stack = StackAhead(judgement, 0, TODAY)
    twin, room = with_steady_room(judgement.air, 20.0, 65.0)
    (moved,) = stack.moved(np.array([room]), AFTER, twin)
    (mended,) = stack.left(np.array([AFTER]), mended=True)
    (left,) = stack.left(np.array([AFTER]))
    np.testing.assert_allclose(moved.moisture_pct, mended.moisture_pct, atol=0.6)
    assert (moved.off_pct > left.off_pct + 0.5).all()


def test_a_stack_taken_out_of_the_yard_stands_as_it_did() -> None:
    judgement = _held_up().judged(TODAY)
    whole = judgement.findings
    for index in range(2):
        alone = findings_of_stack(whole, index)
        rows = np.flatnonzero(whole.stack_source[whole.posterior.curve.boards.stack] == index)
        there, here = stand_today(whole.posterior, TODAY), stand_today(alone.posterior, TODAY)
        for name in ("moisture", "moisture_sd", "excess_sd", "fall"):
            np.testing.assert_allclose(getattr(here, name), getattr(there, name)[rows], atol=1e-9)
        np.testing.assert_allclose(
            node_weights(alone.posterior), node_weights(whole.posterior)[:, rows], atol=1e-9
        )
        assert alone.board_source.min() == 0
        assert len(alone.reading_source) == len(alone.posterior.error.readings)


def test_a_steady_room_is_added_behind_the_places_and_keeps_them() -> None:
    judgement = _yard(temperate(), heated()).judged(TODAY)
    widened, room = with_steady_room(judgement.air, 20.0, 45.0)
    assert room == 2
    np.testing.assert_array_equal(widened.path_pct[:2], judgement.air.path_pct)
    settles = float(equilibrium_moisture_pct(20.0, 45.0))
    assert widened.emc_pct[room] == pytest.approx(settles)
    path, slope = widened.path(np.array([room]), np.array([AFTER]), np.array([-3.3]))
    assert path == pytest.approx(settles, abs=1e-4)
    assert slope == pytest.approx(0.0)
    warm = widened.warm_days_until(np.array([room, room]), np.array([TODAY, AFTER]))
    assert np.diff(warm) == pytest.approx(SIX_WEEKS_DAYS)
