"""Small curves: where values fall in the drawing."""

import re

import numpy as np
import pytest

from webapp.pages.small_curve import HEIGHT, WIDTH, Frame, small_path


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", path)]


def test_values_fall_on_their_places() -> None:
    frame = Frame(x=(40.0, 340.0), y=(10.0, 110.0), along=(0.0, 12.0), up=(5.0, 25.0))
    assert frame.at(0.0, 5.0) == (40.0, 110.0)
    assert frame.at(12.0, 25.0) == (340.0, 10.0)
    assert frame.at(6.0, 15.0) == (190.0, 60.0)


def test_a_line_is_broken_where_a_value_is_missing() -> None:
    frame = Frame(x=(0.0, 4.0), y=(0.0, 10.0), along=(0.0, 4.0), up=(0.0, 10.0))
    path = frame.path([0, 1, 2, 3, 4], np.array([1.0, 2.0, np.nan, 4.0, 5.0]))
    assert path == "M0 9L1 8M3 6L4 5"


def test_higher_is_higher_and_within_the_frame() -> None:
    drawn = points(small_path(np.array([10.0, 20.0, 15.0])))
    heights = [y for _x, y in drawn]
    assert heights[1] < heights[2] < heights[0]
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in drawn)
    assert [x for x, _y in drawn] == [3.0, 50.0, 97.0]


def test_a_flat_year_stays_flat() -> None:
    heights = [y for _x, y in points(small_path(np.array([12.0, 12.4, 12.0])))]
    assert max(heights) - min(heights) < 3.0
    assert heights[0] == pytest.approx(HEIGHT / 2, abs=2.0)


def test_common_limits_make_curves_comparable() -> None:
    low = points(small_path(np.array([8.0, 9.0]), 5.0, 25.0))
    high = points(small_path(np.array([18.0, 19.0]), 5.0, 25.0))
    assert low[0][1] > high[0][1]


@pytest.mark.parametrize("values", [[], [np.nan, np.nan]])
def test_nothing_known_draws_nothing(values: list[float]) -> None:
    assert small_path(np.array(values)) == ""


def test_a_single_value_is_no_trouble() -> None:
    assert points(small_path(np.array([12.0]))) == [(3.0, HEIGHT / 2)]
