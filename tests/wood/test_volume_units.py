"""Volume and conversions, against sawmill texts and the definitions of the units."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.wood.printed import columns_of
from webapp.wood import units
from webapp.wood.volume import board_feet, board_volume_m3

sizes = st.floats(-1e4, 1e4)


def test_board_feet_of_sawmill_texts() -> None:
    """Printed to 0.01 board foot."""
    thick_in, wide_in, long_ft, printed = columns_of(
        "board_feet.csv", "thickness_in", "width_in", "length_ft", "board_feet"
    )
    ours = board_feet(thick_in * 25.4, wide_in * 25.4, long_ft * 304.8)
    np.testing.assert_allclose(ours, printed, atol=0.005)


def test_live_edge_counts_the_mean_of_its_two_widths() -> None:
    np.testing.assert_allclose(
        board_volume_m3(50.0, [300.0, 300.0], 2000.0, [500.0, np.nan]), [0.04, 0.03]
    )
    assert np.isnan(board_volume_m3(50.0, np.nan, 2000.0))


def test_a_board_foot_is_a_twelfth_of_a_cubic_foot() -> None:
    assert pytest.approx(0.3048**3 / 12.0) == units.M3_PER_BOARD_FOOT


def test_a_pound_is_sixteen_ounces_of_a_sixteenth_each() -> None:
    """The avoirdupois ounce is 28.349523125 g (NIST SP 811, Appendix B)."""
    assert units.pounds_from_kg(16 * 0.028349523125) == pytest.approx(1.0, abs=1e-15)


@given(sizes)
def test_units_there_and_back(value: float) -> None:
    assert units.inches_from_mm(units.mm_from_inches(value)) == pytest.approx(value)
    assert units.board_feet_from_m3(units.m3_from_board_feet(value)) == pytest.approx(value)
    there = units.fahrenheit_from_celsius(units.celsius_from_fahrenheit(value))
    assert there == pytest.approx(value, abs=1e-9)


def test_fixed_points_of_the_thermometer() -> None:
    np.testing.assert_allclose(units.celsius_from_fahrenheit([32.0, 212.0, -40.0]), [0, 100, -40])


def test_trade_thicknesses() -> None:
    assert units.mm_from_quarters("4/4") == 25.4
    assert units.mm_from_quarters(" 8 / 4") == 50.8
    assert units.mm_from_quarters("7/8") == pytest.approx(22.225)
    for text in ("0/4", "5/3", "5", "", "5/4 in"):
        with pytest.raises(ValueError, match="quarters"):
            units.mm_from_quarters(text)
