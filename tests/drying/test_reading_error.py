from __future__ import annotations

import numpy as np
import pytest

from tests.drying.made_yard import readings_of
from webapp.drying.reading_error import ReadingError, reading_sd_pct, shown_for
from webapp.drying.stacks import Readings


def _one(value: float, *, over: bool = False, under: bool = False) -> ReadingError:
    return ReadingError(
        Readings(
            np.zeros(1, dtype=np.intp),
            np.zeros(1),
            np.array([value]),
            np.array([over]),
            np.array([under]),
            np.zeros(1),
        )
    )


KINDS = {
    "number": _one(14.0),
    "wet number": _one(26.5),
    "over": _one(30.0, over=True),
    "under": _one(6.0, under=True),
    "beyond any meter": _one(80.5),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("moisture", [4.0, 9.0, 14.5, 20.0, 25.0, 33.0, 60.0])
def test_slopes_agree_with_differences(kind: str, moisture: float) -> None:
    error, step = KINDS[kind], 1e-5
    high, low = (error(np.array([moisture + s * step])).cost[0] for s in (1, -1))
    found = error(np.array([moisture]))
    assert found.slope[0] == pytest.approx((high - low) / (2 * step), rel=1e-3, abs=1e-6)
    assert found.curvature[0] >= 0


def test_a_reading_is_true_to_half_a_point_or_one_when_dry_and_two_or_three_near_saturation() -> (
    None
):
    """James 1988, FPL-GTR-6, and the Wood Handbook, ch. 13: nothing reliable above 30 %."""
    sd = reading_sd_pct(np.array([8.0, 12.0, 15.0, 28.0]), np.zeros(4))
    assert (sd[:3] >= 0.5).all()
    assert (sd[:3] <= 1.0).all()
    assert 2.0 <= sd[3] <= 3.0
    assert reading_sd_pct(np.array([12.0]), np.array([2.0]))[0] > 2.0


def test_a_meter_tells_dry_wood_and_only_says_wet_above() -> None:
    moisture = np.linspace(3, 150, 300)
    shown, slope = shown_for(moisture)
    np.testing.assert_allclose(shown[moisture < 24], moisture[moisture < 24])
    assert shown.max() < 30
    assert (np.diff(shown) >= 0).all()
    assert slope[-1] < 1e-6


def test_over_range_is_as_happy_with_any_much_wetter_board() -> None:
    costs = (
        KINDS["over"](np.array([15.0])).cost,
        *(KINDS["over"](np.array([m])).cost for m in (45.0, 60.0, 150.0)),
    )
    assert costs[0] > costs[1] + 2
    np.testing.assert_allclose(costs[1:], 0.0, atol=0.02)


def test_under_range_rules_out_a_wet_board() -> None:
    assert KINDS["under"](np.array([12.0])).cost > KINDS["under"](np.array([4.0])).cost + 2


def test_a_number_no_meter_can_tell_counts_as_over_range() -> None:
    assert not KINDS["beyond any meter"].is_number.any()
    np.testing.assert_allclose(KINDS["beyond any meter"](np.array([50.0])).slope, 0.0, atol=1e-4)


def test_a_gross_slip_pulls_less_than_an_honest_error() -> None:
    slip, honest = (abs(KINDS["number"](np.array([m])).slope[0]) for m in (40.0, 15.5))
    assert slip < honest


def test_an_over_range_slip_has_a_bounded_pull() -> None:
    dry = KINDS["over"](np.array([8.0]))
    assert dry.cost[0] < 6
    assert abs(dry.slope[0]) < 0.1


def test_surprise_counts_standard_deviations() -> None:
    error = ReadingError(readings_of([(0, 1, 12.0), (1, 1, 12.0), (2, 1, 31.0)]))
    away = error.surprise(np.array([12.0, 9.0, 45.0]))
    assert away[0] == 0
    assert away[1] == pytest.approx(3.0 / error.sd_pct[1])
    assert away[2] == 0
    refined = error.at_moisture(np.array([12.0, 20.0, 45.0]))
    assert refined.sd_pct[1] > error.sd_pct[1]
