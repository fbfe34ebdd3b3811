from __future__ import annotations

import numpy as np

from tests.drying.made_yard import boards_of, readings_of
from webapp.drying.stacks import Changes, select_stacks

BOARDS = boards_of([2, 1, 3], stacked=[10.0, 20.0, 30.0], thickness_mm=np.arange(20.0, 26.0))
READINGS = readings_of([(0, 40, 20.0), (2, 41, 31.0), (2, 60, 18.0), (5, 61, 12.5), (4, 40, 9.0)])


def test_stacks_are_copied_in_the_order_asked_for_with_their_readings() -> None:
    copies = select_stacks(BOARDS, READINGS, np.array([2, 0, 2]))
    np.testing.assert_array_equal(copies.board_source, [3, 4, 5, 0, 1, 3, 4, 5])
    np.testing.assert_array_equal(copies.boards.stack, [0, 0, 0, 1, 1, 2, 2, 2])
    np.testing.assert_array_equal(copies.boards.thickness_mm, [23, 24, 25, 20, 21, 23, 24, 25])
    np.testing.assert_array_equal(copies.boards.stays.first_day, [30] * 3 + [10] * 2 + [30] * 3)
    np.testing.assert_array_equal(copies.readings.board, [1, 2, 3, 6, 7])
    np.testing.assert_array_equal(
        copies.readings.value_pct, READINGS.value_pct[copies.reading_source]
    )
    source = copies.board_source[copies.readings.board]
    np.testing.assert_array_equal(source, READINGS.board[copies.reading_source])


def test_a_stack_without_readings_is_copied_too() -> None:
    bare = READINGS.where(READINGS.board > 2)
    copies = select_stacks(BOARDS, bare, np.array([1, 0]))
    assert len(copies.readings) == 0
    assert copies.boards.stacks == 2


def test_nothing_wrong_never_begins() -> None:
    assert np.isinf(Changes.none(3).from_day).all()
